"""Polylines stay within their tolerance of the curve, by dense evaluation."""

import numpy as np
import pytest
import shapely
from curve_strategies import chains
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.geometry.flatten import flatten, flatten_all, places


@settings(max_examples=60, deadline=None)
@given(chains(), st.sampled_from([0.05, 0.3, 2.0]))
def test_every_point_of_the_curve_is_within_the_tolerance(chain: np.ndarray, tolerance: float) -> None:
    line = shapely.LineString(flatten(chain, tolerance))
    dense = bezier.points_at(chain, np.linspace(0, len(chain), 1500))
    assert shapely.distance(shapely.points(dense), line).max() <= tolerance * (1 + 1e-9)


@given(chains())
def test_ends_and_joins_of_the_cubics_are_kept(chain: np.ndarray) -> None:
    t = places(chain, 0.5)
    assert set(range(len(chain) + 1)) <= set(t.tolist())
    assert (np.diff(t) > 0).all()
    assert np.array_equal(flatten(chain, 0.5)[[0, -1]], [chain[0, 0], chain[-1, -1]])


def test_straight_cubics_need_no_points_within() -> None:
    assert len(flatten(bezier.from_polyline(np.array([[0.0, 0], [90, 0], [90, 90]])), 0.01)) == 3


@pytest.mark.parametrize("tolerance", [0.1, 0.01, 0.001])
def test_no_more_pieces_than_a_circle_needs(tolerance: float) -> None:
    # Handbook: a chord of a circle of radius r departs from it by r (1 - cos(step / 2)); so many are
    # needed at least. Wang's bound (1984) takes few more.
    k = 4 / 3 * np.tan(np.pi / 8)
    quarter = 100 * np.array([[[1, 0], [1, k], [k, 1], [0, 1]]])
    least = np.pi / 2 / (2 * np.arccos(1 - tolerance / 100))
    assert least - 1 <= len(flatten(quarter, tolerance)) - 1 <= 1.4 * least + 1


def test_an_absurd_tolerance_does_not_fill_the_memory() -> None:
    assert len(flatten(1e9 * np.array([[[0.0, 0], [0, 1], [1, 1], [1, 0]]]), 1e-9)) <= 5000


@given(st.lists(chains(), min_size=0, max_size=5), st.floats(0.01, 2.0))
def test_many_chains_at_once_are_each_flattened_as_alone(many: list[np.ndarray], tolerance: float) -> None:
    for chain, points in zip(many, flatten_all(many, tolerance), strict=True):
        np.testing.assert_allclose(points, flatten(chain, tolerance), atol=1e-9)
