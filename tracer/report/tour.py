"""The shortest way through runs that may each be followed in several ways, or near it.

Few runs: the least of all orders and choices, over the sets done (Held & Karp 1962). Many:
the nearest start first; then stretches are turned round (2-opt, Croes 1958) and short ones moved
(Or 1976) until neither helps, and the choices made anew for that order, each exactly.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.report.stretches import mended

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

EXACT_TO = 9
"""Runs up to which all orders are compared."""

_MOST_ROUNDS = 5
"""Of mending and choosing; more than 300 runs ever took."""


@dataclass(frozen=True, eq=False)
class Ways:
    """All ways to follow n runs; one frame.

    Attributes
    ----------
    start, end : (m, 2) where each way begins and ends.
    run : (m,) the run of each way, all ways of one run side by side, runs from 0 in order.
    group : (n,) of each run, from 0; all runs of one group come before any of the next.
    """

    start: Array
    end: Array
    run: Ints
    group: Ints

    @cached_property
    def of(self) -> list[slice]:
        """Where the ways of each run stand."""
        bounds = np.searchsorted(self.run, np.arange(len(self.group) + 1)).tolist()
        return [slice(low, high) for low, high in pairwise(bounds)]


def shortest_tour(ways: Ways, start: Array) -> list[int]:
    """Return one way a run in the order in which they are followed, from `start` (2,) on."""
    if len(ways.group) <= EXACT_TO:
        return _exact(ways, start)
    chosen = _nearest_first(ways, start)
    length = np.inf
    for _ in range(_MOST_ROUNDS):
        ends = np.stack([ways.start[chosen], ways.end[chosen]], axis=1)
        order = mended(ends, start, ways.group[ways.run[chosen]])
        better = _chosen_anew(ways, [chosen[index] for index in order], start)
        before, length = length, _length(ways, better, start)
        chosen = better
        if length > before - 1e-6:
            break
    return chosen


def _exact(ways: Ways, start: Array) -> list[int]:
    """Return the least tour; `best` and `came` are by the runs done, as bits, and the way followed last."""
    count = len(ways.group)
    gap = _far(ways.end[:, None], ways.start[None])
    best = np.full((1 << count, len(ways.run)), np.inf)
    came = np.zeros(best.shape, dtype=np.intp)
    for done in range((1 << count) - 1):
        left = [run for run in range(count) if not done >> run & 1]
        group = min(ways.group[left])
        reach = best[done][:, None] + gap if done else _far(start, ways.start)[None]
        least, before = reach.min(axis=0), reach.argmin(axis=0)
        for run in left:
            if ways.group[run] == group:
                best[done | 1 << run, ways.of[run]] = least[ways.of[run]]
                came[done | 1 << run, ways.of[run]] = before[ways.of[run]]
    tour = [int(best[-1].argmin())]
    done = (1 << count) - 1
    for _ in range(count - 1):
        before_it = int(came[done, tour[-1]])
        done ^= 1 << int(ways.run[tour[-1]])
        tour.append(before_it)
    return tour[::-1]


def _nearest_first(ways: Ways, start: Array) -> list[int]:
    """Follow the way that begins nearest, of the runs not yet followed, again and again."""
    tour: list[int] = []
    here = start
    group = ways.group[ways.run]
    for level in np.unique(ways.group):
        free = group == level
        for _ in range(int((ways.group == level).sum())):
            distance = np.where(free, _far(ways.start, here), np.inf)
            way = int(distance.argmin())
            free[ways.of[ways.run[way]]] = False
            tour.append(way)
            here = ways.end[way]
    return tour


def _chosen_anew(ways: Ways, tour: Sequence[int], start: Array) -> list[int]:
    """Return the tour with the order kept and the least of all choices of ways."""
    length, ends, backs = np.zeros(1), start[None], []
    for way in tour:
        own = ways.of[ways.run[way]]
        reach = length[:, None] + _far(ends[:, None], ways.start[None, own])
        backs.append((own.start, reach.argmin(axis=0)))
        length, ends = reach.min(axis=0), ways.end[own]
    choice, chosen = int(length.argmin()), []
    for first, back in reversed(backs):
        chosen.append(first + choice)
        choice = int(back[choice])
    return chosen[::-1]


def _length(ways: Ways, tour: Sequence[int], start: Array) -> float:
    return float(_far(np.vstack([start, ways.end[tour[:-1]]]), ways.start[tour]).sum())


def _far(a: Array, b: Array) -> Array:
    d = a - b
    distance: Array = np.sqrt(d[..., 0] ** 2 + d[..., 1] ** 2)
    return distance
