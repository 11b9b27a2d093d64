"""Light lines on dark are turned round, dark lines on dark fills are not."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pen import Page

from tracer.raster.polarity import light_on_dark

DRAWN = Page(400, 300).line((30, 40), (370, 60), (340, 250), (60, 240), (30, 40)).grey


@given(st.integers(0, 100), st.integers(60, 155))
def test_chalk_on_a_board(board: int, clearer: int) -> None:
    chalk = DRAWN.astype(float) / 255
    assert light_on_dark(np.round(board + clearer * (1 - chalk)).astype(np.uint8))


@pytest.mark.parametrize("pen", [1.5, 4, 10, 18, 26])
def test_chalk_of_any_width(pen: float) -> None:
    page = Page(800, 600).line((90, 80), (700, 110), (640, 500), (120, 470), (90, 80), width=pen)
    assert light_on_dark((50 + 0.7 * (255 - page.grey)).astype(np.uint8))


@given(st.integers(60, 255))
def test_ink_on_paper_of_any_grey(paper: int) -> None:
    assert not light_on_dark(np.round(DRAWN * (paper / 255)).astype(np.uint8))


@pytest.mark.parametrize("edge", [0, 1, 30])
def test_a_dark_solid_with_light_marks_on_white_paper(edge: int) -> None:
    grey = 255 - DRAWN
    if edge:
        grey = np.pad(grey, edge, constant_values=255)
    assert light_on_dark(grey) == (edge == 0)
