"""Sets of polylines cut into short pieces, and distances to them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Array = NDArray[np.float64]
Index = NDArray[np.intp]

PIECE = 0.1
"""mm: longest piece."""

NEAREST = 6
"""Pieces whose middles are nearest, among which the nearest piece is looked for."""


@dataclass(frozen=True, eq=False)
class Lines:
    """Polylines in pieces at most `PIECE` long, page mm.

    Attributes
    ----------
    start, step : (m, 2) where each piece begins, and the way to its end; a dot is a piece of no length.
    owner : (m,) the polyline each belongs to.
    along : (m,) arc length from the polyline's start to the piece's middle.
    lengths : (n,) of the polylines.
    closed : (n,) bool.
    ends : (n, 2, 2) first and last point of each.
    """

    start: Array
    step: Array
    owner: Index
    along: Array
    lengths: Array
    closed: NDArray[np.bool_]
    ends: Array

    @cached_property
    def middles(self) -> Array:
        """Middle of each piece (m, 2)."""
        return self.start + self.step / 2

    @cached_property
    def weights(self) -> Array:
        """Length of each piece (m,)."""
        return np.hypot(self.step[:, 0], self.step[:, 1])

    @cached_property
    def tree(self) -> cKDTree:
        """The middles, to be looked up."""
        return cKDTree(self.middles)

    def nearest(self, points: Array) -> tuple[Array, Index]:
        """Return distances to the `NEAREST` pieces of each point (p, k), and which they are."""
        count = min(NEAREST, len(self.start))
        index = self.tree.query(points, k=count)[1].reshape(len(points), count)
        return to_pieces(points[:, None], self.start[index], self.step[index]), index

    def distances(self, points: Array) -> Array:
        """Return the distance (p,) from each point to the nearest line."""
        return self.nearest(points)[0].min(axis=1)

    def within(self, point: Array, reach: float) -> Index:
        """Return the pieces within `reach` of a point."""
        index = np.array(self.tree.query_ball_point(point, reach + PIECE / 2), np.intp)
        away = to_pieces(point, self.start[index], self.step[index])
        return index[away <= reach]

    def apart(self, owner: int, along: Array, other: Array) -> Array:
        """Return the arc length between places of one polyline, the shorter way round where it is closed."""
        away = np.abs(along - other)
        return np.minimum(away, self.lengths[owner] - away) if self.closed[owner] else away

    def at(self, owner: int, along: float) -> Array:
        """Return the point (2,) at an arc length of one polyline, going on round where it is closed."""
        first, last = np.searchsorted(self.owner, [owner, owner + 1])
        length = self.lengths[owner]
        place = along % length if self.closed[owner] else np.clip(along, 0, length)
        k = first + min(int(np.searchsorted(self.along[first:last], place)), last - first - 1)
        if k > first and place < self.along[k] - self.weights[k] / 2:
            k -= 1
        part = 0.5 + (place - self.along[k]) / max(self.weights[k], 1e-12)
        return self.start[k] + np.clip(part, 0, 1) * self.step[k]


def lines_of(polylines: Sequence[tuple[Array, bool]]) -> Lines:
    """Return polylines (points (n, 2) page mm, closed) as pieces."""
    starts, steps, owners, alongs, lengths, ends = [], [], [], [], [], []
    for number, (points, closed) in enumerate(polylines):
        line = np.vstack([points, points[:1]]) if closed else points
        start, step = _pieces(line)
        size = np.hypot(step[:, 0], step[:, 1])
        starts.append(start)
        steps.append(step)
        owners.append(np.full(len(start), number))
        alongs.append(np.cumsum(size) - size / 2)
        lengths.append(size.sum())
        ends.append((line[0], line[-1]))
    return Lines(
        np.concatenate(starts), np.concatenate(steps), np.concatenate(owners), np.concatenate(alongs),
        np.array(lengths), np.array([closed for _, closed in polylines]), np.array(ends),
    )  # fmt: skip


def _pieces(line: Array) -> tuple[Array, Array]:
    """Return starts and steps (m, 2) of a polyline's pieces."""
    if len(line) == 1:
        return line.astype(float), np.zeros((1, 2))
    step = np.diff(line, axis=0)
    count = np.maximum(1, np.ceil(np.hypot(step[:, 0], step[:, 1]) / PIECE - 1e-9)).astype(int)
    index = np.repeat(np.arange(len(count)), count)
    place = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    each = step[index] / count[index, None]
    return line[index] + place[:, None] * each, each


def to_pieces(points: Array, start: Array, step: Array) -> Array:
    """Return distances from points to pieces, arrays (..., 2) that go together."""
    size = np.maximum((step**2).sum(axis=-1), 1e-18)
    part = np.clip(((points - start) * step).sum(axis=-1) / size, 0, 1)
    away = points - start - part[..., None] * step
    return np.hypot(away[..., 0], away[..., 1])
