"""Creases from edge to edge go, what is drawn across them stays whole; drawn lines are no creases."""

import math

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page

from tracer.raster.fold import may_be_folded, without_folds
from tracer.raster.lanes import lanes_along
from tracer.raster.light import even_light

HEIGHT, WIDTH = 480, 560


def drawing() -> Page:
    page = Page(WIDTH, HEIGHT).ring(280, 240, 120).line((100, 60), (460, 420)).line((120, 40), (120, 440))
    return page.line((200, 240), (360, 240))


def crease(at: float, *, slope_deg: float = 0.0, dark: float = 0.4, wide: float = 3.0) -> np.ndarray:
    """Light (H, W) on a sheet folded across: a bell-shaped dark line, a bright one beside it, and soft shade.

    Darkness and width along it vary by a fifth, as torn fibres do (common practice, no source).
    """
    y, x = np.indices((HEIGHT, WIDTH)) + 0.5
    away = y - at - (x - WIDTH / 2) * math.tan(math.radians(slope_deg)) + 0.8 * np.sin(x / 40)
    dark_here = dark * (1 + 0.2 * np.sin(x / 9) * np.sin(x / 31))
    light = 1 - dark_here * np.exp(-0.5 * (away / wide * 2.35) ** 2)
    light += 0.05 * np.exp(-0.5 * ((away - 1.5 * wide) / wide * 2.35) ** 2)
    return light * (1 - 0.12 * np.exp(-np.abs(away) / 50) * np.where(away > 0, 1, 0.4))


def even_of(light: np.ndarray) -> np.ndarray:
    noise = np.random.default_rng(7).normal(0, 2, light.shape)
    return even_light(np.clip(240 * light + noise, 0, 255).astype(np.uint8))


def assert_only_the_drawing_is_left(even: np.ndarray, clean: np.ndarray) -> None:
    mask = (clean < 128).astype(np.uint8)
    square = np.ones((5, 5), np.uint8)
    paper, inside = cv2.dilate(mask, square) == 0, cv2.erode(mask, square) > 0
    even = cv2.blur(even, (3, 3))
    # A fifth of full ink is ink where it lies alone (binarize.FAINTEST * LEVEL); uneven fibres and noise add.
    # In the corner between a crease and a line across it some darkness of both is left: of 250 drawings, in
    # 34, at most 113 pixels and 13 pixels away.
    away = cv2.distanceTransform(1 - mask, cv2.DIST_L2, 5)
    assert even[away > 15].min() > 250 * 0.7
    assert np.count_nonzero(even[paper] <= 250 * 0.7) < 150
    assert even[inside].max() < 250 * 0.5


@given(st.floats(90, 390), st.floats(-4, 4), st.floats(0.2, 0.6), st.floats(2, 6), st.booleans())
@settings(max_examples=10)
def test_a_crease_goes_and_lines_across_it_stay(
    at: float, slope: float, dark: float, wide: float, upright: bool
) -> None:
    clean = drawing().grey
    clean = np.ascontiguousarray(clean.T) if upright else clean
    light = crease(at, slope_deg=slope, dark=dark, wide=wide)
    channels, mends = without_folds([even_of(clean / 255 * (light.T if upright else light))])
    assert [mend.kind for mend in mends] == ["fold left out"]
    assert (mends[0].x if upright else mends[0].y) == pytest.approx(at, abs=4)
    assert_only_the_drawing_is_left(channels[0], clean)


def test_a_sheet_folded_twice() -> None:
    clean = drawing().grey
    channels, mends = without_folds([even_of(clean / 255 * crease(130) * crease(360, slope_deg=-2))])
    assert len(mends) == 2
    assert_only_the_drawing_is_left(channels[0], clean)


@pytest.mark.parametrize("part", [0.3, 0.5, 0.7])
@pytest.mark.parametrize("beside", [-6, -3, 0, 3, 6])
def test_a_black_stroke_along_a_crease_has_no_say_in_what_the_crease_is(beside: float, part: float) -> None:
    row, dark = 200.0, 0.3
    start = 0.5 * (1 - part) * WIDTH
    clean = Page(WIDTH, HEIGHT).line((start, row + beside), (start + part * WIDTH, row + beside), width=12)
    page = even_of(clean.grey / 255 * crease(row, dark=dark))
    lanes = lanes_along(page, np.full((1, WIDTH), row, np.float32), 12, wayward=3.0, darkest=0.7)
    # Pieces are a 64th of the length; the pen's round ends may spoil two more at each end.
    assert np.isnan(lanes.strength).mean() == pytest.approx(part, abs=4 / 64)
    assert lanes.dark == pytest.approx(dark, rel=0.2)  # as it varies along
    assert np.abs(lanes.middles - row).max() < 2  # it wavers by 0.8, and rows begin half a pixel higher


@pytest.mark.parametrize(
    "light",
    [
        drawing().grey / 255,
        drawing().line((-9, 400), (570, 410)).grey / 255,  # a horizon, with the pen of the rest
        1 - 0.5 * (1 - drawing().line((-9, 400), (570, 410), width=4).grey / 255),  # all in pencil
        drawing().grey / 255 * (1 - 0.4 * (1 - Page(WIDTH, HEIGHT).line((50, 420), (520, 420)).grey / 255)),
    ],
    ids=["drawing", "horizon", "pencil", "grey, not to the edge"],
)
def test_drawn_lines_are_no_creases(light: np.ndarray) -> None:
    even = even_of(light)
    channels, mends = without_folds([even])
    assert not mends
    assert channels[0] is even


def test_a_page_whose_margins_are_blank_is_not_looked_at_closely() -> None:
    assert not may_be_folded(drawing().grey)
    assert may_be_folded(even_of(drawing().grey / 255 * crease(200)))
