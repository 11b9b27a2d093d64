"""Words through the hall: the faces that ship, cut as they can be."""

import numpy as np
import pytest

import tracer


@pytest.mark.parametrize("face", ["plain", "sans"])
def test_the_middle_of_an_i_is_one_straight_stroke(face: str) -> None:
    """As high as the capitals are to be, in a face of single strokes and along the middle of a stem alike."""
    drawing = tracer.letter("I", font=face, height=50.0)
    (stroke,) = drawing.strokes
    assert drawing.marks is not None
    (x0, y0, x1, y1) = stroke.bounds
    assert (stroke.kind, x1 - x0) == ("line", pytest.approx(0, abs=0.02))
    assert y1 - y0 == pytest.approx(50.0, abs=0.1)
    assert drawing.marks.cap_height == 50.0


def test_the_edge_of_an_i_lies_half_a_stem_from_its_middle() -> None:
    """The letters are larger along the middle by a stem, so that both are 50 mm high; advances grow alike."""
    middle = tracer.letter("II", font="sans", height=50.0)
    edge = tracer.letter("II", font="sans", height=50.0, cut="outline")
    assert middle.marks is not None
    assert edge.marks is not None
    assert {stroke.kind for stroke in edge.strokes} == {"edge"}
    larger = middle.marks.stem / edge.marks.stem
    assert larger == pytest.approx(50.0 / (50.0 - edge.marks.stem), rel=0.005)
    assert middle.marks.letters[0].advance == pytest.approx(larger * edge.marks.letters[0].advance)
    edges = [larger * side for stroke in edge.strokes for side in stroke.bounds[::2]]
    aside = np.ravel([stroke.bounds[::2] for stroke in middle.strokes]) - edges
    half = middle.marks.stem / 2  # left edge of the first stem to its middle, both drawings begin at 0
    assert np.diff(aside) == pytest.approx([-2 * half, 2 * half, -2 * half], abs=0.05)
