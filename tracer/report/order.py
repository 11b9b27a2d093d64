"""The order and direction of the runs: inner before outer, and as little carrying-over as may be.

Runs whose grooves hold nothing come first, those that hold others after them; within
such a group the nearest end is taken next, and the tour is then mended by turning
stretches round (2-opt, Croes 1958) and moving short ones (Or 1976) until neither helps.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.model.plan import Run
from tracer.report.runs import turned_round

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

MOVE_TO = 120
"""Runs in a group up to which stretches are moved as well: beyond, that takes longer than all the rest."""

_MOST_ROUNDS = 20
"""Of turning and moving, per group; more than 300 runs ever took."""

_LONGEST_MOVED = 3
"""Runs in a stretch that is moved (Or 1976)."""

_LEAST_SAVING = 1e-6
"""mm; less is rounding."""


def in_order(runs: Sequence[Run], rank: Mapping[int, int], start: Array) -> list[Run]:
    """Return the runs as they are to be cut, numbered from 1.

    Parameters
    ----------
    runs : in any order.
    rank : by stroke number, how deep others nest inside its groove; low ranks are cut first.
    start : (2,) where the router stands before the first plunge, wood mm.
    """
    ranks = np.array([max(rank.get(leg.stroke, 0) for leg in run.legs) for run in runs], dtype=int)
    done: list[Run] = []
    for level in np.unique(ranks):
        group = [run for run, r in zip(runs, ranks, strict=True) if r == level]
        ends = np.array([[run.start, run.end] for run in group])
        for index, turn in _tour(ends, done[-1].end if done else start):
            done.append(turned_round(group[index]) if turn else group[index])
    return [replace(run, number=number) for number, run in enumerate(done, start=1)]


def carrying_over(runs: Sequence[Run]) -> float:
    """Return how far the lifted router is carried between runs, mm on the wood."""
    return float(sum(np.hypot(*(b.start - a.end)) for a, b in pairwise(runs)))


def _tour(ends: Array, start: Array) -> list[tuple[int, bool]]:
    """Return each run's index in order and whether it is turned round; `ends` (n, 2, 2) start and end."""
    order, turned = _nearest_first(ends, start)
    for _ in range(_MOST_ROUNDS):
        while _turn_stretches(order, turned, ends, start):
            pass
        if len(order) > MOVE_TO or not _move_stretches(order, turned, ends, start):
            break
    return list(zip(order.tolist(), turned.tolist(), strict=True))


def _nearest_first(ends: Array, start: Array) -> tuple[Ints, Bools]:
    """Take the nearest end of a run not yet taken, again and again."""
    free = np.ones(len(ends), dtype=bool)
    order, turned, here = [], [], start
    for _ in range(len(ends)):
        distance = np.hypot(ends[..., 0] - here[0], ends[..., 1] - here[1])
        distance[~free] = np.inf
        index, side = np.unravel_index(int(distance.argmin()), distance.shape)
        free[index] = False
        order.append(index)
        turned.append(bool(side))
        here = ends[index, 1 - side]
    return np.array(order, dtype=np.intp), np.array(turned, dtype=bool)


def _came_and_left(order: Ints, turned: Bools, ends: Array) -> tuple[Array, Array]:
    """Return where each run of the tour begins and ends, (n, 2) each."""
    turn = turned[:, None]
    return np.where(turn, ends[order, 1], ends[order, 0]), np.where(turn, ends[order, 0], ends[order, 1])


def _turn_stretches(order: Ints, turned: Bools, ends: Array, start: Array) -> bool:
    """Turn round, in place, the stretches of the tour whose turning saves most; say whether any does."""
    came, left = _came_and_left(order, turned, ends)
    before = np.vstack([start, left[:-1]])
    gap = _far(came, before)
    after = np.append(gap[1:], 0.0)
    into = _far(before[:, None], left[None, :])
    out = np.zeros_like(into)
    out[:, :-1] = _far(came[:, None], came[None, 1:])
    saved = np.triu(gap[:, None] + after[None, :] - into - out)
    worth = np.argwhere(saved > _LEAST_SAVING)
    best = worth[np.argsort(-saved[tuple(worth.T)], kind="stable")]
    free = np.ones(len(order) + 2, dtype=bool)
    for i, j in best.tolist():
        if free[i : j + 3].all():  # a turn changes the gaps on either side: its neighbours stay as they are
            free[i : j + 3] = False
            order[i : j + 1] = order[i : j + 1][::-1]
            turned[i : j + 1] = ~turned[i : j + 1][::-1]
    return len(worth) > 0


def _move_stretches(order: Ints, turned: Bools, ends: Array, start: Array) -> bool:
    """Move, in place, each short stretch to where it costs least, either way round; say whether any moved."""
    moved = False
    for size in range(1, min(_LONGEST_MOVED, len(order) - 1) + 1):
        for i in range(len(order) - size + 1):
            moved |= _move(slice(i, i + size), order, turned, ends, start)
    return moved


def _move(stretch: slice, order: Ints, turned: Bools, ends: Array, start: Array) -> bool:
    came, left = _came_and_left(order, turned, ends)
    first, last = came[stretch][0], left[stretch][-1]
    rest = np.delete(np.arange(len(order)), stretch)
    before, after = np.vstack([start, left[rest]]), came[rest]
    open_gap = np.append(_far(before[:-1], after), 0.0)
    straight, about = (
        _far(before, a) + np.append(_far(b, after), 0.0) - open_gap for a, b in ((first, last), (last, first))
    )
    costs = np.stack([straight, about])
    turn, place = np.unravel_index(int(costs.argmin()), costs.shape)
    if costs[turn, place] > straight[stretch.start] - _LEAST_SAVING:
        return False
    own, own_turned = order[stretch].copy(), turned[stretch].copy()
    if turn:
        own, own_turned = own[::-1], ~own_turned[::-1]
    order[:] = np.insert(order[rest], place, own)
    turned[:] = np.insert(turned[rest], place, own_turned)
    return True


def _far(a: Array, b: Array) -> Array:
    d = a - b
    distance: Array = np.hypot(d[..., 0], d[..., 1])
    return distance
