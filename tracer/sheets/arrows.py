"""Places for arrows along the ways of runs, clear of one another and of starts and lifts. Template mm."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.polyline import Joined, at, end_to_end

Array = NDArray[np.float64]

TIP, BACK, HALF = 1.9, 1.3, 1.05
"""mm from an arrow's place to its tip, to its back, and half of its back's width."""

_MIDDLE, _ROUND = 0.13, 1.78
"""mm from an arrow's place forwards to the middle of the circle through its corners, and its radius."""

_FIRST, _EVERY, _SHORTEST = 8.0, 70.0, 5.0
"""mm from a leg's beginning to its first arrow, from arrow to arrow, and the shortest leg that gets one."""

_STEPS = np.array(sorted(np.arange(-20, 21) * 1.5, key=abs))  # mm from there to the places that are tried
_STRAIGHT = 0.97  # chord of a stretch as long as an arrow over its length: an arrow on a bend points nowhere


def arrows_along(legs: Sequence[Array], marks: Array) -> list[Array]:
    """Return arrows (k, 4), places x, y and unit directions, for each polyline (m, 2) of `legs`.

    `marks` (n, 3) are circles x, y, radius to keep off. Greedy: every leg that is long
    enough gets its first arrow before any gets its second; one that finds no clear place has none.
    """
    joined = end_to_end(legs)
    wanted = [_wanted(length) for length in joined.length.tolist()]
    rows = sorted((turn, leg) for leg, places in enumerate(wanted) for turn in range(len(places)))
    if not rows:
        return [np.empty((0, 4)) for _ in legs]
    own = np.array([leg for _, leg in rows])
    places = np.array([wanted[leg][turn] for turn, leg in rows]).reshape(-1, 1) + _STEPS
    apart = (places < BACK) | (places > joined.length[own, None] - TIP)
    choices = _choices(joined, places + joined.start[own, None], apart)
    middles = choices[..., :2] + _MIDDLE * choices[..., 2:]
    taken, found = _Taken(marks), list[list[Array]]([] for _ in legs)
    for row, (some, count) in enumerate(zip(middles.tolist(), (~apart).sum(axis=1).tolist(), strict=True)):
        clear = taken.first_clear(some[:count])
        if clear is not None:
            found[own[row]].append(choices[row, clear])
    return [np.array(arrows).reshape(-1, 4) for arrows in found]


def _wanted(total: float) -> Array:
    """Return how far along a leg its arrows are to stand."""
    if total < _SHORTEST:
        return np.empty(0)
    first = min(_FIRST, total / 2)
    count = 1 + max(0, int((total - first - _FIRST) // _EVERY))
    return np.array([first + k * _EVERY for k in range(count)])


def _choices(legs: Joined, places: Array, apart: NDArray[np.bool_]) -> Array:
    """Return arrows (n, k, 4) at the distances `places` (n, k): the straight first, those `apart` last."""
    middles, tips, backs = (at(legs.points, legs.along, (places + off).ravel()) for off in (0.0, TIP, -BACK))
    chord = (tips - backs).reshape(*places.shape, 2)
    size = np.hypot(chord[..., 0], chord[..., 1])
    arrows = np.dstack([middles.reshape(chord.shape), chord / np.maximum(size, 1e-9)[..., None]])
    order = np.argsort(2 * apart + (size < _STRAIGHT * (TIP + BACK)), axis=1, kind="stable")
    best: Array = np.take_along_axis(arrows, order[..., None], axis=1)
    return best


class _Taken:
    """Circles that are taken, in square cells so that those near by are found at once."""

    def __init__(self, circles: Array) -> None:
        self._cells: dict[tuple[int, int], list[tuple[float, float, float]]] = {}
        self._cell = 2.0 * max(float(circles[:, 2].max(initial=0.0)), _ROUND)
        for x, y, radius in circles.tolist():
            self._add(x, y, radius)

    def first_clear(self, middles: Sequence[Sequence[float]]) -> int | None:
        """Take the first of the middles (x, y) of arrows' circles that is clear, and return its index."""
        for index, (x, y) in enumerate(middles):
            if self._clear(x, y):
                self._add(x, y, _ROUND)
                return index
        return None

    def _clear(self, x: float, y: float) -> bool:
        column, row = int(x // self._cell), int(y // self._cell)
        return all(
            (x - a) ** 2 + (y - b) ** 2 >= (_ROUND + radius) ** 2
            for i in (column - 1, column, column + 1)
            for j in (row - 1, row, row + 1)
            for a, b, radius in self._cells.get((i, j), ())
        )

    def _add(self, x: float, y: float, radius: float) -> None:
        cell = int(x // self._cell), int(y // self._cell)
        self._cells.setdefault(cell, []).append((x, y, radius))
