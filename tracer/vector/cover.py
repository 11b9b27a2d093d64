"""Which lines lie on others."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.vector.stretches import Path

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

PARALLEL = 0.9
"""Cosine of the angle between two middles that are one."""


class Cover:
    """Which points of some lines lie on others."""

    def __init__(self, lines: Sequence[Path], near: float):
        from shapely import STRtree
        from shapely import points as places

        self.points = np.concatenate([line.points for line in lines])
        ways = np.concatenate([line.headings for line in lines])
        sizes = [len(line.points) for line in lines]
        self.owner = np.repeat(np.arange(len(lines)), sizes)
        self.begin = np.append(np.cumsum(sizes) - sizes, len(self.points))
        dots = places(self.points)
        i, j = STRtree(dots).query(dots, predicate="dwithin", distance=near)
        still = (ways == 0).all(axis=1)
        along = np.abs((ways[i] * ways[j]).sum(axis=1))
        kept = (self.owner[j] < self.owner[i]) & (still[i] | still[j] | (along > PARALLEL))
        i, j = i[kept], j[kept]
        order = np.lexsort((np.hypot(*(self.points[i] - self.points[j]).T), i))
        i, j = i[order], j[order]
        first = np.unique(i, return_index=True)[1]
        self.on = np.full(len(self.points), -1)
        self.on[i[first]] = j[first]

    def by_earlier(self, k: int, own: set[int]) -> tuple[Array, Index]:
        """Return for each point (m, 2) of line `k` the point of an earlier line that it lies on, and which.

        Where it lies on none they are nan and -1. At its ends those lines that are its `own` do not count.
        """
        on = self.on[self.begin[k] : self.begin[k + 1]].copy()
        counts = (on < 0) | ~np.isin(self.owner[on], list(own))
        first = int(counts.argmax()) if counts.any() else len(on)
        last = len(on) - int(counts[::-1].argmax()) if counts.any() else 0
        on[:first] = on[last:] = -1
        places = np.where((on >= 0)[:, None], self.points[on], np.nan)
        return places, np.where(on >= 0, self.owner[on], -1)


def bare(owner: Index, points: Array, bodies: int, corner: float) -> Flags:
    """Say which points (m, 2) of a path lie on no line; `owner` (m,) is the line of each, -1 for none.

    What leaves one of the first `bodies` lines and comes back to the same within `corner` ink pixels
    is a corner of that line, not yet sharp.
    """
    found = owner < 0
    for a, b in np.flatnonzero(np.diff(np.concatenate([[0], found, [0]]))).reshape(-1, 2).tolist():
        same = a > 0 and b < len(owner) and owner[a - 1] == owner[b] < bodies
        if same and polyline.arc_lengths(points[a - 1 : b + 1])[-1] < corner:
            found[a:b] = False
    return found
