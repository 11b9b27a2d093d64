"""Points in square cells, to be asked which are within a distance (Bentley, Stanat & Williams 1977)."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

_AT_ONCE = 500_000
"""Points looked at together, about: what that takes stays in a processor's cache."""


class Nearby:
    """Points that are asked for those within `reach`, in any one frame and unit.

    For a fixed distance they do what a k-d tree does for any, without a package that is half a second in
    loading.

    Parameters
    ----------
    points : (n, 2).
    reach : the distance, above 0; pairs are looked for in squares three times as wide.
    """

    def __init__(self, points: Array, reach: float) -> None:
        self._reach = reach
        self._low = points.min(axis=0, initial=np.inf)
        column, row = self._cells(points)
        self._columns, self._rows = int(column.max(initial=-1)) + 1, int(row.max(initial=-1)) + 1
        key = self._key(column, row)
        self._order = np.argsort(key, kind="stable")
        self._key_of, self._points = key[self._order], points[self._order]

    def pairs(self, places: Array) -> tuple[Ints, Ints, Array]:
        """Return which places (m, 2) have which points within reach, and how far off: three arrays (k,)."""
        found = list(self._found(places))
        one, other, far = (np.concatenate(some) for some in zip(*found, strict=True))
        return one, other, far

    def any(self, places: Array) -> NDArray[np.bool_]:
        """Say which places (m, 2) have a point within reach."""
        found = np.zeros(len(places), dtype=bool)
        for one, _, _ in self._found(places):
            found[one] = True
        return found

    def nearest(self, places: Array) -> tuple[Array, Ints]:
        """Return how far the nearest point of each place (m, 2) is, and its index; inf and n beyond reach."""
        away, index = np.full(len(places), np.inf), np.full(len(places), len(self._points))
        for one, other, far in self._found(places):
            first = np.flatnonzero(np.diff(one, prepend=-1))
            least = np.minimum.reduceat(far, first) if len(first) else far
            place = one[first]
            better = least < away[place]
            away[place[better]] = least[better]
            nearest = np.flatnonzero(far == away[one])
            index[one[nearest]] = other[nearest]
        return away, index

    def _cells(self, places: Array) -> tuple[Ints, Ints]:
        column, row = np.floor((places - self._low) / self._reach).T.astype(np.intp)
        return column, row

    def _key(self, column: Ints, row: Ints) -> Ints:
        """Return the number of each cell; a free row lies between one column and the next."""
        return column * (self._rows + 2) + row

    def _found(self, places: Array) -> Iterator[tuple[Ints, Ints, Array]]:
        """Yield pairs by part: place, point, distance; three cells of a column are looked at together."""
        nothing = np.zeros(0, dtype=np.intp)
        yield nothing, nothing, np.zeros(0)
        if not len(self._points) or not len(places):
            return
        column, row = self._cells(np.maximum(places, self._low))
        column, row = np.minimum(column, self._columns), np.minimum(row, self._rows)
        for beside in (-1, 0, 1):
            first = np.searchsorted(self._key_of, self._key(column + beside, row - 1))
            count = np.searchsorted(self._key_of, self._key(column + beside, row + 1), side="right") - first
            ends = np.cumsum(count)
            for low, high in _parts(ends):
                one = np.repeat(np.arange(low, high), count[low:high])
                begun = (ends - count)[low:high] - first[low:high]
                other = np.arange(ends[low] - count[low], ends[high - 1]) - np.repeat(begun, count[low:high])
                d = self._points[other] - places[one]
                far = np.sqrt(d[:, 0] ** 2 + d[:, 1] ** 2)
                within = np.flatnonzero(far <= self._reach)
                yield one[within], self._order[other[within]], far[within]


def _parts(ends: Ints) -> Iterator[tuple[int, int]]:
    """Yield ranges of places that have about `_AT_ONCE` points together; `ends` counts them up."""
    low = 0
    while low < len(ends):
        before = ends[low - 1] if low else 0
        high = max(low + 1, int(np.searchsorted(ends, before + _AT_ONCE, side="right")))
        yield low, high
        low = high
