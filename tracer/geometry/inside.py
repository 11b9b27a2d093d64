"""Which areas points lie in: winding numbers by rays, for many points and areas at once."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.flatten import places

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_AT_ONCE = 4096
"""Rays that are cast together: bounds memory."""


@dataclass(frozen=True, eq=False)
class Area:
    """What closed chains go round: `rings` (n, 4, 2) each, by the even-odd or the nonzero rule."""

    rings: tuple[Array, ...]
    evenodd: bool = False


class Inside:
    """Areas made ready to be asked, flattened within `tolerance`."""

    def __init__(self, areas: Sequence[Area], tolerance: float) -> None:
        import shapely

        self._evenodd = np.array([area.evenodd for area in areas], bool)
        starts, ends, owners = [np.zeros((0, 2))], [np.zeros((0, 2))], [np.zeros(0, np.intp)]
        for index, area in enumerate(areas):
            for ring in area.rings:
                points = bezier.points_at(ring, places(ring, tolerance))
                starts.append(points)
                ends.append(np.roll(points, -1, axis=0))
                owners.append(np.full(len(points), index))
        self._a, self._b, self._owner = (np.concatenate(part) for part in (starts, ends, owners))
        x = self._a[:, 0] if len(self._a) else np.zeros(1)
        self._left, self._right = float(x.min()) - 1.0, float(x.max()) + 1.0
        self._tree = shapely.STRtree(shapely.linestrings(np.stack([self._a, self._b], axis=1)))

    def of(self, points: Array) -> tuple[Index, Index]:
        """Return (point, area) indices of all areas that each of `points` (m, 2) lies in.

        Sorted by point, then area. A point on a border may count as inside or out.
        """
        found = [self._of(points[k : k + _AT_ONCE], k) for k in range(0, len(points), _AT_ONCE)]
        if not found:
            return np.zeros(0, np.intp), np.zeros(0, np.intp)
        return np.concatenate([f[0] for f in found]), np.concatenate([f[1] for f in found])

    def _of(self, points: Array, first: int) -> tuple[Index, Index]:
        """Count how often the borders wind round each point, by a ray to the nearer side."""
        import shapely

        right = points[:, 0] > (self._left + self._right) / 2
        ends = np.where(right, np.maximum(self._right, points[:, 0]), np.minimum(self._left, points[:, 0]))
        low, high = np.minimum(points[:, 0], ends), np.maximum(points[:, 0], ends)
        ray, k = self._tree.query(shapely.box(low, points[:, 1], high, points[:, 1]))
        (x, y), a, b = points[ray].T, self._a[k], self._b[k]
        up, down = (a[:, 1] <= y) & (b[:, 1] > y), (a[:, 1] > y) & (b[:, 1] <= y)
        rise = np.where(a[:, 1] == b[:, 1], 1.0, b[:, 1] - a[:, 1])
        at = a[:, 0] + (y - a[:, 1]) / rise * (b[:, 0] - a[:, 0])
        hit = (up | down) & np.where(right[ray], at > x, at < x)
        count = len(self._evenodd)
        keys, which = np.unique(ray[hit] * count + self._owner[k[hit]], return_inverse=True)
        turns = np.bincount(which, np.where(up, 1, -1)[hit], minlength=len(keys)).astype(int)
        odd = np.bincount(which, minlength=len(keys)) % 2 == 1
        point, area = np.divmod(keys, max(count, 1))
        within = np.where(self._evenodd[area], odd, turns != 0)
        return point[within] + first, area[within]
