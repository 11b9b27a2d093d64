"""Where letters go on the board: against the alphabet's own numbers, and marks measured on rendered pages."""

import math
import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from sheets import pages
from sheets.drawn import drawn
from sheets.test_record import check
from sheets.words import ALPHABET, KERN, SPACE, drawn_words, laid, natural, word_plan

from tracer.geometry import affine
from tracer.job import SHEETS_SHARE, Job, PieceSpec
from tracer.lengths import both
from tracer.model.layout import Layout
from tracer.model.plan import Plan
from tracer.pipeline import plan as plan_of
from tracer.pipeline import write
from tracer.sheets.assembly import assemble
from tracer.sheets.job_sheet import write_job_sheet
from tracer.sheets.letter_marks import letter_marks
from tracer.sheets.letter_table import reading
from tracer.sheets.letter_words import face_words
from tracer.sheets.origin_strip import bands
from tracer.sheets.page import write_report
from tracer.sheets.placement import placed_letters, placed_lines
from tracer.sheets.placement_sheet import drift, write_placement
from tracer.sheets.record import record
from tracer.sheets.template import write_template
from tracer.shop.linkage import Linkage
from tracer.shop.paper import paper_named
from tracer.shop.printer import Printer


def pens(line: str) -> list[Fraction]:
    """Origins of a line's letters in hundredths of a capital, summed exactly from the alphabet."""
    pen, found = Fraction(0), []
    for text, follows in zip(line, [*line[1:], ""], strict=True):
        if text == " ":
            pen += Fraction(str(SPACE))
            continue
        found.append(pen)
        pen += Fraction(str(ALPHABET[text][0])) + Fraction(str(KERN.get((text, follows), 0)))
    return found


def sheet(tmp_path: Path, plan: Plan) -> Path:
    write_placement(plan, tmp_path / "placement.pdf")
    return tmp_path / "placement.pdf"


def said(file: Path) -> str:
    return " ".join(" ".join(pages.texts(file)).split())


@pytest.mark.parametrize("words", ["EMMA", "LATE AT TEN", "AVATAVATLLATVAL"])
def test_origins_are_the_sums_of_the_alphabets_own_advances(words: str) -> None:
    placed = placed_letters(word_plan(words, height=40.0, board=(900.0, 200.0, 19.05)))
    exact = [float(pen * Fraction(40, 100)) for pen in pens(words)]
    assert [one.text for one in placed] == list(words.replace(" ", ""))
    assert [one.from_first[0] for one in placed] == pytest.approx(exact, abs=1e-9)
    assert [one.along for one in placed] == pytest.approx(exact, abs=1e-9)
    assert [one.advance for one in placed[:-1]] == pytest.approx(np.diff(exact), abs=1e-9)
    assert [one.height for one in placed] == pytest.approx([40.0] * len(placed))
    assert [one.number for one in placed] == list(range(1, 1 + len(placed)))


def test_words_made_larger_on_the_board_have_larger_advances_and_capitals() -> None:
    usual = word_plan("LATE")
    plan = word_plan("LATE", at={"width": 300.0})
    x0, _, x1, _ = usual.layout.extent
    factor = 300.0 / (x1 - x0)
    assert factor > 2
    for one, other in zip(placed_letters(plan), placed_letters(usual), strict=True):
        assert one.advance == pytest.approx(factor * other.advance)
        assert one.along == pytest.approx(factor * other.along)
        assert one.height == pytest.approx(factor * 50.0)


def test_an_origin_lies_its_own_bearing_left_of_the_letters_leftmost_line() -> None:
    """E's stem stands 10 units from its origin and ends on its baseline: 5 mm at 50 mm."""
    plan = word_plan("EMMA")
    first = placed_letters(plan)[0]
    x0, _, _, y1 = plan.layout.extent
    assert first.origin == pytest.approx((x0 - 5.0, y1))
    assert first.strokes == (1, 2)


def test_a_template_pitch_of_80_mm_moves_the_work_40_mm_at_a_half() -> None:
    """k x pitch: 0.5 x 80 = 40.0 mm, 1 37/64 in. Arithmetic."""
    plan = word_plan("ME", height=4000 / 88.3, linkage=Linkage(0.5))
    (first, _) = placed_letters(plan)
    assert first.advance / plan.job.ratio == pytest.approx(80.0)
    assert (reading(first.advance, "mm"), reading(first.advance, "in")) == ("40.0 mm", "1 37/64 in")


def test_the_sheet_tells_each_place_from_unrounded_positions(tmp_path: Path) -> None:
    """29 steps of 25.803 mm are 748.3 mm; rounded to 0.1 mm before they are summed they would be 748.2."""
    plan = word_plan("L" * 30, height=47.0, board=(900.0, 100.0, 19.05))
    exact, steps = 29 * 0.549 * 47.0, 29 * round(0.549 * 47.0, 1)
    assert abs(exact - steps) > 0.05
    assert f"30 L {exact:.1f} mm" in said(sheet(tmp_path, plan))


def test_the_sheet_says_what_the_bench_needs(tmp_path: Path) -> None:
    told = said(sheet(tmp_path, word_plan("LA TE\nEMMA", board=(600.0, 200.0, 19.05))))
    for part in (
        "Bench Plain (in the public domain): capitals 50 mm (1 31/32 in) high",
        "Needed only if you work letter by letter, from cards; with the joined template the board stays",
        "Line 1: LA TE",
        "Line 2: EMMA",
        "Baseline 85 mm (3 11/32 in) from the board's top edge and 115 mm (4 17/32 in)",
        "Baseline 165 mm (6 1/2 in) from the board's top edge and 35 mm (1 3/8 in) from the board's bottom",
        "The carving is half of the template (1:2). Shift = ratio × advance on the template",
        "strip of origins, full size on the wood",
        "must measure 100 mm",
    ):
        assert part in told


def test_lines_and_numbers_go_on_through_all_words() -> None:
    one, two = placed_lines(word_plan("EMMA\nLATE"))
    assert [letter.number for letter in two.letters] == [5, 6, 7, 8]
    assert two.letters[0].along == 0.0
    assert two.letters[0].from_first == pytest.approx((0.0, 80.0))  # 1.6 capitals of 50 mm further down
    assert (one.words, two.words) == ("EMMA", "LATE")


def test_a_degree_out_of_square_lets_300_mm_drift_by_5_236_mm(tmp_path: Path) -> None:
    """L x sin(1 deg): 300 x 0.0174524 = 5.236 mm. Arithmetic."""
    plan = word_plan("E", height=30000 / 60.7, board=(700.0, 700.0, 19.05))
    (line,) = placed_lines(plan)
    assert line.end == pytest.approx(300.0)
    assert drift(line) == pytest.approx(5.236, abs=5e-4)
    plan = word_plan("EE", height=15000 / 60.7, board=(700.0, 700.0, 19.05))
    assert "the baseline drift 5.24 mm" in said(sheet(tmp_path, plan))


def test_words_turned_on_the_board_are_told_along_their_baseline(tmp_path: Path) -> None:
    plan = word_plan("LATE", at={"turn_deg": 90.0}, board=(300.0, 300.0, 19.05))
    straight = placed_letters(word_plan("LATE"))
    turned = placed_letters(plan)
    assert [one.along for one in turned] == pytest.approx([one.along for one in straight])
    assert [one.from_first[1] for one in turned] == pytest.approx([one.along for one in straight])
    assert [one.turn for one in turned] == pytest.approx([math.pi / 2] * 4)
    (line,) = placed_lines(plan)
    assert (line.straight, line.level) == (True, False)
    told = said(sheet(tmp_path, plan))
    assert "Turned 90.0° clockwise" in told
    assert told.count("left end") == 1  # the first origin's; no column is along that edge


def test_letters_on_an_arc_have_their_place_and_turn_each(tmp_path: Path) -> None:
    drawing = drawn_words("EMMA", arc=200.0)
    job = Job(board=(600.0, 300.0, 19.05), pieces=(PieceSpec(art=""),), linkage=Linkage(0.5))
    plan = laid(drawing, job)
    placed = placed_letters(plan)
    for one, pen in zip(placed, pens("EMMA"), strict=True):
        angle = float(pen) / 2 / 200.0
        arm = 200.0 * math.sin(angle), 200.0 * (1 - math.cos(angle))
        assert one.turn == pytest.approx(angle)
        assert one.from_first == pytest.approx(arm)
    file = sheet(tmp_path, plan)
    assert len(pages.sizes(file)) == 1  # no strip: no fence follows an arc
    assert "fence" not in said(file)
    assert f"{math.degrees(placed[3].turn):.1f}° clockwise" in said(file)


@pytest.mark.parametrize("radius", [200.0, -200.0])
def test_an_arc_is_told_and_drawn_as_the_circle_that_its_letters_stand_on(
    tmp_path: Path, radius: float
) -> None:
    """The first origin is at the circle's top, or at a bowl's lowest point."""
    job = Job(board=(600.0, 300.0, 19.05), pieces=(PieceSpec(art=""),), linkage=Linkage(0.5))
    plan = laid(drawn_words("AT LATE", arc=radius), job)
    (line,) = placed_lines(plan)
    assert line.arc is not None
    x, y = line.letters[0].origin
    assert line.arc.centre == pytest.approx((x, y + radius))
    assert line.arc.radius == pytest.approx(radius)
    told = said(sheet(tmp_path, plan))
    assert "200 mm (7 7/8 in) radius about a point" in told
    centre = affine.apply(plan.to_template, np.array(line.arc.centre))
    marks = letter_marks(plan)
    for mark, after in pairwise(marks):
        assert np.hypot(*(mark.baseline - centre).T) == pytest.approx(400.0)
        assert mark.baseline[-1] == pytest.approx(after.origin)


def test_two_pieces_of_words_begin_anew_and_keep_their_strokes() -> None:
    plan = word_plan("EMMA")
    piece = plan.layout.pieces[0]
    layout = Layout(plan.layout.board, (piece, replace(piece)))
    both = placed_letters(plan_of(layout, plan.job))
    assert [one.number for one in both] == list(range(1, 9))
    assert both[4].from_first == (0.0, 0.0)
    assert both[4].strokes == tuple(6 + n for n in both[0].strokes)
    assert {one.piece for one in both} == {0, 1}


def ticks(file: Path, page: int, *, down: tuple[float, float]) -> np.ndarray:
    """Middles (mm) of the upright dark lines that fill a stretch of a page from top to bottom."""
    width = pages.sizes(file)[page][0] * 25.4 / 72
    image = pages.dark(pages.rendered(file, page, part=(0, down[0], width, down[1])))
    columns = np.flatnonzero(image.mean(axis=0) > 0.9)
    groups = np.split(columns, np.flatnonzero(np.diff(columns) > 1) + 1)
    return np.array([(group[0] + group[-1] + 1) / 2 for group in groups]) * pages.MM_PER_PX


@pytest.mark.parametrize("bar", [100.0, 99.2])
def test_ticks_of_the_strip_stand_at_the_origins(tmp_path: Path, bar: float) -> None:
    """At 600 dpi, full size on the wood, from the datum; a bar that came out short makes them longer."""
    plan = word_plan("LATE MENTA", height=30.0, printer=Printer(bar, bar, measured=bar != 100.0))
    file = sheet(tmp_path, plan)
    datum = 10.0 + 14.0  # the margin, and what the strip has before its datum
    exact = (datum + np.array([float(pen) * 0.3 for pen in pens("LATE MENTA")])) * 100 / bar
    for down in ((61.0, 61.6), (33.4, 34.0)):  # just within the band's lower and upper edge
        found = ticks(file, 1, down=(down[0] * 100 / bar, down[1] * 100 / bar))
        near = found[(found > datum - 3.0) & (found < exact[-1] + 3.0)]
        assert near == pytest.approx(exact, abs=0.1)


@pytest.mark.parametrize(
    ("words", "height"), [("LATE", 50.0), ("MIMI", 14.0), ("TELLIA MI", 10.0), ("IILIM", 7.0)]
)
def test_names_on_the_strip_touch_no_other_tick_or_name(tmp_path: Path, words: str, height: float) -> None:
    """As pdfium reads them, either way up."""
    lines, texts = drawn(sheet(tmp_path, word_plan(words, height=height)), 1)
    found = [one for one in texts if one.text.strip() in ALPHABET]
    assert len(found) == 2 * len(words.replace(" ", ""))
    boxes = np.array([one.box for one in found])
    meet = (boxes[:, None, :2] < boxes[None, :, 2:]).all(axis=2)
    assert (meet & meet.T).sum() == len(boxes)
    if height > 10:
        for one in (line.points for line in lines if abs(line.width - 0.2) < 0.01):
            x, (y0, y1) = one[0, 0], sorted(one[:, 1])
            over = (boxes[:, 0] < x) & (x < boxes[:, 2]) & (boxes[:, 1] < y1) & (y0 < boxes[:, 3])
            assert not over.any()


@pytest.mark.parametrize(("words", "times"), [("EM", 1), ("EMMALATEEMMA", 2)])
def test_the_strip_tells_where_its_datum_lies_however_short_it_is(
    tmp_path: Path, words: str, times: int
) -> None:
    """A long one says so either way up."""
    plan = word_plan(words, height=20.0)
    x = placed_letters(plan)[0].origin[0]
    told = " ".join(pages.texts(sheet(tmp_path, plan))[1].split())
    assert told.count(f"; datum {both(x, 'mm')} from the board's left end") == times


def test_bands_share_their_overlap_and_join_between_letters() -> None:
    (line,) = placed_lines(word_plan("LATE MENTAL ANTENNA MILE", height=60.0, board=(1600.0, 200.0, 19.05)))
    parts = bands(line, 277.0)
    assert len(parts) > 3
    assert [part.name for part in parts] == ["1a", "1b", "1c", "1d", "1e"][: len(parts)]
    for one, other in pairwise(parts):
        assert one.end - other.start == pytest.approx(SHEETS_SHARE)
        seam = (one.end + other.start) / 2
        assert min(abs(letter.along - seam) for letter in line.letters) > 8.0
        assert (one.after, other.before) == (other.name, one.name)
    assert all(part.end - part.start <= 277.0 + 1e-9 for part in parts)
    assert (parts[0].before, parts[-1].after) == ("", "")
    assert parts[-1].end > line.letters[-1].along > parts[-1].start


@pytest.mark.parametrize("paper", ["A4", "100 x 160 mm", "Tabloid"])
def test_nothing_is_printed_in_the_margin_on_any_paper(tmp_path: Path, paper: str) -> None:
    plan = word_plan("LATE MENTAL ANTENNA", board=(1200.0, 200.0, 19.05), paper=paper_named(paper))
    file = sheet(tmp_path, plan)
    for number, (width, height) in enumerate(pages.sizes(file)):
        image = pages.rendered(file, number, dpi=100)
        x0, y0, x1, y1 = pages.extent_mm(image.min(axis=2) < 250, dpi=100)
        assert min(x0, y0, width * 25.4 / 72 - x1, height * 25.4 / 72 - y1) > 10.0 - 0.6


def test_the_record_lists_the_letters() -> None:
    plan = word_plan("LATE", linkage=Linkage(0.4))
    data = record(plan)
    check(data)
    letters = data["letters"]
    exact = [float(pen) / 2 for pen in pens("LATE")]
    assert [one["text"] for one in letters] == list("LATE")
    assert [one["origin_mm"] for one in letters] == [[pytest.approx(x, abs=1e-6), 0.0] for x in exact]
    assert [one["advance_mm"] for one in letters][:3] == pytest.approx(np.diff(exact), abs=2e-6)
    assert letters[3]["advance_mm"] == pytest.approx(30.35)  # E's own: 60.7 hundredths of 50 mm
    assert {one["height_mm"] for one in letters} == {50.0}
    at = placed_letters(plan)[2].origin
    assert letters[2]["origin_on_board_mm"] == pytest.approx(at, abs=1e-6)
    assert letters[2]["strokes"] == [4, 5]


def test_the_pack_holds_the_sheet_where_there_are_words(tmp_path: Path) -> None:
    write(word_plan("EMMA"), tmp_path / "words")
    assert (tmp_path / "words" / "placement.pdf").stat().st_size > 1000
    write(word_plan("EMMA"), tmp_path / "words", force=True)  # its own file is nothing foreign


def test_the_same_plan_gives_the_same_bytes(tmp_path: Path) -> None:
    one = sheet(tmp_path, word_plan("EMMA")).read_bytes()
    assert sheet(tmp_path, word_plan("EMMA")).read_bytes() == one


def test_the_job_sheet_names_face_licence_and_height(tmp_path: Path) -> None:
    write_job_sheet(word_plan("EMMA", origins={"words": "said on the command line"}), tmp_path / "j.pdf")
    told = said(tmp_path / "j.pdf")
    assert "Bench Plain (in the public domain): capitals 50 mm (1 31/32 in) high, one groove" in told
    assert "origins and shifts of the 4 letters: see placement.pdf" in told
    assert re.search(r"Letters said on the command line", told)
    write_job_sheet(word_plan("E"), tmp_path / "one.pdf")
    assert "origins and shifts of the only letter: see placement.pdf" in said(tmp_path / "one.pdf")
    assert "The font's licence (see Letters) lets me carve with it" in told
    assert "The art comes from" not in told


@pytest.mark.parametrize(
    ("licence", "said"),
    [
        ("OFL 1.1", "Bench Plain (OFL 1.1)"),
        ("", "Bench Plain (its licence is not told)"),
    ],
)
def test_the_face_is_told_with_its_licence(licence: str, said: str) -> None:
    marks = drawn_words("E").marks
    assert marks is not None
    assert face_words(replace(marks, licence=licence)) == said


def test_the_page_has_the_table_and_writes_what_is_typed_as_text(tmp_path: Path) -> None:
    plan = word_plan("LATE")
    piece = plan.layout.pieces[0]
    assert piece.drawing.marks is not None
    letters = piece.drawing.marks.letters
    odd = replace(piece.drawing.marks, letters=(replace(letters[0], text="<b>&"), *letters[1:]))
    layout = Layout(plan.layout.board, (replace(piece, drawing=replace(piece.drawing, marks=odd)),))
    write_report(replace(plan, layout=layout), tmp_path / "r.html")
    page = (tmp_path / "r.html").read_text("utf-8")
    assert "<b>&" not in page
    assert "&lt;b&gt;&amp;" in page
    assert "28.4 mm (1 1/8 in)" in page  # A's origin: L's 54.9 + 1.9 hundredths of 50 mm


def on_page(plan: Plan, wood: tuple[float, float]) -> tuple[float, float]:
    """Bring a place on the wood to mm from the top left of the only template sheet."""
    assembly = assemble(plan)
    (cell,) = assembly.used
    x, y = np.array(wood) / plan.job.ratio + assembly.tiling.margin - assembly.origin - (cell.x, cell.y)
    return float(x), float(y)


def test_the_template_shows_each_origin_on_its_baseline(tmp_path: Path) -> None:
    """The tick's middle at 600 dpi, within a tenth of a mm of the letter's origin."""
    plan = word_plan("EM", linkage=Linkage(0.6), at={"x": 50.0, "y": 40.0})
    write_template(plan, tmp_path / "t.pdf")
    for one in placed_letters(plan):
        x, y = on_page(plan, one.origin)
        part = (x - 2.0, y + 2.5, x + 2.0, y + 3.5)
        inked = pages.rendered(tmp_path / "t.pdf", part=part).max(axis=2).min(axis=0) < 200
        assert inked.any()
        assert np.flatnonzero(inked).mean() * pages.MM_PER_PX == pytest.approx(2.0, abs=0.1)


def test_the_baseline_goes_on_to_the_last_letters_advance(tmp_path: Path) -> None:
    plan = word_plan("TT", linkage=Linkage(0.6), at={"x": 50.0, "y": 40.0})
    write_template(plan, tmp_path / "t.pdf")
    last = placed_letters(plan)[-1]
    x, y = on_page(plan, (last.origin[0] + last.advance, last.origin[1]))
    for shift, there in ((-1.0, True), (1.0, False)):
        part = (x + shift - 0.2, y - 0.5, x + shift + 0.2, y + 0.5)
        assert (pages.rendered(tmp_path / "t.pdf", part=part).max(axis=2) < 200).any() == there


def test_sheets_reach_as_far_as_the_first_origin() -> None:
    """E fills a sheet held across from line to line; its origin, 54 mm to the left, takes further ones."""
    plan = word_plan("E", height=272.0, board=(800.0, 800.0, 19.05))
    origin = np.array(placed_letters(plan)[0].origin) * 2
    x0, y0, x1, y1 = assemble(plan).room
    assert x0 + 1.9 < origin[0] < x1
    assert y0 + 1.9 < origin[1] < y1


def test_capitals_measure_their_height_on_the_template(tmp_path: Path) -> None:
    """E from foot to top, middle of line to middle of line, at 600 dpi: height / ratio within 0.1 mm."""
    plan = word_plan("E", height=62.0, linkage=Linkage(0.5))
    write_template(plan, tmp_path / "t.pdf")
    x, y = on_page(plan, placed_letters(plan)[0].origin)
    part = (x + 27.0, y - 130.0, x + 27.5, y + 5.0)  # right of the stem, through all arms
    column = np.flatnonzero(pages.red(pages.rendered(tmp_path / "t.pdf", part=part)).all(axis=1))
    high = (column[-1] - column[0] + 1) * pages.MM_PER_PX - 0.25  # less the pen's thickness
    assert high == pytest.approx(124.0, abs=0.1)


def test_natural_size_is_the_drawings_own() -> None:
    """A guard of these tests' own helper: it lays words out at 1 mm a unit."""
    plan = word_plan("EMMA")
    assert natural(drawn_words("EMMA"), plan.job).pieces[0].matrix[0, 0] == pytest.approx(1.0)
