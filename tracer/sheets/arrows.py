"""Places for arrows along the ways of runs, clear of one another and of starts and lifts. Template mm."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.polyline import arc_lengths, at

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
    ways = [(points, arc_lengths(points)) for points in legs]
    wanted = [_wanted(float(along[-1])) for _, along in ways]
    taken = _Taken(marks)
    found: list[list[Array]] = [[] for _ in legs]
    for turn in range(max((len(places) for places in wanted), default=0)):
        for index, (points, along) in enumerate(ways):
            if turn < len(wanted[index]):
                found[index] += _placed(points, along, wanted[index][turn], taken)
    return [np.array(arrows).reshape(-1, 4) for arrows in found]


def _wanted(total: float) -> Array:
    """Return how far along a leg its arrows are to stand."""
    if total < _SHORTEST:
        return np.empty(0)
    first = min(_FIRST, total / 2)
    count = 1 + max(0, int((total - first - _FIRST) // _EVERY))
    return np.array([first + k * _EVERY for k in range(count)])


def _placed(points: Array, along: Array, wanted: float, taken: "_Taken") -> list[Array]:
    """Return the arrow nearest to where it is wanted that is clear of what is taken, or none."""
    total = float(along[-1])
    places: Array = wanted + _STEPS
    places = places[(places >= BACK) & (places <= total - TIP)]
    if not len(places):
        return []
    wanted_at = np.concatenate([places, places + TIP, places - BACK])
    middles, tips, backs = np.split(at(points, along, wanted_at), 3)
    chord = tips - backs
    size = np.hypot(chord[:, 0], chord[:, 1])
    straight = size >= _STRAIGHT * (TIP + BACK)
    order = np.argsort(~straight, kind="stable")
    ahead = chord[order] / np.maximum(size[order], 1e-9)[:, None]
    arrows = np.hstack([middles[order], ahead])
    return taken.first_clear(arrows)


class _Taken:
    """Circles that are taken, in square cells so that those near by are found at once."""

    def __init__(self, circles: Array) -> None:
        self._cells: dict[tuple[int, int], list[tuple[float, float, float]]] = {}
        self._cell = 2.0 * max(float(circles[:, 2].max(initial=0.0)), _ROUND)
        for x, y, radius in circles.tolist():
            self._add(x, y, radius)

    def first_clear(self, arrows: Array) -> list[Array]:
        """Take the first of `arrows` (n, 4) that is clear and return it alone; none where none is."""
        middles = arrows[:, :2] + _MIDDLE * arrows[:, 2:]
        for arrow, (x, y) in zip(arrows, middles.tolist(), strict=True):
            if self._clear(x, y):
                self._add(x, y, _ROUND)
                return [arrow]
        return []

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
