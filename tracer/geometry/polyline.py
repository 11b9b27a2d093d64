"""Polylines: arrays (n, 2)."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def arc_lengths(points: Array) -> Array:
    """Return the distance (n,) from the first point along the polyline to each."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


def end_to_end(lines: Sequence[Array]) -> tuple[Array, Array, Array]:
    """Return the points (m, 2) of polylines in one, the distance (m,) to each, and where each begins (k,).

    Between two lines the distance grows by 1, so that `at` finds places on many at once; the beginning
    of one more is the last.
    """
    first = np.cumsum([0, *map(len, lines)])
    points = np.concatenate([np.empty((0, 2)), *lines])
    steps = np.hypot(*np.diff(points, axis=0, append=points[-1:]).T)
    steps[first[1:] - 1] = 1.0
    along = np.concatenate([[0.0], np.cumsum(steps)])
    return points, along[:-1], along[first]


def dense(lines: Sequence[Array], step: float) -> Array:
    """Return points (m, 2) along all polylines, at most `step` apart on each, both its ends among them."""
    if not len(lines):
        return np.empty((0, 2))
    points, along, where = end_to_end(lines)
    length = np.diff(where) - 1.0
    count = 2 + (length / step).astype(int)
    number = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
    return at(points, along, np.repeat(where[:-1], count) + number * np.repeat(length / (count - 1), count))


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
