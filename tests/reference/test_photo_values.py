"""Photographed sheets against what others know: projective geometry, a second library, paper standards."""

import math

import cv2
import numpy as np
import pytest
from camera import Camera, through
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.raster.flatten import Flattening, flattened
from tracer.raster.homography import homography, led_through
from tracer.raster.paper_fit import fit_paper
from tracer.raster.sheet_words import size_doubt
from tracer.shop.paper import PAPERS, paper_named


def test_homography_by_hand() -> None:
    """The unit square on a trapezium, worked by hand (Heckbert 1989, square to quad, after (2.9)).

    Corners (0,0) (4,0) (3,2) (1,2): the sums x0-x1+x2-x3 = 0-4+3-1 = -2 and y0-y1+y2-y3 = 0;
    with d1 = (1,-2), d2 = (-2,0): g = (-2*0 - 0*-2)/(1*0 - (-2)(-2)) = 0 and
    h = (1*0 - (-2)(-2))/(-4) = 1. So a = 4 - 0 + 0 = 4, b = 1 - 0 + 1*1 = 2, d = 0, e = 2 + 1*2 = 4.
    """
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)
    trapezium = np.array([[0, 0], [4, 0], [3, 2], [1, 2]], float)
    by_hand = [[4, 2, 0], [0, 4, 0], [0, 1, 1]]
    np.testing.assert_allclose(homography(square, trapezium), by_hand, atol=1e-12)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-80, 80), min_size=8, max_size=8))
def test_homography_is_that_of_opencv(shifts: list[float]) -> None:
    page = np.array([[0, 0], [2100, 0], [2100, 2970], [0, 2970]], float)
    quad = np.array([[300, 200], [1800, 240], [1900, 2300], [200, 2200]], float) + np.reshape(shifts, (4, 2))
    theirs = cv2.getPerspectiveTransform(quad.astype(np.float32), page.astype(np.float32))
    points = np.array([[700.0, 800], [1500, 400], [400, 2000]])
    ours = led_through(homography(quad, page), points)
    np.testing.assert_allclose(ours, through(theirs, points), atol=0.01)  # theirs reads single floats


def test_ten_degrees_of_tilt_print_the_near_edge_a_ninth_larger() -> None:
    """Camera 500 mm above A4, tilted 10 degrees: (D + h/2 sin a)/(D - h/2 sin a) = 1.109 with h = 297.

    The trade's example; projection through a pinhole.
    """
    corners = Camera(distance=500, tilt_deg=10).corners((210.0, 297.0))
    one, other = (math.dist(*corners[pair]) for pair in ([0, 1], [2, 3]))
    assert max(one, other) / min(one, other) == pytest.approx(1.109, abs=5e-4)
    flat = led_through(
        homography(corners, np.array([[0, 0], [210, 0], [210, 297], [0, 297]], float)), corners
    )
    assert math.dist(flat[0], flat[1]) == pytest.approx(math.dist(flat[2], flat[3]))


def test_four_thousand_pixels_fill_a4_at_342_dpi() -> None:
    """4000 px / (297 mm / 25.4) = 342 dpi: pixels by inches."""
    from dataclasses import replace

    from tracer.art.read import scan_of
    from tracer.raster.straighten import straightened
    from tracer.reading import Reading

    height = round(4000 / math.sqrt(2))
    scan = replace(scan_of(np.full((height, 4000), 200, np.uint8)), from_camera=True)
    corners = ((0.0, 0.0), (4000.0, 0.0), (4000.0, float(height)), (0.0, float(height)))
    flat = straightened(scan, Reading(photo_of=paper_named("A4"), corners=corners))
    assert flat.mm_per_px is not None
    assert 25.4 / flat.mm_per_px == pytest.approx(342, abs=0.5)


def test_flattening_is_that_of_opencv() -> None:
    rng = np.random.default_rng(4)
    picture = cv2.GaussianBlur(rng.integers(0, 255, (300, 400), np.uint8), (0, 0), 3)
    quad = np.array([[60, 40], [330, 60], [350, 250], [40, 240]], np.float32)
    page = np.array([[0, 0], [140, 0], [140, 100], [0, 100]], np.float32)
    # OpenCV counts from the first pixel's centre, art px from its corner
    theirs = cv2.warpPerspective(
        picture, cv2.getPerspectiveTransform(quad - 0.5, page - 0.5), (140, 100), flags=cv2.INTER_CUBIC
    )
    matrix = homography(quad.astype(float), page.astype(float))
    ours = flattened(picture, Flattening(matrix, (140, 100)))
    assert np.abs(ours.astype(int) - theirs).max() <= 1


@pytest.mark.parametrize(
    "paper", [p for p in PAPERS if p.name in ("A4", "Letter", "Legal")], ids=lambda p: p.name
)
@pytest.mark.parametrize("tilt_deg", [0, 5, 12, 25])
@pytest.mark.parametrize("azimuth_deg", [0, 30, 45, 90, 200])
@pytest.mark.parametrize("focal", [0.65, 0.75, 0.85])
def test_papers_are_told_apart_by_their_corners(
    paper: object, tilt_deg: float, azimuth_deg: float, focal: float
) -> None:
    """Telephones' main cameras have 24 to 30 mm by 36 of the longer side: .65 to .85 of it (from memory)."""
    camera = Camera((4000, 3000), 4000 * focal, 480, tilt_deg, azimuth_deg, roll_deg=90, aside=(15, -10))
    sheet = next(p for p in PAPERS if p is paper)
    fit = fit_paper(camera.corners((sheet.width, sheet.height)), (4000, 3000))
    assert fit.paper is sheet


@pytest.mark.parametrize(
    ("name", "doubt"),
    [
        ("A4", 2 / 297),  # ISO 216: 2 mm for 150 to 600 mm
        ("A3", 2 / 420),
        ("105 x 148 mm", 1.5 / 148),  # 1.5 mm up to 150
        ("594 x 841 mm", 3 / 841),  # 3 mm above 600
        ("Letter", (25.4 / 32) / 279.4),  # 1/32 in (common practice, no source)
    ],
)
def test_what_paper_leaves_in_doubt(name: str, doubt: float) -> None:
    assert size_doubt(paper_named(name)) == pytest.approx(doubt)
