"""Cubics through points with known directions: near, smooth, and few."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.geometry.fit import fit_cubics


def arc(radius: float, degrees: float, count: int = 200) -> tuple[np.ndarray, np.ndarray]:
    """Points and directions along an arc."""
    angles = np.radians(np.linspace(0, degrees, count))
    points = radius * np.column_stack([np.cos(angles), np.sin(angles)])
    return points, np.column_stack([-np.sin(angles), np.cos(angles)])


@given(st.floats(0.5, 200), st.floats(5, 350), st.sampled_from([0.1, 0.01, 0.001]))
def test_arcs(radius: float, degrees: float, tolerance: float) -> None:
    points, tangents = arc(radius, degrees)
    chain = fit_cubics(points, tangents, tolerance)
    assert chain[0, 0] == pytest.approx(points[0])
    assert chain[-1, 3] == pytest.approx(points[-1])
    assert chain[1:, 0] == pytest.approx(chain[:-1, 3])
    radii = np.hypot(*bezier.points_at(chain, np.linspace(0, len(chain), 2000)).T)
    assert np.abs(radii - radius).max() <= 1.3 * tolerance + 1e-9  # points lie apart
    knots = np.arange(1, len(chain))
    into, out = (bezier.tangents_at(chain, knots + side) for side in (-1e-9, 1e-9))
    assert (into * out).sum(axis=1) == pytest.approx(1, abs=1e-4)


def test_few() -> None:
    """One cubic lies within 0.03 % of the radius of a quarter circle: 1/200 mm at 15 mm (from memory)."""
    assert len(fit_cubics(*arc(15.0, 90), 0.005)) == 1
    assert len(fit_cubics(*arc(15.0, 360), 0.005)) <= 9


def test_a_cubic_is_found_again() -> None:
    cubic = np.array([[[0, 0], [10, 20], [30, -5], [40, 10.0]]])
    t = np.linspace(0, 1, 300)
    chain = fit_cubics(bezier.points_at(cubic, t), bezier.tangents_at(cubic, t), 1e-3)
    assert len(chain) == 1
    assert chain[0] == pytest.approx(cubic[0], abs=0.05)


def test_two_points() -> None:
    straight = fit_cubics(np.array([[0.0, 0], [3, 4]]), np.array([[0.6, 0.8], [0.6, 0.8]]), 0.01)
    assert bezier.length(straight) == pytest.approx(5.0)
    assert math.isfinite(straight.sum())
