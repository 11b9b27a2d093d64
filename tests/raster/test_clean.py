"""Specks off and pinholes filled, each once."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.raster.clean import clean


def test_a_dropped_speck_leaves_no_plug_behind() -> None:
    # A ring of 8 pixels round one of paper: the hole in it is not filled once it is gone.
    mask = np.zeros((40, 40), np.uint8)
    mask[20:23, 20:23] = 1
    mask[21, 21] = 0
    cleaned, mends = clean(mask, 255 * mask, 8.0, 1.0)
    assert not cleaned.any()
    assert [mend.kind for mend in mends] == ["speck dropped"]


def disc(x: int, y: int, radius: float) -> np.ndarray:
    """Where a round mark lies on a page of 80 x 200."""
    yy, xx = np.indices((80, 200))
    marked: np.ndarray = (xx - x) ** 2 + (yy - y) ** 2 <= radius**2
    return marked


def page(dot: int, line: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Mask and darkness of a line 8 px wide and a dot as wide, and where the dot is."""
    darkness = np.zeros((80, 200), np.uint8)
    darkness[20:28, 10:190] = line
    spot = disc(100, 60, 4)
    darkness[spot] = dot
    return (darkness > 0).astype(np.uint8), darkness, spot


@pytest.mark.parametrize(("dot", "line", "kept"), [(250, 250, True), (110, 250, False), (110, 120, True)])
def test_a_dot_is_as_dark_as_the_palest_lines(dot: int, line: int, kept: bool) -> None:
    mask, darkness, spot = page(dot, line)
    cleaned, mends = clean(mask, darkness, 8.0, 1.0)
    assert bool(cleaned[spot].all()) == kept
    assert not (cleaned[spot].any() and mends)
    assert cleaned[24, 100]


@given(width=st.integers(1, 3), length=st.integers(26, 150))
def test_a_long_hairline_is_no_speck_however_thick_the_pen(width: int, length: int) -> None:
    # 26 px are more than three pens of 8 px; its area may be less than a speck's, 0.4 * 64 px.
    mask, darkness, _ = page(0, 250)
    mask[60 : 60 + width, 20 : 20 + length] = 1
    darkness[60 : 60 + width, 20 : 20 + length] = 130
    cleaned, mends = clean(mask, darkness, 8.0, 1.0)
    assert np.array_equal(cleaned, mask)
    assert not mends


def test_thousands_of_specks_are_dropped_and_counted() -> None:
    # A worn copier's: a 2 x 2 speck on every 20th pixel both ways; a pen of 8 px makes none as small.
    mask = np.zeros((1200, 1600), np.uint8)
    mask[600:608, 20:1580] = 1
    rows, columns = np.mgrid[10:1200:20, 10:1600:20]
    apart = np.abs(rows - 604) > 10
    for down in (0, 1):
        for across in (0, 1):
            mask[rows[apart] + down, columns[apart] + across] = 1
    cleaned, mends = clean(mask, 255 * mask, 8.0, 1.0)
    assert cleaned.sum() == 8 * 1560
    assert [mend.kind for mend in mends] == ["speck dropped"] * int(apart.sum())
