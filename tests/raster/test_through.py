"""Show-through of the back goes, faint lines with a pen's or pencil's edges stay."""

import cv2
import numpy as np
import pytest
from pen import Page

from tracer.raster.through import without_show_through

MM_PER_PX = 25.4 / 200


def front() -> np.ndarray:
    return Page(420, 300).ring(150, 150, 90, width=9).line((40, 40), (380, 260), width=9).grey


def back() -> np.ndarray:
    """What is printed on the other side, mirrored."""
    return Page(420, 300).ring(260, 150, 80, width=9).line((60, 250), (400, 120), width=9).grey[:, ::-1]


def darkness(front_ink: float, *layers: tuple[np.ndarray, float, float], blur: float = 1.0) -> np.ndarray:
    """What a scanner sees of layers (page, strength, blur in the paper): light is taken by each in turn."""
    light = 1 - front_ink * (1 - front() / 255)
    for page, strength, spread in layers:
        inked = (1 - page / 255).astype(np.float32)
        light = light * (1 - strength * (cv2.GaussianBlur(inked, (0, 0), spread) if spread else inked))
    noise = np.random.default_rng(5).normal(0, 4, light.shape)
    return np.clip(255 * (1 - cv2.GaussianBlur(light, (0, 0), blur)) + noise, 0, 255).astype(np.uint8)


def assert_only_the_front_is_left(left: np.ndarray, clean: np.ndarray) -> None:
    """Next to nothing off the front's lines is dark by a fifth of full ink; their edges stay."""
    off = cv2.dilate((front() < 128).astype(np.uint8), np.ones((9, 9), np.uint8)) == 0
    assert np.mean(cv2.blur(left, (3, 3))[off] > 0.2 * 255) < 1e-3  # of some 4 % that shine through
    moved = np.count_nonzero((left > 128) != (clean > 128))
    assert moved < 0.05 * np.count_nonzero(clean > 128)


@pytest.mark.parametrize("blur", [0.6, 1.0, 1.3])
@pytest.mark.parametrize(("strength", "spread_mm"), [(0.3, 0.5), (0.25, 0.3), (0.4, 0.3), (0.45, 0.5)])
def test_blurred_pale_marks_go_and_ink_across_them_stays(
    strength: float, spread_mm: float, blur: float
) -> None:
    """Paper of 80 g/m2 spreads light by a few tenths of a millimetre (common practice, no source)."""
    dark = darkness(0.95, (back(), strength, spread_mm / MM_PER_PX), blur=blur)
    left, mends = without_show_through(dark, MM_PER_PX)
    assert [mend.kind for mend in mends] == ["show-through left out"]
    assert_only_the_front_is_left(left, darkness(0.95, blur=blur))


def test_the_mend_is_round_all_of_it() -> None:
    mends = without_show_through(darkness(0.95, (back(), 0.3, 2.5)), MM_PER_PX)[1]
    rows, columns = np.nonzero(back() < 128)
    assert mends[0].x == pytest.approx((columns.min() + columns.max() + 1) / 2, abs=20)
    assert mends[0].y == pytest.approx((rows.min() + rows.max() + 1) / 2, abs=20)
    assert mends[0].size_px == pytest.approx(np.ptp(columns), abs=40)


@pytest.mark.parametrize("width", [3.0, 9.0])
@pytest.mark.parametrize("strength", [0.2, 0.35, 0.45])
def test_faint_sharp_lines_stay(strength: float, width: float) -> None:
    faint = Page(420, 300).line((60, 250), (400, 120), width=width).grey
    dark = darkness(0.95, (faint, strength, 0))
    left, mends = without_show_through(dark, MM_PER_PX)
    assert not mends
    assert left is dark


def test_faint_sharp_lines_beside_show_through_stay() -> None:
    faint = Page(420, 300).line((20, 280), (200, 285), width=5).grey
    dark = darkness(0.95, (faint, 0.35, 0), (back(), 0.3, 2.5))
    left, mends = without_show_through(dark, MM_PER_PX)
    assert len(mends) == 1
    assert left[280:285, 40:180].max(axis=0).min() > 0.25 * 255


def test_without_a_known_size_the_pen_is_the_measure() -> None:
    left, mends = without_show_through(darkness(0.95, (back(), 0.3, 3.0)), None)
    assert len(mends) == 1
    assert_only_the_front_is_left(left, darkness(0.95))


def test_a_plain_page_is_not_looked_at_closely() -> None:
    dark = darkness(0.95)
    assert without_show_through(dark, MM_PER_PX)[0] is dark
