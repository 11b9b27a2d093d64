"""The exact outline of a glyph as short straight edges: how deep a point lies in it, and what is across."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_SLICE = 200_000
"""Pairs of points and edges looked at at once."""


@dataclass(frozen=True, eq=False)
class Outline:
    """Edges from `start` (m, 2) to `end` (m, 2), of closed rings `ring` (m,), ink pixels."""

    start: Array
    end: Array
    ring: NDArray[np.intp]

    @classmethod
    def of(cls, rings: Sequence[Array]) -> "Outline":
        """Return the outline of closed polylines."""
        rings = [
            ring if np.array_equal(ring[0], ring[-1]) else np.concatenate([ring, ring[:1]]) for ring in rings
        ]
        owner = np.repeat(np.arange(len(rings)), [len(ring) - 1 for ring in rings])
        start, end = (
            np.concatenate([ring[part] for ring in rings]) for part in (slice(None, -1), slice(1, None))
        )
        long = np.hypot(*(end - start).T) > 1e-9
        return cls(start[long], end[long], owner[long])

    def depth(self, points: Array) -> Array:
        """Return the distance (k,) of points (k, 2) to the nearest edge."""
        step = max(1, _SLICE // len(self.start))
        return np.concatenate(
            [self._depth(points[k : k + step]) for k in range(0, len(points), step)] or [np.zeros(0)]
        )

    def _depth(self, points: Array) -> Array:
        way = self.end - self.start
        gap = points[:, None] - self.start
        part = np.clip((gap * way).sum(axis=2) / (way * way).sum(axis=1), 0, 1)
        away = gap - part[..., None] * way
        return np.asarray(np.hypot(away[..., 0], away[..., 1]).min(axis=1))

    def middle_of(self, point: Array) -> Array:
        """Return the centroid (2,) of the ring nearest to a point (2,)."""
        away = np.hypot(*((self.start + self.end) / 2 - point).T)
        own = self.ring == self.ring[away.argmin()]
        a, b = self.start[own], self.end[own]
        twice = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
        return np.asarray(((a + b) * twice[:, None]).sum(axis=0) / (3 * twice.sum()))

    def across(self, points: Array, ways: Array) -> tuple[Array, Array]:
        """Return how far (k,) the outline is from points (k, 2) along unit `ways` (k, 2), inf for never.

        And the directions (k, 2) of the edges there.
        """
        step = max(1, _SLICE // len(self.start))
        parts = [self._across(points[k : k + step], ways[k : k + step]) for k in range(0, len(points), step)]
        return np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])

    def _across(self, points: Array, ways: Array) -> tuple[Array, Array]:
        edge = self.end - self.start
        gap = self.start - points[:, None]
        cross = ways[:, :1] * edge[:, 1] - ways[:, 1:] * edge[:, 0]
        safe = np.where(np.abs(cross) > 1e-12, cross, np.nan)
        far = (gap[..., 0] * edge[:, 1] - gap[..., 1] * edge[:, 0]) / safe
        part = (gap[..., 0] * ways[:, 1:] - gap[..., 1] * ways[:, :1]) / safe
        there = (far > 0) & (part >= 0) & (part <= 1)
        far = np.where(there, far, np.inf)
        nearest = far.argmin(axis=1)
        rows = np.arange(len(points))
        direction = edge[nearest] / np.hypot(*edge[nearest].T)[:, None]
        return far[rows, nearest], direction
