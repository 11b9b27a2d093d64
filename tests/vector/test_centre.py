"""Centres and widths to a fraction of a pixel, on ink whose edges are known."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import map_coordinates

from tracer.art.read import scan_of
from tracer.model.ink import Ink
from tracer.raster.ink import find_ink
from tracer.vector.centre import edge_distance, on_ink, refined, sample
from tracer.vector.network import skeleton_network
from tracer.vector.prune import prune
from tracer.vector.samples import Samples

HEIGHT, WIDTH = 160, 200
CENTRES = np.moveaxis(np.indices((HEIGHT, WIDTH)), 0, -1)[..., ::-1] + 0.5


def inked(depth: np.ndarray, blur: float = 0.0) -> Ink:
    """The ink of a picture whose pixel centres lie `depth` inside the edge: the edge falls over a pixel."""
    grey = 255 * (0.5 - np.clip(depth, -0.5, 0.5))
    if blur:
        grey = cv2.GaussianBlur(grey, (0, 0), blur)
    return find_ink(scan_of(np.round(grey).astype(np.uint8)))


def from_segment(start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """Distances (H, W) of pixel centres to a segment."""
    way = end - start
    along = np.clip(((CENTRES - start) @ way) / (way @ way), 0, 1)
    return np.hypot(*np.moveaxis(CENTRES - start - along[..., None] * way, -1, 0))


def branches_of(ink: Ink) -> list[Samples]:
    return refined(ink, prune(skeleton_network(ink.skeleton), ink.radius).branches)


@settings(max_examples=40)
@given(
    turn_deg=st.floats(0, 180),
    width=st.floats(6, 20),  # blurred lines thinner than that are wider at half of their own darkness
    x=st.floats(-0.5, 0.5),
    y=st.floats(-0.5, 0.5),
    blur=st.sampled_from([0.0, 0.8]),
)
def test_samples_of_a_line_lie_on_its_middle(
    turn_deg: float, width: float, x: float, y: float, blur: float
) -> None:
    a = np.radians(turn_deg)
    arm, middle = 55 * np.array([np.cos(a), np.sin(a)]), np.array([WIDTH / 2 + x, HEIGHT / 2 + y])
    ink = inked(width / 2 - from_segment(middle - arm, middle + arm), blur)
    (samples,) = branches_of(ink)
    points, widths = samples.points[samples.clean] / ink.zoom, samples.widths[samples.clean] / ink.zoom
    inner = np.hypot(*(points - middle).T) < 50  # the last 5 px lie in the round cap
    assert inner.sum() > 90 * ink.zoom
    away = shapely.distance(shapely.points(points), shapely.LineString([middle - arm, middle + arm]))
    assert away[inner].max() < 0.1
    assert np.median(widths) == pytest.approx(width, abs=0.2)


@pytest.mark.parametrize(("radius", "width"), [(12.0, 4.0), (40.0, 8.0), (60.3, 16.0)])
def test_samples_of_a_ring_lie_on_its_circle(radius: float, width: float) -> None:
    away = np.hypot(*np.moveaxis(CENTRES - (100.3, 79.8), -1, 0))
    ink = inked(width / 2 - np.abs(away - radius))
    (samples,) = branches_of(ink)
    assert samples.closed
    assert np.array_equal(samples.points[0], samples.points[-1])
    radii = np.hypot(*(samples.points / ink.zoom - (100.3, 79.8)).T)
    assert np.abs(radii - radius).max() < 0.15
    assert samples.width / ink.zoom == pytest.approx(width, abs=0.15)


def test_a_line_that_swells_has_its_own_width_everywhere() -> None:
    # From 4 to 12 px over 140: its half-width at x is (4 + 8 (x - 30) / 140) / 2.
    x = np.clip(CENTRES[..., 0], 30, 170)
    there = np.hypot(CENTRES[..., 0] - x, CENTRES[..., 1] - 80.3)
    ink = inked((4 + 8 * (x - 30) / 140) / 2 - there)
    (samples,) = branches_of(ink)
    points, widths = samples.points / ink.zoom, samples.widths / ink.zoom
    inner = (points[:, 0] > 45) & (points[:, 0] < 155)
    assert samples.clean[inner].mean() > 0.9
    assert np.abs(widths - (4 + 8 * (points[:, 0] - 30) / 140))[inner & samples.clean].max() < 0.5
    assert np.abs(points[inner, 1] - 80.3).max() < 0.15


def test_samples_inside_a_junction_are_not_clean() -> None:
    bar = from_segment(np.array([30.0, 60.3]), np.array([170.0, 60.3]))
    stem = from_segment(np.array([100.3, 60.3]), np.array([100.3, 130.0]))
    ink = inked(5 - np.minimum(bar, stem))
    samples = branches_of(ink)
    assert len(samples) == 3
    for branch in samples:
        points = branch.points[branch.clean] / ink.zoom
        # The stem's ink reaches 5 px to either side, the bar's 5 px up and down.
        assert np.hypot(*(points - (100.3, 60.3)).T).min() > 4.0
        assert branch.clean.mean() > 0.5
        assert np.ptp(branch.widths[branch.clean]) / ink.zoom < 1.0


def bare(depth: np.ndarray, blur: float = 0.0) -> Ink:
    """Darkness without masks: what is measured across lines."""
    darkness = np.clip(depth + 0.5, 0, 1)
    if blur:
        darkness = cv2.GaussianBlur(darkness, (0, 0), blur)
    darkness, none = np.round(255 * darkness).astype(np.uint8), np.zeros(depth.shape, bool)
    return Ink(1.0, 1, darkness, 0.5, none, none, none, np.zeros(depth.shape, np.float32), 8.0)


@given(turn_deg=st.floats(0, 360), away=st.floats(4.0, 9.0), blur=st.sampled_from([0.0, 1.0]))
def test_the_edge_of_half_a_page_is_as_far_as_it_is(turn_deg: float, away: float, blur: float) -> None:
    a = np.radians(turn_deg)
    ray = np.array([[np.cos(a), np.sin(a)]])
    point = np.array([[100.2, 79.7]])
    ink = bare(away - (CENTRES - point[0]) @ ray[0], blur)
    assert edge_distance(ink, point, ray, 12)[0] == pytest.approx(away, abs=0.15)
    assert np.isnan(edge_distance(ink, point, ray, away - 1.5)[0])
    assert np.isnan(edge_distance(ink, point + (away + 1) * ray, ray, 12)[0])
    assert on_ink(ink, np.concatenate([point, point + (away - 0.2) * ray])).all()
    assert not on_ink(ink, point + (away + 0.5) * ray).any()


@pytest.mark.parametrize("count", [7, 30_001, 61_000])
def test_darkness_between_pixels_is_interpolated(count: int) -> None:
    # scipy: order 1; its pixel centres are whole numbers. OpenCV's fractions are 32nds: 8 / 255 at the worst.
    rng = np.random.default_rng(5)
    ink = replace(bare(rng.uniform(-0.5, 0.5, (90, 120))), grain=2)
    height, width = 45, 60
    x, y = rng.uniform(-2, width + 2, (count, 1)), rng.uniform(-2, height + 2, (count, 1))
    places = np.array([y.ravel(), x.ravel()]) * ink.grain - 0.5
    expected = map_coordinates(ink.darkness / 255, places, order=1, mode="nearest")
    assert np.abs(sample(ink, x, y).ravel() - expected).max() < 8 / 255


def test_nothing_has_no_samples() -> None:
    assert refined(bare(np.zeros((9, 9))), []) == []
