"""How good a picture is: what was drawn is measured again."""

import cv2
import numpy as np
import pytest
from pen import Page

from tracer.art.read import scan_of
from tracer.model.quality import Quality
from tracer.raster.ink import find_ink

_ONE = Page(500, 400).line((40, 50), (460, 90), width=9)
LINES = _ONE.line((60, 350), (250, 120), (440, 360), width=9).grey


def quality(grey: np.ndarray) -> Quality:
    found = find_ink(scan_of(grey)).quality
    assert found is not None
    return found


@pytest.mark.parametrize("times", [0.3, 0.5, 1.0, 3.0])
def test_the_lines_width(times: float) -> None:
    grey = cv2.resize(LINES, None, fx=times, fy=times, interpolation=cv2.INTER_AREA)
    assert quality(grey).line_px == pytest.approx(9 * times, rel=0.06, abs=0.8)  # whole pixels


@pytest.mark.parametrize("black", [0, 60, 150, 200])
@pytest.mark.parametrize("paper", [255, 230])
def test_the_contrast(black: int, paper: int) -> None:
    grey = np.round(black + (paper - black) * (LINES / 255.0)).astype(np.uint8)
    assert quality(grey).contrast == pytest.approx(1 - black / paper, abs=0.03)


@pytest.mark.parametrize("sigma", [1.0, 1.5, 2.0, 2.5])
@pytest.mark.parametrize("times", [1, 3])
def test_the_blur(sigma: float, times: int) -> None:
    grey = cv2.resize(LINES, None, fx=times, fy=times, interpolation=cv2.INTER_CUBIC)
    blurred = cv2.GaussianBlur(grey, (0, 0), sigma * times)
    # The pen's own edge is a pixel wide (sigma 1/sqrt(12)); where a line is hardly wider than the
    # blur its two edges make each other less steep.
    assert quality(blurred).blur_px == pytest.approx(sigma * times, rel=0.15)
