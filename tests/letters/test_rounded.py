"""Coarse polylines become smooth: round bows, straight stems, sharp corners."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.flatten import flatten
from tracer.letters.rounded import CORNER, rounded

Array = NDArray[np.float64]

STEM = [(0, 21), (0, 6), (1, 3), (3, 1), (6, 0), (8, 0), (11, 1), (13, 3), (14, 6), (14, 21)]
"""A U on the grid."""


def on_grid(radius: float, count: int, *, whole: bool = True) -> Array:
    """A circle's points, rounded to whole steps; the last is the first where it is whole."""
    angles = np.linspace(0, 2 * np.pi, count + 1)[: None if whole else count // 2 + 1]
    return np.round(radius * np.column_stack([np.cos(angles), np.sin(angles)]))


def turns(curves: Array, step: float = 0.05) -> Array:
    """Angles between successive samples of a chain, radians."""
    points = flatten(curves, step * step / 8)
    sides = np.diff(points, axis=0)
    sides = sides[np.hypot(*sides.T) > 1e-9]
    angle = np.arctan2(sides[:, 1], sides[:, 0])
    return np.asarray((np.diff(angle) + np.pi) % (2 * np.pi) - np.pi)


@pytest.mark.parametrize("radius", [5.0, 7.0, 10.0])
def test_a_circle_on_the_grid_comes_out_round(radius: float) -> None:
    # its points lie up to 0.71 steps off the circle, and their polyline a further sagitta inside
    points = on_grid(radius, 16)
    away = np.hypot(*flatten(rounded(points), 0.01).T) - radius
    raw = np.hypot(*flatten(bezier.from_polyline(points), 0.01).T) - radius
    assert np.abs(away).max() < np.sqrt(0.5)
    assert np.abs(away).max() < np.abs(raw).max() + 0.05


def test_a_ring_has_neither_facets_nor_a_seam() -> None:
    points = on_grid(7.0, 16)
    curves = rounded(points)
    assert np.array_equal(curves[0, 0], curves[-1, 3])
    around = np.concatenate([curves, curves[:1]])
    assert np.abs(turns(around)).max() < np.radians(4)  # the polyline turns by up to 34 degrees at once
    assert (turns(around) > -1e-3).all()  # it never bends the other way


def test_bows_are_symmetric_where_their_points_are() -> None:
    curve = flatten(rounded(np.array(STEM, float)), 0.001)
    mirrored = (curve * (-1, 1) + (14, 0))[::-1]
    apart = np.hypot(*(curve[:, None] - mirrored[None]).transpose(2, 0, 1)).min(axis=1)
    assert apart.max() < 0.15  # steps between samples


def test_stems_stay_exactly_straight_and_bows_leave_along_them() -> None:
    curves = rounded(np.array(STEM, float))
    assert np.array_equal(curves[0], bezier.from_polyline(np.array(STEM[:2], float))[0])
    assert np.array_equal(curves[-1], bezier.from_polyline(np.array(STEM[-2:], float))[0])
    leaves, comes = curves[1, 1] - curves[1, 0], curves[-2, 3] - curves[-2, 2]
    assert leaves / np.hypot(*leaves) == pytest.approx([0, -1], abs=1e-6)
    assert comes / np.hypot(*comes) == pytest.approx([0, 1], abs=1e-6)


def test_corners_stay_sharp() -> None:
    five = np.array(
        [(12, 21), (2, 21), (1, 12), (2, 13), (5, 14), (8, 14), (11, 13), (13, 11), (14, 8)], float
    )
    curves = rounded(five)
    nodes = np.concatenate([curves[:, 0], curves[-1:, 3]])
    for corner in five[:3]:
        assert (np.hypot(*(nodes - corner).T) < 1e-9).any()
    assert np.abs(turns(curves)).max() > CORNER


def test_two_points_are_a_straight_line() -> None:
    points = np.array([(0, 0), (3, 4)], float)
    assert np.array_equal(rounded(points), bezier.from_polyline(points))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(-6, 6), st.integers(-6, 6)), min_size=2, max_size=12)
    .map(lambda points: [p for k, p in enumerate(points) if not k or p != points[k - 1]])
    .filter(lambda points: len(points) > 1)
)
def test_any_polyline_keeps_its_ends_and_stays_near_its_points(points: list[tuple[int, int]]) -> None:
    line = np.array(points, float)
    curves = rounded(line)
    assert np.isfinite(curves).all()
    assert np.array_equal(curves[1:, 0], curves[:-1, 3])  # one chain
    if points[0] != points[-1]:
        assert curves[0, 0] == pytest.approx(line[0], abs=1e-5)
        assert curves[-1, 3] == pytest.approx(line[-1], abs=1e-5)
    track = bezier.points_at(curves, np.linspace(0, len(curves), 40 * len(curves)))
    away = np.hypot(*(track[:, None] - line[None]).transpose(2, 0, 1)).min(axis=0)
    assert away.max() < 1.0


@pytest.mark.parametrize(("turn_deg", "sharp"), [(70, False), (80, True)])
def test_bows_turn_by_less_than_corners(turn_deg: float, *, sharp: bool) -> None:
    angle = np.radians(turn_deg)
    ahead = np.array([np.cos(angle), np.sin(angle)])
    line = np.array([(-4, 0), (-2, 0), (0, 0), 2 * ahead, 4 * ahead])
    assert (np.abs(turns(rounded(line))).max() > angle / 2) == sharp
