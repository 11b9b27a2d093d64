"""Letter cards, read back from the PDF by pdfium: their marks, laid together, make the words again."""

import math
import random
import re
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sheets import pages
from sheets.drawn import Line, Word, drawn
from sheets.words import ALPHABET, DATE, drawn_words, laid, word_plan

from tracer.acts import Acts
from tracer.errors import JobError
from tracer.job import Job, PieceSpec
from tracer.model.layout import Layout
from tracer.model.plan import Plan
from tracer.pipeline import letter, letter_plans, write
from tracer.pipeline import plan as plan_of
from tracer.sheets.card_face import apart
from tracer.sheets.card_letters import alone, card_letters
from tracer.sheets.cards import write_cards
from tracer.sheets.placement import placed_letters, placed_lines
from tracer.sheets.template import write_template
from tracer.shop.bits import Straight
from tracer.shop.linkage import Linkage
from tracer.shop.paper import Paper, paper_named
from tracer.shop.printer import Printer

RED, GREY, BLACK = (191, 0, 26), (115, 115, 115), (0, 0, 0)
FLAT = {"bit": Straight(3.175), "depth": 2.0}
WALL = Paper("wall", 3000.0, 4000.0)
"""Paper that takes all on one sheet."""


@dataclass(frozen=True, eq=False)
class Card:
    """A card as printed: its name, lines from its origin, marks as (names, place from the origin, turn)."""

    name: str
    lines: list[np.ndarray]
    marks: list[tuple[str, np.ndarray, float]]
    box: tuple[float, float, float, float]
    origin: np.ndarray

    def place_of(self, name: str, number: int) -> tuple[np.ndarray, float]:
        """Where the letter of that name and number begins, as a reader finds it."""
        for names, at, turn in self.marks:
            for text, numbers in re.findall(r"([^, (]+)(?: \(([\d, ]+)\))?", names):
                if text == name and (not numbers or str(number) in numbers.split(", ")):
                    return at, turn
        raise AssertionError(f"no mark for {name} ({number}) on {self.name}: {self.marks}")


def cards(tmp_path: Path, plan: Plan, **size: Any) -> Path:
    write_cards(plan, tmp_path / "cards.pdf", alone=letter_plans(plan), **size)
    return tmp_path / "cards.pdf"


def read_cards(file: Path) -> list[Card]:
    """Read all cards of a file: by their cut lines, ticks, and the names to which lines lead."""
    found = []
    for page in range(1, len(pages.sizes(file))):
        lines, words = drawn(file, page)
        boxes = [one for one in lines if one.colour == GREY and near(one.width, 0.15) and len(one.points) > 3]
        found += [_card(one, lines, words) for one in boxes]
    return found


def _card(frame: Line, lines: list[Line], words: list[Word]) -> Card:
    (x0, y0), (x1, y1) = frame.points.min(axis=0), frame.points.max(axis=0)

    def inside(points: Any) -> bool:
        return bool(((np.asarray(points) > (x0, y0)) & (np.asarray(points) < (x1, y1))).all())

    own = [one for one in lines if one is not frame and inside(one.points)]
    texts = [one for one in words if inside(np.reshape(one.box, (2, 2)))]
    ticks = [
        one.points for one in own if one.colour == BLACK and near(one.width, 0.15) and len(one.points) == 2
    ]
    leads = [one.points for one in own if one.colour == GREY and near(one.width, 0.1)]
    named = {_name_at(texts, lead[1]): tick for tick, lead in zip(ticks, leads, strict=True)}
    assert all(near(tick[1, 0], lead[0, 0]) for tick, lead in zip(ticks, leads, strict=True))
    origin = named.pop("origin").mean(axis=0)
    marks = [(name, tick.mean(axis=0) - origin, _turn(tick)) for name, tick in named.items()]
    title = min(texts, key=lambda one: one.box[0] + one.box[1]).text.strip()
    tracks = [one.points - origin for one in own if one.colour == RED]
    return Card(title, tracks, marks, (x0, y0, x1, y1), origin)


def _name_at(words: list[Word], end: np.ndarray) -> str:
    """Return the words, in one or several rows, to whose middle a line leads."""
    under = [w for w in words if abs((w.box[0] + w.box[2]) / 2 - end[0]) < 1.5 and w.box[1] > end[1] - 1]
    return " ".join(w.text.strip() for w in sorted(under, key=lambda w: w.box[1]))


def _turn(tick: np.ndarray) -> float:
    x, y = tick[1] - tick[0]
    return math.atan2(-x, y)


def near(one: float, other: float) -> bool:
    return abs(one - other) < 0.006


def random_words(seed: int, count: int) -> str:
    """Lines of random letters; some lines have a space in them."""
    dice, letters = random.Random(seed), sorted(ALPHABET)
    lines = ["".join(dice.choices(letters, k=dice.randint(2, 8))) for _ in range(count)]
    return "\n".join(
        f"{line[:2]} {line[2:]}" if dice.random() < 0.3 and len(line) > 2 else line for line in lines
    )


def job(**settings: Any) -> Job:
    usual = {"date": DATE, "board": (1400.0, 1900.0, 19.05), "pieces": (PieceSpec(art=""),), "paper": WALL}
    return Job(**(usual | settings))


def origins_on(lines: list[Line]) -> np.ndarray:
    """Places of letters' origins by their ticks on a template, which stand 3 of 8 mm above the baseline."""
    ticks = [
        one.points for one in lines if one.colour == GREY and near(one.width, 0.12) and len(one.points) == 2
    ]
    ticks = [tick for tick in ticks if abs(np.hypot(*(tick[1] - tick[0])) - 8.0) < 0.01]
    return np.array([tick[0] + 3 / 8 * (tick[1] - tick[0]) for tick in ticks])


@pytest.mark.parametrize(
    ("drawing", "settings"),
    [
        (drawn_words(random_words(1, 20), height=40.0), {}),
        (drawn_words(random_words(2, 15), height=27.0), {"linkage": Linkage(0.4)}),
        (drawn_words(random_words(3, 5), height=40.0), {"linkage": Linkage(0.6, turned=True)}),
        (drawn_words("TALE\nLATE", height=30.0, arc=400.0), {}),
        (letter("Valley\nTavern\nAVATAR\nrye\nToto", font="plain", height=32.0), {}),
        (
            letter("To\nly", font="sans", cut="outline", height=60.0),
            {"depth": 0.8},
        ),
        (letter("OAK", font="sans", cut="outline", raised=True, height=60.0), FLAT),
        (letter("L\nO", font="sans", cut="cleared", height=90.0), FLAT),
    ],
)
def test_cards_laid_by_their_marks_make_the_words_again(
    tmp_path: Path, drawing: Any, settings: dict[str, Any]
) -> None:
    """50 words: every letter within 0.05 mm of the whole-word template, as pdfium reads both files."""
    plan = laid(drawing, job(**settings))
    write_template(plan, tmp_path / "t.pdf")
    (whole, _) = drawn(tmp_path / "t.pdf", 0)
    track = [one.points for one in whole if one.colour == RED and near(one.width, 0.25)][: len(plan.cut)]
    ticks = origins_on(whole)
    found = {card.name: card for card in read_cards(cards(tmp_path, plan))}
    compared = 0
    for line in placed_lines(plan):
        place, turn, card = ticks[line.letters[0].number - 1], 0.0, None
        for k, one in enumerate(line.letters):
            if card is not None:
                away, more = card.place_of(one.name, one.number)
                place, turn = place + rotated(away, turn), turn + more
                assert np.abs(place - ticks[one.number - 1]).max() < 0.05
            card = found[one.name]
            own = track[compared : compared + len(one.strokes)]
            start = line.letters[0].turn if k == 0 else None
            turn = start if start is not None else turn
            for drawn_once, printed in zip(card.lines[: len(own)], own, strict=True):
                assert np.abs(rotated(drawn_once, turn) + place - printed).max() < 0.05
            compared += len(own)
    assert compared == sum(len(one.strokes) for one in placed_letters(plan)) > 0


def rotated(points: np.ndarray, turn: float) -> np.ndarray:
    """Turn points clockwise as seen, y down."""
    c, s = math.cos(turn), math.sin(turn)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))


def test_the_words_of_that_test_are_fifty_and_more() -> None:
    assert 20 + 15 + 5 + 2 + 5 + 2 + 1 + 2 == 52


def test_each_different_letter_is_there_once_with_its_places() -> None:
    found = card_letters(word_plan("EMMA\nLATE"))
    assert [(one.name, [p.number for p in one.places]) for one in found] == [
        ("E", [1, 8]), ("M", [2, 3]), ("A", [4, 6]), ("L", [5]), ("T", [7]),
    ]  # fmt: skip


def test_letters_that_follow_at_one_place_share_a_mark() -> None:
    """After L: E and N at its advance, T kerned by 11.03 hundredths of 50 mm, and E after a space farther."""
    (first, *_) = card_letters(word_plan("LE LN LT L E", board=(1200.0, 200.0, 19.05)))
    told = [(one.name, one.x) for one in first.followers]
    assert [name for name, _ in told] == ["T", "E (2), N", "E (8)"]
    assert [x for _, x in told] == pytest.approx([(54.9 - 11.03) / 2, 54.9 / 2, (54.9 + 31.7) / 2])


def test_cards_are_alike_and_their_origins_in_one_place(tmp_path: Path) -> None:
    found = read_cards(cards(tmp_path, word_plan("EMMA LATE jE", height=30.0)))
    assert len(found) == 6
    corners = np.array([one.box for one in found])
    sizes = corners[:, 2:] - corners[:, :2]
    assert np.ptp(sizes, axis=0) == pytest.approx([0.0, 0.0], abs=1e-3)
    inside = np.array([one.origin for one in found]) - corners[:, :2]
    assert np.ptp(inside, axis=0) == pytest.approx([0.0, 0.0], abs=1e-3)


def test_cards_take_the_holders_size(tmp_path: Path) -> None:
    plan = word_plan("EMMA", height=30.0)
    found = read_cards(cards(tmp_path, plan, size=(90.0, 120.0)))
    assert len(found) == 3
    for one in found:
        assert np.subtract(one.box[2:], one.box[:2]) == pytest.approx([90.0, 120.0], abs=1e-3)
        assert all(line.min() > -90 and line.max() < 120 for line in one.lines)


def test_a_holder_too_small_for_the_largest_letter_is_said(tmp_path: Path) -> None:
    plan = word_plan("EMMA", height=30.0)
    with pytest.raises(
        JobError, match=r"cards of 60 mm .* too small for these letters, M above all: they need"
    ):
        cards(tmp_path, plan, size=(60.0, 120.0))
    with pytest.raises(JobError, match=r"too small"):
        cards(tmp_path, plan, size=(120.0, 60.0))
    assert not (tmp_path / "cards.pdf").exists()


def test_cards_too_large_for_the_paper_are_said(tmp_path: Path) -> None:
    with pytest.raises(JobError, match=r"do not fit A4 paper: use larger paper, set the words smaller"):
        cards(tmp_path, word_plan("M", height=200.0))


def test_cards_without_words_are_refused(tmp_path: Path) -> None:
    plan = word_plan("M")
    (piece,) = plan.layout.pieces
    picture = replace(piece, drawing=replace(piece.drawing, marks=None))
    bare = replace(plan, layout=Layout(plan.layout.board, (picture,)))
    with pytest.raises(JobError, match="letter cards are made of words"):
        cards(tmp_path, bare)


def test_capitals_measure_their_height_on_the_cards(tmp_path: Path) -> None:
    """At 600 dpi: E from foot to top, middle of line to middle of line, 30 mm / 0.4 within 0.1 mm."""
    file = cards(tmp_path, word_plan("E", height=30.0, linkage=Linkage(0.4)))
    (card,) = read_cards(file)
    x, y = card.origin
    part = (x + 18.0, y - 80.0, x + 18.5, y + 5.0)
    rows = np.flatnonzero(pages.red(pages.rendered(file, 1, part=part)).all(axis=1))
    assert (rows[-1] - rows[0] + 1) * pages.MM_PER_PX - 0.25 == pytest.approx(75.0, abs=0.1)


@pytest.mark.parametrize("bar", [99.0, 101.0])
def test_a_measured_bar_corrects_cards(tmp_path: Path, bar: float) -> None:
    plain = read_cards(cards(tmp_path, word_plan("EM", height=30.0)))
    plan = word_plan("EM", height=30.0, printer=Printer(bar, 100.0, measured=True))
    assert len(plain) == 2
    for one, other in zip(read_cards(cards(tmp_path, plan)), plain, strict=True):
        for line, same in zip(one.lines, other.lines, strict=True):
            assert line == pytest.approx(same * [100 / bar, 1.0], abs=1e-3)


def test_paper_held_across_swaps_the_correction(tmp_path: Path) -> None:
    """Cards of 130 x 80 mm: three on A4 upright, four across. The bar was measured on paper upright."""
    small = {"height": 12.0, "linkage": Linkage(0.5)}
    plain = read_cards(cards(tmp_path, word_plan("EM", **small), size=(130.0, 80.0)))
    printer = Printer(99.0, 101.0, measured=True)
    file = cards(tmp_path, word_plan("EM", **small, printer=printer), size=(130.0, 80.0))
    assert pages.sizes(file)[1] == pytest.approx((841.890, 595.276), abs=1e-3)
    for one, other in zip(read_cards(file), plain, strict=True):
        for line, same in zip(one.lines, other.lines, strict=True):
            assert line == pytest.approx(same * [100 / 101, 100 / 99], abs=1e-3)


def test_what_a_larger_card_has_to_spare_lies_on_both_sides(tmp_path: Path) -> None:
    plan = word_plan("EMMA", height=30.0)
    places = []
    for size in ((80.0, 110.0), (100.0, 130.0)):
        one = read_cards(cards(tmp_path, plan, size=size))[0]
        places.append(one.origin - one.box[:2])
    assert places[1] - places[0] == pytest.approx([10.0, 10.0], abs=1e-3)


def test_words_on_a_card_do_not_touch(tmp_path: Path) -> None:
    """A crowd of followers: names beside one another, in several rows, or upended where there is no room."""
    crowd = word_plan("EA EL EM\nELE AEI IL IA", height=20.0, board=(1200.0, 300.0, 19.05))
    tiny = word_plan("IALI ILE INI IIA ITI IMI I IVA", height=8.0, board=(1200.0, 300.0, 19.05))
    for plan in (crowd, tiny, word_plan("EMMA", height=30.0, linkage=Linkage(0.5, turned=True))):
        file = cards(tmp_path, plan)
        for page in range(1, len(pages.sizes(file))):
            _, words = drawn(file, page)
            boxes = np.array([one.box for one in words if one.text.strip()])
            meet = (boxes[:, None, :2] < boxes[None, :, 2:] - 0.05).all(axis=2)
            meet &= meet.T & ~np.eye(len(boxes), dtype=bool)
            assert [(words[a].text, words[b].text) for a, b in np.argwhere(meet)] == []


def test_long_lists_of_places_stand_in_rows(tmp_path: Path) -> None:
    """After I another I in one word, and at five places behind a space: all of them told beneath the tick."""
    plan = word_plan("IALI ILE INI IIA ITI IMI I IVA", height=8.0, board=(1200.0, 300.0, 19.05))
    file = cards(tmp_path, plan)
    (first, *_) = read_cards(file)
    _, words = drawn(file, 1)
    assert [w.text for w in words if w.box[3] - w.box[1] > 6] == ["must measure 100 mm too"]  # none upended
    assert "I (5, 11, 17, 20, 21)" in [name for name, _, _ in first.marks]


@given(
    widths=st.lists(st.floats(2.0, 12.0), min_size=1, max_size=6),
    places=st.lists(st.floats(-5.0, 75.0), min_size=6, max_size=6),
)
def test_names_stand_apart_between_the_sides_and_at_their_ticks_where_they_can(
    widths: list[float], places: list[float]
) -> None:
    wanted = places[: len(widths)]
    middles = apart(widths, wanted, (0.0, 80.0))
    sides = sorted((m - w / 2, m + w / 2) for m, w in zip(middles, widths, strict=True))
    assert sides[0][0] >= -1e-9
    assert sides[-1][1] <= 80 + 1e-9
    assert all(b[0] - a[1] >= min(3.0, (80 - sum(widths)) / 5) - 1e-9 for a, b in pairwise(sides))
    free = [(m - w / 2, m + w / 2) for m, w in zip(wanted, widths, strict=True)]
    if all(a >= 0 and b <= 80 for a, b in free) and all(b[0] - a[1] >= 3 for a, b in pairwise(sorted(free))):
        assert middles == pytest.approx(wanted)


def test_letters_of_another_size_or_piece_have_cards_of_their_own() -> None:
    plan = word_plan("EM")
    (piece,) = plan.layout.pieces
    larger = replace(piece, matrix=np.diag([1.5, 1.5, 1.0])[:2] @ np.vstack([piece.matrix, [0, 0, 1]]))
    plan = plan_of(Layout(plan.layout.board, (piece, larger)), plan.job)
    found = card_letters(plan)
    assert [one.name for one in found] == ["E·1", "M·1", "E·2", "M·2"]
    assert [one.name for letter in found for one in letter.followers] == ["M·1", "M·2"]
    own = letter_plans(plan)
    assert [[stroke.number for stroke in one.cut] for one in own] == [[1, 2], [3], [4, 5], [6]]
    twice = plan_of(Layout(plan.layout.board, (piece, replace(piece))), plan.job)
    assert [len(one.places) for one in card_letters(twice)] == [2, 2]


def test_the_list_says_how_many_of_each_and_in_what_order(tmp_path: Path) -> None:
    told = " ".join(pages.texts(cards(tmp_path, word_plan("EMMA\nLATE")))[0].split())
    assert "5 cards, each" in told
    assert "for 8 letters" in told
    assert "Runs are counted on each card: tick letters here, not on the job sheet." in told
    assert "E × 2 1 8 M × 2 2 3 A × 2 4 6 L × 1 5 T × 1 7" in told
    assert "Line 1 1 E 2 M 3 M 4 A Line 2 5 L 6 A 7 T 8 E" in told


def test_every_page_of_cards_says_what_it_is(tmp_path: Path) -> None:
    file = cards(tmp_path, word_plan("EMMA LATE IN", height=40.0))
    assert len(pages.sizes(file)) > 2
    for words in pages.texts(file)[1:]:
        said = " ".join(words.split())
        for part in (
            "The carving is half of the template (1:2)", "must measure 100 mm", "baseline", "origin",
            "top of board", "ratio assumed, not measured", "follow the line",
        ):  # fmt: skip
            assert part in said


def test_nothing_is_printed_in_the_margin(tmp_path: Path) -> None:
    for paper in ("A4", "Letter"):
        file = cards(tmp_path, word_plan("EMMA LATE IN", height=40.0, paper=paper_named(paper)))
        for number, (width, height) in enumerate(pages.sizes(file)):
            image = pages.rendered(file, number, dpi=100)
            x0, y0, x1, y1 = pages.extent_mm(image.min(axis=2) < 250, dpi=100)
            assert min(x0, y0, width * 25.4 / 72 - x1, height * 25.4 / 72 - y1) > 10.0 - 0.6


def test_a_letter_alone_keeps_its_strokes_numbers_and_what_was_decided() -> None:
    """EMMA: M's first is stroke 3, A's are 5 and 6; A's bar is left out by its number in the whole."""
    plan = word_plan("EMMA", acts=Acts(leave_out=(6,)))
    layouts = [alone(plan, one)[0] for one in card_letters(plan)]
    assert [[s.number for s in layout.strokes] for layout in layouts] == [[1, 2], [3], [5, 6]]
    own = letter_plans(plan)
    assert [[s.number for s in one.cut] for one in own] == [[1, 2], [3], [5]]
    assert [run.number for run in own[2].runs] == [1]


def test_what_is_cleared_inside_a_letter_is_on_its_card_and_the_ground_is_on_none() -> None:
    """I cut in: rings inside of its edge; I standing: the ground round it belongs to the board."""
    cut_in, standing = (
        laid(
            letter("I", font="sans", cut="cleared", raised=raised, height=60.0),
            job(board=(100.0, 100.0, 19.05), bit=Straight(2.0), depth=2.0),
        )
        for raised in (False, True)
    )
    assert len(standing.cut) > 1
    assert [len(own.cut) for own in letter_plans(standing)] == [1]
    assert [len(own.cut) for own in letter_plans(cut_in)] == [len(cut_in.cut)]
    assert len(cut_in.cut) > 1


def test_a_letter_of_a_turned_word_stands_upright_alone() -> None:
    plan = word_plan("LT", at={"turn_deg": 90.0}, board=(300.0, 300.0, 19.05))
    (layout, _) = alone(plan, card_letters(plan)[0])
    x, y = placed_letters(plan)[0].origin
    stem = layout.strokes[0].curves  # L from its top down and to the right
    assert stem[0, 0] == pytest.approx([x + 5.0, y - 50.0])
    assert stem[-1, -1] == pytest.approx([x + 26.0, y])


def test_the_arrow_says_whose_top_it_shows(tmp_path: Path) -> None:
    told = " ".join(pages.texts(cards(tmp_path, word_plan("LT", height=20.0)))[1].split())
    assert "top of board" in told
    turned = word_plan("LT", height=20.0, at={"turn_deg": 90.0}, board=(300.0, 300.0, 19.05))
    told = " ".join(pages.texts(cards(tmp_path, turned))[1].split())
    assert "top of letter" in told
    assert "top of board" not in told


def test_the_same_plan_gives_the_same_bytes(tmp_path: Path) -> None:
    one = cards(tmp_path, word_plan("EMMA")).read_bytes()
    assert cards(tmp_path, word_plan("EMMA")).read_bytes() == one


def test_the_pack_holds_cards_where_they_are_asked_for(tmp_path: Path) -> None:
    plan = word_plan("EM", height=30.0)
    write(plan, tmp_path / "p", cards="smallest")
    assert {one.name for one in read_cards(tmp_path / "p" / "letter-cards.pdf")} == {"E", "M"}
    aside = "working from cards: tick letter-cards.pdf instead"
    assert aside in " ".join(pages.texts(tmp_path / "p" / "job-sheet.pdf")[0].split())
    write(plan, tmp_path / "p", force=True)
    assert aside not in " ".join(pages.texts(tmp_path / "p" / "job-sheet.pdf")[0].split())
    write(plan, tmp_path / "p", cards=(100.0, 120.0), force=True)
    (card, _) = read_cards(tmp_path / "p" / "letter-cards.pdf")
    assert card.box[2] - card.box[0] == pytest.approx(100.0, abs=1e-3)
