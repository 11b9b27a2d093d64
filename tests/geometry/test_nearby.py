"""Points in cells against scipy's k-d tree, an outside reference."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import cKDTree

import tracer.geometry.nearby as module
from tracer.geometry.nearby import Nearby

coordinate = st.integers(-40, 40).map(lambda n: n / 8)
places = st.lists(st.tuples(coordinate, coordinate), max_size=40).map(lambda p: np.array(p).reshape(-1, 2))
reaches = st.floats(0.01, 6.0)


@given(places, places, reaches)
def test_pairs_are_those_of_a_tree(points: np.ndarray, asked: np.ndarray, reach: float) -> None:
    one, other, far = Nearby(points, reach).pairs(asked)
    found = set(zip(one.tolist(), other.tolist(), strict=True))
    assert len(found) == len(one)
    apart = np.hypot(*(asked[:, None] - points).T)
    assert found == {(i, j) for j, i in zip(*np.nonzero(apart <= reach), strict=True)}
    assert np.allclose(far, apart.T[one, other])


@given(places, places, reaches)
def test_nearest_are_those_of_a_tree(points: np.ndarray, asked: np.ndarray, reach: float) -> None:
    away, index = Nearby(points, reach).nearest(asked)
    if not len(points):
        assert np.isinf(away).all()
        return
    expected = cKDTree(points).query(asked)[0] if len(asked) else np.zeros(0)
    assert np.allclose(away, np.where(expected <= reach, expected, np.inf))
    known = np.isfinite(away)
    assert (Nearby(points, reach).any(asked) == known).all()
    assert (index[~known] == len(points)).all()
    assert np.allclose(np.hypot(*(asked - np.vstack([points, [0, 0]])[index])[known].T), away[known])


def test_many_points_are_looked_at_by_part(monkeypatch) -> None:
    monkeypatch.setattr(module, "_AT_ONCE", 7)
    points = np.random.default_rng(1).uniform(0, 10, (200, 2))
    near = Nearby(points, 1.5)
    away, index = near.nearest(points + 0.01)
    expected, which = cKDTree(points).query(points + 0.01)
    assert np.allclose(away, expected)
    assert (index == which).all()
    assert len(near.pairs(points)[0]) == len(cKDTree(points).query_pairs(1.5)) * 2 + 200
