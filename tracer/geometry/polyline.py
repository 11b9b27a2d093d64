"""Polylines: arrays (n, 2)."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def arc_lengths(points: Array) -> Array:
    """Return the distance (n,) from the first point along the polyline to each."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


def resample(points: Array, step: float) -> Array:
    """Return the polyline with points evenly spaced, about `step` apart; both ends are kept."""
    along = arc_lengths(points)
    if along[-1] == 0:
        return points[[0, -1]]
    wanted = np.linspace(0, along[-1], max(1, round(along[-1] / step)) + 1)
    return at(points, along, wanted)


def at(points: Array, along: Array, wanted: Array) -> Array:
    """Return the points (m, 2) at the distances `wanted` (m,); `along` is arc_lengths(points)."""
    return np.column_stack([np.interp(wanted, along, points[:, 0]), np.interp(wanted, along, points[:, 1])])
