"""How high capitals are along the middle of their strokes."""

import numpy as np
import pytest
from any_face import CAP, AnyFace

from tracer.errors import LetterError
from tracer.geometry import bezier
from tracer.lettering import Lettering
from tracer.letters.capitals import middle_height
from tracer.letters.face import Contour, Glyph
from tracer.letters.set_words import set_words

HALF = AnyFace.stem / 2


def middle(key: int) -> tuple[Contour, ...]:
    """The left stem of a letter's box, half a stem short at its ends; D reaches lower, a hook."""
    low = -200.0 if chr(key) == "D" else HALF
    line = np.array([[HALF, low], [HALF, CAP - HALF]])
    return (Contour(bezier.from_polyline(line), closed=False),)


class Without(AnyFace):
    """A face that lacks some letters."""

    def __init__(self, lacks: str) -> None:
        super().__init__()
        self.lacks = lacks

    def shape(self, line: str) -> tuple[Glyph, ...]:
        if set(line) & set(self.lacks):
            raise LetterError("lacking")
        return super().shape(line)


@pytest.mark.parametrize("lacks", ["", "H", "HI", "HIELTFN"])
def test_capitals_end_half_a_stem_short_above_and_below(lacks: str) -> None:
    assert middle_height(Without(lacks), middle) == pytest.approx(CAP - AnyFace.stem)


def test_a_face_of_small_letters_only_has_its_stem_taken_off() -> None:
    """Where H is drawn half as high as the capitals are said to be, it is no measure of them."""

    def low(key: int) -> tuple[Contour, ...]:
        return (Contour(bezier.from_polyline(np.array([[0.0, 0.0], [0.0, CAP / 4]])), closed=False),)

    assert middle_height(AnyFace(), low) == pytest.approx(CAP - AnyFace.stem)


@pytest.mark.parametrize("height", [None, 40.0])
def test_middles_are_as_high_as_was_asked_and_all_else_grows_alike(height: float | None) -> None:
    """By similar triangles (derived by geometry); D hangs below the line and counts for nothing."""
    how = Lettering("HD", height=height, cut="middle", tracking=0.1)
    drawing, high = set_words(how, AnyFace(), figure_of=middle), height or 100.0
    larger = high / (CAP - AnyFace.stem)
    assert drawing.marks is not None
    assert np.ptp(drawing.strokes[0].bounds[1::2]) == pytest.approx(high)
    assert drawing.marks.cap_height == high
    assert drawing.marks.stem == pytest.approx(AnyFace.stem * larger)
    assert drawing.marks.letters[0].advance == pytest.approx(600.0 * larger + 0.1 * high)
