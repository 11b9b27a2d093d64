"""Pencil lines: whole where the paper's tooth broke them; what a pen drew is left as it is."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page, traced

from tracer.raster.flow import flow_of
from tracer.raster.pencil import pen_width, whole_lines


def bumps(shape: tuple[int, int], size: float, seed: int = 1) -> np.ndarray:
    """Paper's tooth: normal heights, as wide as a blur of `size` pixels makes them."""
    rough = np.random.default_rng(seed).standard_normal(shape)
    heights = np.asarray(cv2.GaussianBlur(rough, (0, 0), size), np.float64)
    return np.asarray(heights / heights.std())


def pencilled(clean: np.ndarray, bare: float, size: float = 1.2) -> np.ndarray:
    """A page (H, W) on which `bare` of a line's length, in the mean, lies in hollows that graphite misses."""
    cover = 1 - clean / 255
    heights = bumps(clean.shape, size)
    touched = heights > np.quantile(heights, bare)
    grey = 245 - 130 * cover * touched
    noise = np.random.default_rng(2).normal(0, 3, clean.shape)
    return np.clip(cv2.GaussianBlur(grey, (0, 0), 0.8) + noise, 0, 255).astype(np.uint8)


def page(width: float = 7) -> Page:
    return Page(420, 300).line((40, 40), (380, 60), width=width).ring(200, 180, 80, width=width)


@pytest.mark.parametrize("width", [5, 7, 12])
def test_lines_that_the_tooth_breaks_are_whole(width: float) -> None:
    grey = pencilled(page(width).grey, 0.35)
    broken = cv2.connectedComponents((grey < 180).astype(np.uint8))[0] - 1
    assert broken > 12  # else there is nothing to make whole
    drawing = traced(grey)
    ring = max(drawing.strokes, key=lambda s: np.ptp(s.points(0.1)[:, 1]))
    away = np.hypot(*(ring.points(0.1) - (200, 180)).T) - 80
    assert np.abs(away).max() < width / 2
    assert len(drawing.strokes) <= 3


def test_a_soft_pencil_seen_grain_by_grain_is_whole() -> None:
    """A camera's sharp picture of a soft pencil is as dark as ink between the tooth's hollows."""
    clean = Page(1200, 700).line((60, 90), (1140, 120), width=18).line((200, 600), (1100, 180), width=18).grey
    cover, heights = 1 - clean / 255, bumps(clean.shape, 1.6)
    grey = 250 - 235 * cover * np.clip(1 + 0.75 * heights, 0, 1)
    darkness = np.clip(255 - grey, 0, 255).astype(np.uint8)
    drawn = darkness[darkness > 64]
    assert np.mean(drawn < 200) < 0.5  # most is no greyer than ink
    inside = cv2.erode((clean < 128).astype(np.uint8), np.ones((9, 9), np.uint8)) > 0
    assert darkness[inside].min() < 40
    assert whole_lines(darkness)[inside].min() > 128


@pytest.mark.parametrize("radius", [40, 120])
def test_along_a_bend_the_average_leaves_no_halo(radius: int) -> None:
    """Averaged along its tangent a bend darkens the paper outside it, which is then raised to full."""
    ring = 255 - 0.6 * (255 - Page(620, 300).ring(450, 150, radius, width=6).grey.astype(float))
    lines = Page(620, 300).line((30, 30), (280, 250), width=6).line((30, 100), (280, 290), width=6).grey
    grey = pencilled(np.minimum(ring, lines).astype(np.uint8), 0.45).astype(float)
    whole = whole_lines(np.clip(2 * (247 - grey), 0, 255).astype(np.uint8))
    y, x = np.indices(whole.shape) + 0.5
    away = abs(np.hypot(x - 450, y - 150) - radius)
    assert whole[(away > 9) & (away < 24)].max() < 30
    assert np.median(whole[away < 1]) > 200


def test_an_end_stays_where_it_is() -> None:
    # Averages along the line reach 2.8 pen widths = 20 px past it; the closing needs ink on both sides.
    for seed_width in (6, 8):
        grey = pencilled(Page(420, 120).line((80, 60), (330, 60), width=seed_width).grey, 0.3)
        points = np.concatenate([s.points(0.1) for s in traced(grey).strokes])
        assert points[:, 0].min() == pytest.approx(80, abs=seed_width)
        assert points[:, 0].max() == pytest.approx(330, abs=seed_width)


def test_what_a_pen_drew_is_left_as_it_is() -> None:
    darkness = 255 - cv2.GaussianBlur(page().grey, (0, 0), 1)
    assert whole_lines(darkness) is darkness


def test_even_grey_lines_are_left_as_they_are() -> None:
    # Half as dark as the blot beside them, but smooth: a felt pen.
    darkness = ((255 - page().grey) * 0.55).astype(np.uint8)
    darkness[200:215, 20:35] = 255
    assert whole_lines(darkness) is darkness


def test_a_page_without_ink_is_left_as_it_is() -> None:
    nothing = np.zeros((60, 80), np.uint8)
    assert whole_lines(nothing) is nothing


@pytest.mark.parametrize("width", [6, 10, 16])
def test_the_pens_width_is_seen_through_the_tooth(width: float) -> None:
    darkness = 255 - pencilled(page(width).grey, 0.35)
    darkness = cv2.subtract(darkness, np.full_like(darkness, 10))
    darkness = (np.minimum(darkness / 130, 1) * 255).astype(np.uint8)
    assert pen_width(darkness) == pytest.approx(width, rel=0.35)


@settings(max_examples=20, deadline=None)
@given(turn=st.floats(0, np.pi), width=st.floats(4, 10))
def test_the_flow_runs_along_lines(turn: float, width: float) -> None:
    way = np.array([np.cos(turn), np.sin(turn)])
    ends = [(100 - 60 * way), (100 + 60 * way)]
    darkness = 255 - Page(200, 200).line(*(tuple(e) for e in ends), width=width).grey
    flow = flow_of(darkness, width)
    near = (np.hypot(flow.x - 99.5, flow.y - 99.5) < 40) & (
        np.abs((flow.x - 99.5) * way[1] - (flow.y - 99.5) * way[0]) < width / 2
    )
    along = np.abs(flow.along_x[near] * way[0] + flow.along_y[near] * way[1])
    assert along.min() > np.cos(np.radians(4))
    assert flow.trust[near].min() > 0.9
