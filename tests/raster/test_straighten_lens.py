"""A lens that bends a sheet's edges is told from a sheet that curls, and taken out."""

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest
from camera import Camera, Setting, page, photograph
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tracer.art.arrays import scan_of
from tracer.model.scan import Scan
from tracer.raster.lens import Lens, bow_of, lens_of
from tracer.raster.quad import quad_seen
from tracer.raster.straighten import straightened
from tracer.reading import Reading
from tracer.shop.paper import paper_named

A4 = (210.0, 297.0)
SIZE = (1000, 750)
CAMERA = Camera(SIZE, 750.0, 350.0, tilt_deg=10, azimuth_deg=40, roll_deg=92)


def bent_photo(strength: float) -> Scan:
    """A photograph through a lens of some strength."""
    pixels = photograph(page(A4, 5.0), A4, CAMERA, Setting())
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]] + 0.5
    lens = Lens(np.array(SIZE) / 2, math.hypot(*SIZE) / 2, strength)
    source = (lens.unbent(np.stack([x, y], axis=-1).reshape(-1, 2)) - 0.5).reshape(SIZE[1], SIZE[0], 2)
    xs, ys = (source[..., k].astype(np.float32) for k in range(2))
    bent = cv2.remap(pixels, xs, ys, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return replace(scan_of(np.asarray(bent, np.uint8)), from_camera=True)


@pytest.mark.parametrize("strength", [-0.04, 0.015, 0.06])
def test_the_lens_is_found_and_taken_out(strength: float) -> None:
    scan = bent_photo(strength)
    quad = quad_seen(scan, sure=False)
    assert quad is not None
    assert quad.lens is not None
    assert quad.lens.strength == pytest.approx(strength, abs=0.002)
    assert max(edge.bow for edge in quad.edges) < 5e-4
    assert np.hypot(*(quad.corners - np.roll(CAMERA.corners(A4), 1, axis=0)).T).max() < 1.5
    flat = straightened(scan, Reading(photo_of=paper_named("A4")))
    assert any("lens" in note for note in flat.notes)
    straight = straightened(bent_photo(0.0), Reading(photo_of=paper_named("A4")))
    height, width = (min(pair) for pair in zip(flat.grey.shape, straight.grey.shape, strict=True))
    like = cv2.resize(straight.grey, flat.grey.shape[::-1]).astype(int)[:height, :width]
    ink = flat.grey[:height, :width].astype(int) < 0.6 * np.median(like)
    assert np.mean(like[ink] < 0.8 * np.median(like)) > 0.97  # lines lie on lines


def test_a_straight_photo_needs_no_lens() -> None:
    quad = quad_seen(bent_photo(0.0), sure=False)
    assert quad is not None
    assert quad.lens is None


@settings(max_examples=40, deadline=None)
@given(st.floats(-0.12, 0.12), st.floats(0, 1000), st.floats(0, 750))
def test_bending_undoes_unbending(strength: float, x: float, y: float) -> None:
    lens = Lens(np.array([500.0, 375.0]), 625.0, strength)
    points = np.array([[x, y]])
    np.testing.assert_allclose(lens.bent(lens.unbent(points)), points, atol=0.01)


def sides(bows: list[float]) -> list[NDArray[np.float64]]:
    """The edges of a rectangle in a picture, clockwise, that bow to the inside by parts of their length."""
    corners = np.array([[150.0, 100], [850, 100], [850, 650], [150, 650]])
    edges = []
    for k, bow in enumerate(bows):
        a, b = corners[k], corners[(k + 1) % 4]
        unit = np.linspace(-1, 1, 11)[:, None]
        inward = np.array([-(b - a)[1], (b - a)[0]])
        edges.append((a + b) / 2 + (b - a) / 2 * unit + inward * bow * (1 - unit**2))
    return edges


def test_bows_are_told_by_part_of_the_length() -> None:
    assert [bow_of(edge) for edge in sides([0.01, -0.004, 0.0, 0.02])] == pytest.approx(
        [0.01, -0.004, 0.0, 0.02]
    )


@pytest.mark.parametrize("bows", [[0, 0.01, 0, -0.01], [0, 0.01, 0, 0.01], [0.01, 0, 0, 0], [2e-4] * 4])
def test_a_curl_is_no_lens(bows: list[float]) -> None:
    assert lens_of(sides(bows), SIZE) is None


def test_what_a_lens_bent_is_one() -> None:
    """Brown's radial term as OpenCV has it: points at r move to r (1 + k r^2), r in focal lengths."""
    inner = np.array([[800.0, 0, 500], [0, 800, 375], [0, 0, 1]])
    bent = []
    for edge in sides([0, 0, 0, 0]):
        rays = np.column_stack([(edge - (500, 375)) / 800, np.ones(len(edge))])
        seen, _ = cv2.projectPoints(rays, np.zeros(3), np.zeros(3), inner, np.array([-0.09, 0, 0, 0, 0]))
        bent.append(np.asarray(seen, np.float64).reshape(-1, 2))
    lens = lens_of(bent, SIZE)
    assert lens is not None
    before = max(abs(bow_of(edge)) for edge in bent)
    after = max(abs(bow_of(lens.unbent(edge))) for edge in bent)
    assert before > 0.004
    assert after < 0.1 * before
