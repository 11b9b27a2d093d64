"""The order and direction of the runs: inner before outer, and as little carrying-over as may be.

Runs whose grooves hold nothing come first, those that hold others after them; within
such a group the nearest end is taken next, and the tour is then mended by turning
stretches round (2-opt, Croes 1958) until none gets shorter.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.model.plan import Run
from tracer.report.runs import turned_round

Array = NDArray[np.float64]

_MOST_MENDS = 1000
"""Turned stretches per group; far more than 300 runs ever took."""


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
    for _ in range(_MOST_MENDS):
        came = np.where(turned[:, None], ends[order, 1], ends[order, 0])
        left = np.where(turned[:, None], ends[order, 0], ends[order, 1])
        i, j = _best_turn(came, left, start)
        if i < 0:
            break
        order[i : j + 1] = order[i : j + 1][::-1]
        turned[i : j + 1] = ~turned[i : j + 1][::-1]
    return list(zip(order.tolist(), turned.tolist(), strict=True))


def _nearest_first(ends: Array, start: Array) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
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


def _best_turn(came: Array, left: Array, start: Array) -> tuple[int, int]:
    """Return the stretch i..j whose turning round saves most, (-1, -1) where none saves."""
    before = np.vstack([start, left[:-1]])
    gap = np.hypot(*(came - before).T)
    after = np.append(gap[1:], 0.0)
    into = np.hypot(*(before[:, None] - left[None, :]).transpose(2, 0, 1))
    out = np.zeros_like(into)
    out[:, :-1] = np.hypot(*(came[:, None] - came[None, 1:]).transpose(2, 0, 1))
    saved = np.triu(gap[:, None] + after[None, :] - into - out)
    i, j = np.unravel_index(int(saved.argmax()), saved.shape)
    return (int(i), int(j)) if saved[i, j] > 1e-6 else (-1, -1)
