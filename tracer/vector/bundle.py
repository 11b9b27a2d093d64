"""Many polylines in one array, worked on at the same time."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Kind = TypeVar("Kind", bound=np.generic)


@dataclass(frozen=True, eq=False)
class Bundle:
    """Polylines one after the other.

    Attributes
    ----------
    points : (n, 2) of all.
    sizes : (b,) points of each.
    closed : (b,) bool; a closed one does not repeat its first point.
    """

    points: Array
    sizes: Index
    closed: NDArray[np.bool_]

    @cached_property
    def begins(self) -> Index:
        """Index (b,) of the first point of each."""
        return np.cumsum(self.sizes) - self.sizes

    @cached_property
    def owner(self) -> Index:
        """Index (n,) of the polyline of each point."""
        return np.repeat(np.arange(len(self.sizes)), self.sizes)

    @cached_property
    def place(self) -> Index:
        """Place (n,) of each point in its polyline."""
        return np.arange(len(self.points)) - self.begins[self.owner]

    def beside(self, reach: int) -> Index:
        """Return the index (n,) of the point `reach` places on: round closed ones, up to open ones' ends."""
        size = self.sizes[self.owner]
        place = self.place + reach
        beyond = np.flatnonzero((place < 0) | (place >= size))
        at, last = place[beyond], size[beyond] - 1
        place[beyond] = np.where(self.closed[self.owner[beyond]], at % (last + 1), np.clip(at, 0, last))
        return place + self.begins[self.owner]

    def directions(self, reach: int) -> Array:
        """Return unit vectors (n, 2) along the polylines, by the points `reach` places to either side."""
        along = self.points[self.beside(reach)] - self.points[self.beside(-reach)]
        unit: Array = along / np.maximum(np.hypot(*along.T), 1e-9)[:, None]
        return unit

    def normals(self, reach: int) -> Array:
        """Return the directions (n, 2) turned by a quarter, from x towards y."""
        return turned(self.directions(reach))

    def split(self, values: NDArray[Kind]) -> list[NDArray[Kind]]:
        """Return values (n, ...) polyline by polyline."""
        return np.split(values, self.begins[1:])

    def medians(self, values: Array) -> Array:
        """Return the median (b,) of values (n,) of each polyline; nan counts as largest."""
        order = np.lexsort((values, self.owner))
        ranked, half = values[order], self.begins + self.sizes // 2
        lower = ranked[self.begins + (self.sizes - 1) // 2]
        middle: Array = (lower + ranked[half]) / 2
        return middle


def turned(ways: Array) -> Array:
    """Return vectors (n, 2) turned by a quarter, from x towards y."""
    return np.column_stack([-ways[:, 1], ways[:, 0]])


def bundled(polylines: Sequence[Array], closed: Sequence[bool]) -> Bundle:
    """Return polylines (m, 2) as a Bundle."""
    return Bundle(np.concatenate(polylines), np.array([len(p) for p in polylines]), np.array(closed, bool))


def smoothed(bundle: Bundle, sigma: float) -> Bundle:
    """Return the polylines after a Gaussian of `sigma` points; the ends of open ones stay in place.

    Beyond its ends an open polyline goes on turned about the end point, a closed one round.
    """
    reach = int(np.ceil(3 * sigma))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    weights /= weights.sum()
    sizes = bundle.sizes + 2 * reach
    owner = np.repeat(np.arange(len(sizes)), sizes)
    begin, size, closed = bundle.begins[owner], bundle.sizes[owner], bundle.closed[owner]
    place = np.arange(len(owner)) - (np.cumsum(sizes) - sizes)[owner] - reach
    before, after = ~closed & (place < 0), ~closed & (place >= size)
    turned = np.where(before, np.minimum(-place, size - 1), np.maximum(2 * (size - 1) - place, 0))
    inside = np.where(closed, place % size, np.where(before | after, turned, place))
    wide = bundle.points[begin + inside]
    wide[before] = 2 * bundle.points[begin[before]] - wide[before]
    wide[after] = 2 * bundle.points[(begin + size - 1)[after]] - wide[after]
    valid = (place >= 0) & (place < size)
    points = np.column_stack([np.convolve(column, weights, "same")[valid] for column in wide.T])
    return Bundle(points, bundle.sizes, bundle.closed)


def evenly(bundle: Bundle, spacing: float) -> Bundle:
    """Return the polylines with points about `spacing` apart, both ends of open ones kept."""
    following = bundle.beside(1)
    steps = np.hypot(*(bundle.points[following] - bundle.points).T)
    lengths = np.add.reduceat(steps, bundle.begins)
    parts = np.maximum(1, np.round(lengths / spacing).astype(int))
    # One long scale for all: a step of 1 leads from the last point of a polyline to the next one's first.
    last = bundle.begins + bundle.sizes - 1
    repeated = bundle.points[np.where(bundle.closed, bundle.begins, last)]
    ring = np.insert(bundle.points, last + 1, repeated, axis=0)
    steps[last[~bundle.closed]] = 0
    along = np.concatenate([[0.0], np.cumsum(np.insert(steps, last + 1, 1.0))[:-1]])
    first = along[bundle.begins + np.arange(len(last))]
    sizes = np.where(bundle.closed, parts, parts + 1)
    owner = np.repeat(np.arange(len(sizes)), sizes)
    place = np.arange(len(owner)) - (np.cumsum(sizes) - sizes)[owner]
    wanted = first[owner] + place * (lengths / parts)[owner]
    points = np.column_stack([np.interp(wanted, along, column) for column in ring.T])
    return Bundle(points, sizes, bundle.closed)
