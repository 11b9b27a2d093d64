"""A tour mended by turning stretches round (2-opt, Croes 1958) and by moving short ones (Or 1976).

Only changes that bring together two ends near each other are looked at (Bentley 1992): no
other saves anything, or hardly any.
"""

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

NEAREST = 6
"""Ends looked at round each; 20 make tours of 60 to 200 runs no shorter on the whole."""

_Change = tuple[Array, Ints, Ints, Ints, Bools]
"""Columns: mm saved, first run of the stretch, run after its last, where to, whether it is turned round."""

_LONGEST_MOVED = 3
"""Runs in a stretch that is moved (Or 1976)."""

_LEAST_ROUNDS = 10
_MOST_WORK = 30_000
"""Rounds made in any case, and more while rounds times runs are not above the other: 300 runs took 25."""

_AT_ONCE = 1_000_000
"""Distances looked at together."""

_LEAST_SAVING = 1e-6
"""mm; less is rounding."""


def mended(ends: Array, start: Array, group: Ints) -> list[int]:
    """Return the runs of a tour, by index, in a better order; some are then better turned round.

    Each round makes all changes that save and do not touch one another, the best first.

    Parameters
    ----------
    ends : (n, 2, 2) start and end of each run, in the order of the tour.
    start : (2,) where it sets out.
    group : (n,) rising; no run leaves its group's place in the order.
    """
    points = np.concatenate([start[None], ends[:, 0], ends[:, 1]])
    near = _nearest(points, min(NEAREST + 2, len(points)))
    came = np.arange(1, len(ends) + 1)
    for _ in range(_LEAST_ROUNDS + _MOST_WORK // len(ends)):
        changes = _independent(_changes(_Tour(points, came), near, group), len(ends))
        if not changes:
            break
        for first, stop, to, turn in changes:
            own = _other(came[first:stop], len(ends))[::-1] if turn else came[first:stop]
            came[min(first, to) : max(stop, to)] = np.concatenate([came[stop:to], own, came[to:first]])
    return [(end - 1) % len(ends) for end in came.tolist()]


def _nearest(points: Array, count: int) -> Ints:
    """Return the indices (n, count) of the points nearest to each, itself among them, the nearest first."""
    found = []
    for some in np.array_split(points, math.ceil(len(points) ** 2 / _AT_ONCE)):
        far = ((some[:, None] - points) ** 2).sum(axis=2)
        near = np.argpartition(far, count - 1, axis=1)[:, :count]
        order = np.argsort(np.take_along_axis(far, near, axis=1), axis=1, kind="stable")
        found.append(np.take_along_axis(near, order, axis=1))
    return np.concatenate(found)


def _other(end: Ints, count: int) -> Ints:
    """Return the other ends of the runs: 1..n are where they start as given, n + 1..2n where they end."""
    return (end + count - 1) % (2 * count) + 1


class _Tour:
    """A tour by its ends: 0 where it sets out, 1..n the starts, n + 1..2n the ends of the runs as given.

    Attributes
    ----------
    came, left : (n,) ends at which each run in turn is begun and left.
    before, after : (n + 1,) ends on both sides of each gap; after the last there is none, 2n + 1.
    gap : (n + 1,) their distance.
    place : (2n + 1,) place in the tour of the run of each end; -1 for the first.
    begins : (2n + 1,) the run is begun there, not left.
    """

    def __init__(self, points: Array, came: Ints) -> None:
        count = len(came)
        self.came, self.left = came, _other(came, count)
        self._x, self._y = np.vstack([points, [0.0, 0.0]]).T
        self.before, self.after = np.append(0, self.left), np.append(came, 2 * count + 1)
        self.gap = self.far(self.before, self.after)
        self.place, self.begins = np.full(2 * count + 1, -1), np.zeros(2 * count + 1, dtype=bool)
        self.place[came] = self.place[self.left] = np.arange(count)
        self.begins[came] = True

    def far(self, a: Ints, b: Ints) -> Array:
        """Return the distances; nothing is far from the end that is not there."""
        dx, dy = self._x[a] - self._x[b], self._y[a] - self._y[b]
        distance: Array = np.sqrt(dx * dx + dy * dy) * (b < len(self._x) - 1)
        return distance


def _changes(tour: _Tour, near: Ints, group: Ints) -> _Change:
    """Return all changes that save something and keep every run in its group."""
    count = len(tour.came)
    found = [_turns(tour, near)]
    found += [_moves(tour, near, size) for size in range(1, min(_LONGEST_MOVED, count - 1) + 1)]
    saved, first, stop, to, turn = (np.concatenate(column) for column in zip(*found, strict=True))
    low, high = np.searchsorted(group, group[first]), np.searchsorted(group, group[first], side="right")
    worth = (saved > _LEAST_SAVING) & (stop <= high) & (to >= low) & (to <= high)
    return saved[worth], first[worth], stop[worth], to[worth], turn[worth]


def _turns(tour: _Tour, near: Ints) -> _Change:
    """Return the turns that bring together near ends, or turn the tour's last stretch."""
    place = np.arange(len(tour.came))[:, None]
    met, follows = near[tour.before[:-1]], near[tour.came]
    last = np.concatenate(
        [
            np.where(tour.begins[met], -1, tour.place[met]),
            np.where(tour.begins[follows], tour.place[follows] - 1, -1),
            np.full_like(place, len(place) - 1),
        ],
        axis=1,
    )
    first, column = np.nonzero(last >= place)
    last = last[first, column]
    saved = tour.gap[first] + tour.gap[last + 1]
    saved -= tour.far(tour.before[first], tour.left[last]) + tour.far(tour.came[first], tour.after[last + 1])
    return saved, first, last + 1, first, np.ones(len(first), dtype=bool)


def _moves(tour: _Tour, near: Ints, size: int) -> _Change:
    """Return the moves of stretches of `size` runs to where one of their ends is near another, or last."""
    count = len(tour.came)
    first = np.arange(count - size + 1)[:, None]
    heads, tails = near[tour.came[: count - size + 1]], near[tour.left[size - 1 :]]
    # A stretch's head comes after an end that is left, or, turned round, before one that begins a run.
    to = np.concatenate(
        [tour.place[heads] + ~tour.begins[heads], tour.place[tails] + ~tour.begins[tails]], axis=1
    )
    turn = np.concatenate([tour.begins[heads], ~tour.begins[tails]], axis=1)
    end = np.full_like(first, count)
    to, turn = np.hstack([to, end, end]), np.hstack([turn, end > count, end == count])
    row, column = np.nonzero((to < first) | (to > first + size))
    first, to, turn = row, to[row, column], turn[row, column]
    stop, a, b = first + size, tour.came[first], tour.left[first + size - 1]
    head, tail = np.where(turn, b, a), np.where(turn, a, b)
    saved = tour.gap[first] + tour.gap[stop] + tour.gap[to] - tour.far(tour.before[first], tour.after[stop])
    saved -= tour.far(tour.before[to], head) + tour.far(tail, tour.after[to])
    return saved, first, stop, to, turn


def _independent(changes: _Change, count: int) -> list[tuple[int, int, int, bool]]:
    """Return first run, run after the last, where to and whether turned, of changes that do not touch."""
    saved, first, stop, to, turn = changes
    low, high = np.minimum(first, to), np.maximum(stop, to)
    free = np.ones(count + 1, dtype=bool)
    kept = []
    for index in np.argsort(-saved, kind="stable").tolist():
        if free[low[index] : high[index] + 1].all():  # the gap after it changes, too
            free[low[index] : high[index] + 1] = False
            kept.append((int(first[index]), int(stop[index]), int(to[index]), bool(turn[index])))
    return kept
