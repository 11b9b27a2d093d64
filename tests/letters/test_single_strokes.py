"""The single-stroke faces that ship: what they hold, and what they say they lack."""

import numpy as np
import pytest
from numpy.typing import NDArray

from tracer.errors import LetterError
from tracer.geometry import bezier
from tracer.geometry.joints import find_joints
from tracer.lettering import Lettering
from tracer.letters.face import Contour, Face
from tracer.letters.set_words import set_words
from tracer.letters.single_strokes import STROKE_FACES, SingleFace, open_single

Array = NDArray[np.float64]

ASCII = "".join(chr(code) for code in range(33, 127) if chr(code) != "`")


def figure(face: SingleFace, text: str) -> tuple[Contour, ...]:
    (glyph,) = face.shape(text)
    return face.figure(glyph.key)


def extent(contours: tuple[Contour, ...]) -> tuple[float, float, float, float]:
    return bezier.bounds(np.concatenate([contour.curves for contour in contours]))


def is_dot(contour: Contour) -> bool:
    return bool(np.ptp(contour.curves.reshape(-1, 2), axis=0).max() == 0)


@pytest.mark.parametrize("name", STROKE_FACES)
def test_every_face_draws_all_printed_characters(name: str) -> None:
    face: Face = open_single(name)
    assert face.single
    assert face.stem == 0
    for glyph in face.shape(ASCII):
        contours = face.figure(glyph.key)
        assert contours
        assert all(np.isfinite(contour.curves).all() for contour in contours)
        assert all(np.allclose(c.curves[1:, 0], c.curves[:-1, 3], atol=1e-9) for c in contours)
        assert glyph.advance > 0
        assert glyph.kern == 0
        assert face.figure(glyph.key) is contours  # drawn once


@pytest.mark.parametrize("name", STROKE_FACES)
def test_a_space_has_an_advance_and_no_strokes(name: str) -> None:
    face = open_single(name)
    (glyph,) = face.shape(" ")
    assert glyph.advance == 16  # the package's own
    assert face.figure(glyph.key) == ()


def test_capitals_stand_on_the_baseline_and_are_as_high_as_said() -> None:
    face = open_single("plain")
    for letter in "AEFHIKLMNTVWXYZ":
        _, low, _, high = extent(figure(face, letter))
        assert (low, high) == pytest.approx((0, face.cap_height), abs=1e-9)
    for letter in "CGOS":  # round letters overshoot by 1 to 3 %, common practice, no source
        _, low, _, high = extent(figure(face, letter))
        assert -0.03 < low / face.cap_height < 0.002
        assert -0.002 < high / face.cap_height - 1 < 0.03


def test_advances_and_places_are_those_of_the_coordinates() -> None:
    from HersheyFonts import HersheyFonts

    package = HersheyFonts()
    package.load_default_font("rowmans")
    face = open_single("plain")
    for glyph in face.shape("ABCXYZabcxyz0189&?"):
        raw = package.all_glyphs[glyph.name]
        assert glyph.advance == raw.char_width
        points = np.concatenate([np.array(s, float) for s in raw.strokes if len(s) > 5 or s[0] != s[-1]])
        wanted = (points[:, 0].min() - raw.left_offset, points[:, 0].max() - raw.left_offset)
        x0, _, x1, _ = extent(tuple(c for c in face.figure(glyph.key) if not is_dot(c)))
        assert (x0, x1) == pytest.approx(wanted, abs=0.5)  # bows bulge between their points


def test_clusters_count_characters() -> None:
    glyphs = open_single("plain").shape("Ae\N{COMBINING ACUTE ACCENT}\N{LATIN SMALL LETTER E WITH ACUTE}x")
    assert [glyph.cluster for glyph in glyphs] == [0, 1, 3, 4]
    assert glyphs[1].key == glyphs[2].key


def test_missing_characters_are_named() -> None:
    with pytest.raises(
        LetterError, match=r'the face "plain" has no ß \(U\+00DF, latin small letter sharp s\)'
    ) as e:
        open_single("plain").shape("Straße")
    assert "font file" in str(e.value)
    with pytest.raises(LetterError, match=r"½ .*, 木 .* and 4 more"):
        open_single("plain").shape("½木火土金水月日山石"[:10])
    with pytest.raises(LetterError, match=r"U\+0007"):
        open_single("plain").shape("a\x07b")
    with pytest.raises(LetterError, match=r"U\+0301"):
        open_single("plain").shape("\N{COMBINING ACUTE ACCENT}")


def test_heaps_of_accents_are_refused() -> None:
    with pytest.raises(LetterError, match="has no"):
        open_single("plain").shape("a" + "\N{COMBINING ACUTE ACCENT}" * 500)


def test_an_unknown_face_is_answered_with_those_that_ship() -> None:
    with pytest.raises(LetterError, match="plain, script, roman"):
        open_single("fancy")


def test_dots_are_dots() -> None:
    face = open_single("plain")
    assert [is_dot(contour) for contour in figure(face, "i")] == [False, True]
    assert [is_dot(contour) for contour in figure(face, ":")] == [True, True]
    assert not any(is_dot(contour) for contour in figure(face, "o"))


@pytest.mark.parametrize(
    ("letter", "base", "more"),
    [("Ä", "A", 2), ("é", "e", 1), ("ñ", "n", 1), ("ç", "c", 1), ("å", "a", 1), ("ö", "o", 2)],
)
def test_accents_stand_clear_above_or_hang_below(letter: str, base: str, more: int) -> None:
    face = open_single("plain")
    plain, accented = figure(face, base), figure(face, letter)
    assert len(accented) == len(plain) + more
    lines = [(contour.curves, contour.closed) for contour in accented]
    assert len(find_joints(lines, 0.1)) == len(find_joints([(c.curves, c.closed) for c in plain], 0.1)) + (
        base == "c"  # the cedilla hangs on its letter
    )
    assert face.shape(letter)[0].advance == face.shape(base)[0].advance
    x0, _, x1, _ = extent(plain)
    marks = [c for c in accented if all(not np.array_equal(c.curves, own.curves) for own in plain)]
    left, _, right, _ = extent(tuple(marks))
    assert (left + right) / 2 == pytest.approx((x0 + x1) / 2, abs=1.0)


def test_a_cedilla_hangs_below_and_an_accent_stands_above() -> None:
    face = open_single("plain")
    assert extent(figure(face, "ç"))[1] < -4
    assert extent(figure(face, "ç"))[3] == pytest.approx(extent(figure(face, "c"))[3])
    assert extent(figure(face, "é"))[3] > extent(figure(face, "e"))[3] + 4


def test_figures_of_the_script_lean_like_its_letters() -> None:
    # the stem of 1 leans 0.3 to the right for each step upwards, as the stem of the script's own t does
    curves = np.concatenate([c.curves for c in figure(open_single("script"), "1")])
    stem = max((c[3] - c[0] for c in curves), key=lambda d: float(np.hypot(*d)))
    assert stem[0] / stem[1] == pytest.approx(0.3)


def test_an_i_loses_its_dot_under_an_accent() -> None:
    face = open_single("plain")
    assert not any(is_dot(contour) for contour in figure(face, "í"))
    assert sum(is_dot(contour) for contour in figure(face, "ï")) == 2


def test_letters_of_the_script_join() -> None:
    # where one ends the next begins: the exit of n, moved by its advance, is the entry of the next n
    face = open_single("script")
    (glyph,) = face.shape("n")
    ends = np.array([[c.curves[0, 0], c.curves[-1, 3]] for c in face.figure(glyph.key)]).reshape(-1, 2)
    entry = ends[np.abs(ends[:, 0]) < 1e-9]
    leave = ends[np.abs(ends[:, 0] - glyph.advance) < 1e-9]
    assert len(entry) == len(leave) == 1
    assert entry[0, 1] == pytest.approx(leave[0, 1])


def test_joints_of_capitals_meet() -> None:
    # the bar of A ends a third of a step short of its legs in the coordinates
    for letter, count in {"A": 3, "E": 3, "H": 2, "K": 2, "R": 3, "B": 4, "T": 1, "X": 1, "P": 2}.items():
        lines = [(contour.curves, contour.closed) for contour in figure(open_single("plain"), letter)]
        assert len(find_joints(lines, 0.02)) == count, letter


def test_ten_thousand_characters_take_no_time() -> None:
    assert len(open_single("plain").shape("a" * 10_000)) == 10_000


@pytest.mark.parametrize("hidden", ["\N{ZERO WIDTH SPACE}", "\N{RIGHT-TO-LEFT MARK}"])
def test_characters_that_do_not_show_are_told_as_such(hidden: str) -> None:
    with pytest.raises(LetterError, match=r"that does not show \(U\+20.., [a-z -]+\): take it out"):
        open_single("plain").shape(f"EM{hidden}MA")


@pytest.mark.parametrize("raised", [False, True])
def test_single_strokes_have_no_edges_to_go_round(raised: bool) -> None:
    """The middle of strokes is no remedy for letters that are to stand."""
    with pytest.raises(LetterError, match="has no edges: take sans or a font file") as told:
        set_words(Lettering("A", cut="outline", raised=raised), open_single("plain"))
    assert ("along the middle" in str(told.value)) is not raised
