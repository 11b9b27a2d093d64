"""Words as drawings: letters in their places, lines, alignment, arcs, regions."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from letters.fonts import sans

from tracer.errors import LetterError
from tracer.geometry import bezier
from tracer.lettering import Lettering
from tracer.letters.set_words import MOST_CHARACTERS, set_words
from tracer.model.drawing import Drawing

OUTLINE = Lettering("", face="sans", height=50.0, cut="outline")
WORDS = st.text("ABCHMIOVWTnoaé fi&1-", min_size=1, max_size=12).filter(str.strip)


def drawn(words: str, **how: object) -> Drawing:
    """Words in the sans that ships, their edges, capitals 50 mm high unless said."""
    return set_words(replace(OUTLINE, words=words, **how), sans())  # type: ignore[arg-type]


def letter_bounds(drawing: Drawing, index: int) -> tuple[float, float, float, float]:
    """The extent of one letter's strokes."""
    strokes = {stroke.number: stroke for stroke in drawing.strokes}
    assert drawing.marks is not None
    curves = [strokes[number].curves for number in drawing.marks.letters[index].strokes]
    return bezier.bounds(np.concatenate(curves))


@settings(max_examples=25)
@given(WORDS)
def test_origins_and_advances_add_up_on_a_straight_line(words: str) -> None:
    marks = drawn(words).marks
    assert marks is not None
    for here, following in zip(marks.letters, marks.letters[1:], strict=False):
        assert here.origin[0] + here.advance == pytest.approx(following.origin[0], abs=1e-11)
        assert here.origin[1] == following.origin[1]
        assert here.turn == 0.0


def test_a_letter_is_as_high_as_was_asked() -> None:
    drawing = drawn("H")
    _, top, _, bottom = drawing.bounds
    assert bottom - top == pytest.approx(50.0, abs=1e-9)
    assert drawing.mm_per_px == 1.0
    assert drawing.size_px[1] == 50


def test_without_a_height_capitals_are_100_units_and_nothing_is_said_of_mm() -> None:
    drawing = drawn("H", height=None)
    assert drawing.bounds[3] == pytest.approx(100.0, abs=1e-9)
    assert drawing.mm_per_px is None


@settings(max_examples=15)
@given(st.text("ABCHMIOVWTnoa1-", min_size=2, max_size=12), st.floats(0.0, 1.0))
def test_tracking_moves_each_letter_by_one_more_step(words: str, tracking: float) -> None:
    plain, wide = drawn(words).marks, drawn(words, tracking=tracking).marks
    assert plain is not None
    assert wide is not None
    for place, (a, b) in enumerate(zip(plain.letters, wide.letters, strict=True)):
        assert b.origin[0] - a.origin[0] == pytest.approx(place * tracking * 50.0, abs=1e-9)
        assert b.kern == pytest.approx(a.kern, abs=1e-9)
    assert wide.letters[-1].advance == pytest.approx(plain.letters[-1].advance, abs=1e-9)


def test_a_space_is_no_letter_but_stands_in_the_advance_before_it() -> None:
    plain, spaced = drawn("HI").marks, drawn("H I", tracking=0.1).marks
    assert plain is not None
    assert spaced is not None
    assert [letter.text for letter in spaced.letters] == ["H", "I"]
    space = sans().shape("H I")[1].advance * 50.0 / sans().cap_height
    assert spaced.letters[0].advance == pytest.approx(plain.letters[0].advance + space + 2 * 0.1 * 50.0)


def test_a_ligature_and_a_letter_with_its_accent_are_one_letter_each() -> None:
    marks = drawn("e\N{COMBINING ACUTE ACCENT}fix\N{COMBINING CARON}fi").marks
    assert marks is not None
    assert [letter.text for letter in marks.letters] == [
        "e\N{COMBINING ACUTE ACCENT}",
        "fi",
        "x\N{COMBINING CARON}",
        "fi",
    ]
    assert marks.letters[-1].glyphs == ("fi",)


def test_strokes_are_numbered_letter_by_letter_line_by_line() -> None:
    drawing = drawn("BO\ni8")
    assert drawing.marks is not None
    assert [stroke.number for stroke in drawing.strokes] == list(range(1, len(drawing.strokes) + 1))
    assert [letter.strokes for letter in drawing.marks.letters] == [(1, 2, 3), (4, 5), (6, 7), (8, 9, 10)]
    assert [letter.line for letter in drawing.marks.letters] == [0, 0, 1, 1]


def test_counters_belong_to_the_borders_round_them() -> None:
    drawing = drawn("B\N{LATIN SMALL LETTER A WITH RING ABOVE}i")
    assert sorted(len(region.inner) for region in drawing.regions) == [0, 0, 1, 1, 2]
    assert {region.side for region in drawing.regions} == {"inside"}
    bounds = {stroke.number: stroke.bounds for stroke in drawing.strokes}
    for region in drawing.regions:
        x0, y0, x1, y1 = bounds[region.outer]
        for inner in region.inner:
            a0, b0, a1, b1 = bounds[inner]
            assert x0 < a0 < a1 < x1
            assert y0 < b0 < b1 < y1


def test_a_letter_inside_of_a_ring_keeps_its_own_counter() -> None:
    drawing = drawn("\N{REGISTERED SIGN}")
    bounds = {stroke.number: stroke.bounds for stroke in drawing.strokes}
    ring, letter = sorted(drawing.regions, key=lambda region: bounds[region.outer][0])
    assert [len(region.inner) for region in (ring, letter)] == [1, 1]
    assert bounds[letter.inner[0]][0] > bounds[letter.outer][0] > bounds[ring.inner[0]][0]


def test_raised_letters_have_their_groove_outside() -> None:
    assert {region.side for region in drawn("Bo", raised=True, cut="cleared").regions} == {"outside"}


@settings(max_examples=12)
@given(st.lists(WORDS, min_size=2, max_size=4), st.sampled_from(["left", "centre", "right"]))
def test_lines_are_aligned_by_their_ink(lines: list[str], align: str) -> None:
    drawing = drawn("\n".join(lines), align=align, pitch=1.5)
    assert drawing.marks is not None
    spans = []
    for line in range(len(lines)):
        own = [k for k, letter in enumerate(drawing.marks.letters) if letter.line == line]
        boxes = [letter_bounds(drawing, k) for k in own]
        spans.append((min(box[0] for box in boxes), max(box[2] for box in boxes)))
        base = drawing.marks.letters[own[0]].origin[1]
        assert base - drawing.marks.letters[0].origin[1] == pytest.approx(line * 1.5 * 50.0, abs=1e-9)
    measure = {"left": lambda s: s[0], "centre": lambda s: s[0] + s[1], "right": lambda s: s[1]}[align]
    assert np.ptp([measure(span) for span in spans]) == pytest.approx(0.0, abs=1e-9)
    assert drawing.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-9)


@settings(max_examples=12)
@given(WORDS, st.floats(1.0, 500.0))
def test_twice_as_high_is_twice_as_large(words: str, height: float) -> None:
    small, large = drawn(words, height=height), drawn(words, height=2 * height)
    for a, b in zip(small.strokes, large.strokes, strict=True):
        assert np.allclose(2 * a.curves, b.curves, atol=1e-9 * height)


@settings(max_examples=15)
@given(WORDS, st.floats(200.0, 2000.0), st.sampled_from([1, -1]), st.integers(1, 2))
def test_on_an_arc_advances_are_laid_off_along_the_baselines(
    words: str, radius: float, way: int, lines: int
) -> None:
    drawing = drawn("\n".join([words] * lines), arc=way * radius)
    assert drawing.marks is not None
    for here, following in zip(drawing.marks.letters, drawing.marks.letters[1:], strict=False):
        if here.line == following.line:
            own = radius - way * here.line * 1.6 * 50.0
            chord = math.dist(here.origin, following.origin)
            assert 2 * own * math.asin(chord / (2 * own)) == pytest.approx(here.advance, rel=1e-9)


@settings(max_examples=12)
@given(WORDS, st.sampled_from([1, -1]))
def test_a_wider_arc_comes_nearer_to_the_straight_line(words: str, way: int) -> None:
    straight = drawn(words)
    farthest = []
    for radius in (1e4, 1e5, 1e6):
        bent = drawn(words, arc=way * radius)
        gaps = [
            np.abs(a.curves - b.curves).max() for a, b in zip(straight.strokes, bent.strokes, strict=True)
        ]
        farthest.append(max(gaps))
    # A sagitta goes with the square of the length over the radius: a tenth, or so.
    assert farthest[1] <= 0.2 * farthest[0] + 1e-6
    assert farthest[2] <= 0.2 * farthest[1] + 1e-6


def test_words_stand_upright_at_the_top_of_a_hill_and_at_the_bottom_of_a_bowl() -> None:
    for arc in (150.0, -150.0):
        drawing = drawn("HOH", arc=arc, tracking=0.4)
        assert drawing.marks is not None
        first, middle, last = drawing.marks.letters
        assert middle.turn == pytest.approx(0.0, abs=1e-9)
        assert first.turn == pytest.approx(-last.turn, abs=1e-9)
        assert (last.turn > 0) == (arc > 0)
        boxes = [letter_bounds(drawing, k) for k in range(3)]
        assert (boxes[1][1] < boxes[0][1]) == (arc > 0)


def test_an_arc_that_the_words_do_not_fit_on_is_refused() -> None:
    with pytest.raises(
        LetterError, match=r"line 1 is .* mm long .* arc of 30.0 mm radius; it needs more than"
    ):
        drawn("ROUND AND ROUND", arc=30.0)
    with pytest.raises(LetterError, match=r"line 2 is .* arc of -5.0 mm"):
        drawn("I\nI", arc=75.0)
    with pytest.raises(LetterError, match=r"needs more than 50\.0 mm"):
        drawn("I", arc=-45.0)


def test_an_arc_needs_the_height() -> None:
    with pytest.raises(LetterError, match="arc need the height"):
        drawn("I", arc=100.0, height=None)


@pytest.mark.parametrize("words", ["", "   ", "\n \n", "\N{NO-BREAK SPACE}"])
def test_nothing_to_set_is_a_sentence(words: str) -> None:
    with pytest.raises(LetterError, match="no letters in the words"):
        drawn(words)


@pytest.mark.parametrize("character", ["\t", "\a", "\r", "\x85", "\u2028", "\ud800"])
def test_control_characters_are_refused_by_name(character: str) -> None:
    with pytest.raises(LetterError, match=rf"character 3 .* \(U\+{ord(character):04X}\)"):
        drawn(f"ab{character}c")


def test_lines_may_end_as_on_other_systems() -> None:
    drawing = drawn("A\r\nB")
    assert drawing.marks is not None
    assert [letter.line for letter in drawing.marks.letters] == [0, 1]


def test_too_many_characters_are_refused_at_once() -> None:
    with pytest.raises(LetterError, match=f"10000 characters; up to {MOST_CHARACTERS}"):
        drawn("A" * 10_000)


def test_invisible_characters_do_no_harm() -> None:
    marks = drawn("A\N{ZERO WIDTH JOINER}\N{SOFT HYPHEN}\N{LEFT-TO-RIGHT MARK}B").marks
    assert marks is not None
    assert ["".join(c for c in letter.text if c.isalpha()) for letter in marks.letters] == ["A", "B"]


def test_characters_without_any_ink_are_a_sentence() -> None:
    with pytest.raises(LetterError, match="nothing to cut"):
        drawn("\N{ZERO WIDTH JOINER}")


def test_a_missing_letter_is_named_with_its_place() -> None:
    with pytest.raises(
        LetterError, match=r'no glyph for "ж" \(U\+0436 CYRILLIC SMALL LETTER ZHE\), character 3'
    ):
        drawn("neж")


def test_the_middle_of_outlines_must_be_found_first() -> None:
    with pytest.raises(LetterError, match="middle of its strokes"):
        drawn("A", cut="middle")


def test_middles_are_lines_that_meet_in_joints() -> None:
    drawing = set_words(replace(OUTLINE, words="T", cut="middle"), sans(), figure_of=sans().figure)
    assert {stroke.kind for stroke in drawing.strokes} == {"line"}
    assert drawing.regions == ()


@pytest.mark.parametrize(
    "how", [{"height": -1.0}, {"height": math.nan}, {"arc": 0.0}, {"tracking": math.inf}]
)
def test_impossible_settings_are_refused(how: dict[str, float]) -> None:
    with pytest.raises(LetterError, match="must be numbers"):
        drawn("A", **how)


def test_marks_say_the_face_and_its_licence() -> None:
    marks = drawn("A").marks
    assert marks is not None
    assert marks.face == "Varela Round Regular"
    assert marks.licence == "OFL 1.1"
    assert marks.cap_height == pytest.approx(50.0)
    # The stem of I, 91 units, of an H of 708: read in the outline with fontTools.
    assert marks.stem == pytest.approx(91 * 50.0 / 708, abs=1e-6)


def test_letters_that_run_into_one_another_are_one_letter_with_one_outline() -> None:
    apart, drawing = drawn("TIT"), drawn("TIT", tracking=-0.35)
    assert apart.marks is not None
    assert drawing.marks is not None
    (letter,) = drawing.marks.letters
    assert letter.text == "TIT"
    assert letter.glyphs == ("T", "I", "T")
    assert len(drawing.regions) == 1
    own = [one.advance for one in apart.marks.letters]
    assert letter.advance == pytest.approx(sum(own) - 2 * 0.35 * 50.0)


def test_letters_joined_from_right_to_left_keep_their_order_of_reading() -> None:
    marks = drawn("\N{HEBREW LETTER ALEF}\N{HEBREW LETTER BET}", tracking=-0.5).marks
    assert marks is not None
    assert [letter.text for letter in marks.letters] == ["\N{HEBREW LETTER ALEF}\N{HEBREW LETTER BET}"]
