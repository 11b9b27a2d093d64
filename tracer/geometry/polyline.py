"""Polylines: arrays (n, 2)."""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]


def arc_lengths(points: Array) -> Array:
    """Return the distance (n,) from the first point along the polyline to each."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


class Joined(NamedTuple):
    """Polylines in one, so that places on many are found at once.

    `points` (m, 2) and the distance `along` (m,) to each, which grows by 1 from line to line; where on it
    each line begins, `start` (k,), and its `length` (k,).
    """

    points: Array
    along: Array
    start: Array
    length: Array

    def evenly(self, pieces: Index) -> tuple[Array, Index]:
        """Return points (n, 2) that cut each line into so many `pieces` (k,), its ends too; each's count."""
        count = pieces + 1
        number = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
        wanted = np.repeat(self.start, count) + np.repeat(self.length / pieces, count) * number
        return at(self.points, self.along, wanted), count


def end_to_end(lines: Sequence[Array]) -> Joined:
    """Return polylines, each of one point or more, joined."""
    first = np.cumsum([0, *map(len, lines)])
    points = np.concatenate([np.zeros((0 if len(lines) else 1, 2)), *lines])
    steps = np.hypot(*np.diff(points, axis=0).T)
    steps[first[1:-1] - 1] = 1.0
    along = np.concatenate([[0.0], np.cumsum(steps)])
    start = along[first[:-1]]
    return Joined(points, along, start, along[first[1:] - 1] - start)


def dense(lines: Sequence[Array], step: float) -> Array:
    """Return points (m, 2) along all polylines, at most `step` apart on each, both its ends among them."""
    joined = end_to_end(lines)
    return joined.evenly(1 + (joined.length / step).astype(np.intp))[0]


def resample_all(lines: Sequence[Array], step: float) -> list[Array]:
    """Return each polyline as `resample` does: quicker for many short ones."""
    joined = end_to_end(lines)
    points, count = joined.evenly(np.maximum(1, np.rint(joined.length / step)).astype(np.intp))
    return [points[start:end] for start, end in pairwise([0, *np.cumsum(count).tolist()])]


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
