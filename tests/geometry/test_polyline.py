"""Polylines against shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from tracer.geometry import polyline

polylines = st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99)), min_size=2, max_size=9).map(
    lambda points: np.array(points, float)
)


@given(polylines)
def test_arc_lengths_are_shapelys(points: np.ndarray) -> None:
    along = polyline.arc_lengths(points)
    assert along[0] == 0
    assert along[-1] == pytest.approx(shapely.LineString(points).length)
    assert len(along) == len(points)


@given(polylines, st.sampled_from([0.5, 3.0, 40.0]))
def test_resampled_points_are_evenly_spaced_on_the_line(points: np.ndarray, step: float) -> None:
    even = polyline.resample(points, step)
    line = shapely.LineString(points)
    assert even[[0, -1]] == pytest.approx(points[[0, -1]])
    if line.length == 0:
        assert len(even) == 2
        return
    wanted = [line.interpolate(share, normalized=True) for share in np.linspace(0, 1, len(even))]
    assert even == pytest.approx(shapely.get_coordinates(wanted), abs=1e-6)
    spacing = line.length / (len(even) - 1)
    assert spacing == pytest.approx(step, rel=0.34) or len(even) == 2


@given(st.lists(polylines, max_size=5), st.sampled_from([0.6191, 7.0853]))
def test_dense_points_lie_on_their_lines_and_leave_no_gap(lines: list[np.ndarray], step: float) -> None:
    found = polyline.dense(lines, step)
    lengths = [shapely.LineString(points).length for points in lines]
    counts = [2 + int(length / step) for length in lengths]
    assert len(found) == sum(counts)
    for points, length, own in zip(lines, lengths, np.split(found, np.cumsum(counts)[:-1]), strict=False):
        wanted = [shapely.LineString(points).interpolate(at) for at in np.linspace(0, length, len(own))]
        assert own == pytest.approx(shapely.get_coordinates(wanted), abs=1e-6)


@given(st.lists(polylines, max_size=5), st.sampled_from([0.5, 3.0]))
def test_many_lines_are_resampled_as_each_alone(lines: list[np.ndarray], step: float) -> None:
    found = polyline.resample_all(lines, step)
    assert len(found) == len(lines)
    for own, points in zip(found, lines, strict=True):
        assert own == pytest.approx(polyline.resample(points, step), abs=1e-9)
