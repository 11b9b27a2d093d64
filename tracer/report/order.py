"""The order and direction of the runs: inner before outer, and as little carrying-over as may be."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.acts import Side
from tracer.model.plan import Run
from tracer.report.feed import fed_well
from tracer.report.starts import begun_at, starts_of
from tracer.report.tour import Ways, shortest_tour

Array = NDArray[np.float64]


def in_order(
    runs: Sequence[Run],
    rank: Mapping[int, int],
    start: Array,
    sides: Mapping[int, Side] | None = None,
) -> list[Run]:
    """Return the runs as they are to be cut, numbered from 1.

    All runs of one depth stop come before those of the next; within a stop those
    of low rank before those of high; among those, by least carrying-over.

    Parameters
    ----------
    runs : in any order; it does not matter which, but for ways of equal length.
    rank : by stroke number, how deep others nest inside its groove; low ranks are cut first.
    start : (2,) where the router stands before the first plunge, wood mm.
    sides : by stroke number, of edges the side their groove lies on; closed runs are fed accordingly.
    """
    if not runs:
        return []
    level = {id(run): (run.stop, max(rank.get(leg.stroke, 0) for leg in run.legs)) for run in runs}
    runs = sorted(runs, key=lambda run: (*level[id(run)], *sorted([tuple(run.start), tuple(run.end)])))
    groups = {one: number for number, one in enumerate(sorted(set(level.values())))}
    choices, points = zip(*(starts_of(run) for run in runs), strict=True)
    ends = np.concatenate(points)
    ways = Ways(
        start=ends[:, 0],
        end=ends[:, 1],
        run=np.repeat(np.arange(len(runs)), [len(choice) for choice in choices]),
        group=np.array([groups[level[id(run)]] for run in runs], dtype=np.intp),
    )
    choice = np.concatenate(choices)
    ordered = [begun_at(runs[ways.run[way]], int(choice[way])) for way in shortest_tour(ways, start)]
    side = sides or {}
    return [
        replace(fed_well(run, side.get(run.legs[0].stroke, "on")), number=number)
        for number, run in enumerate(ordered, start=1)
    ]


def carrying_over(runs: Sequence[Run]) -> float:
    """Return how far the lifted router is carried between runs, mm on the wood."""
    return float(sum(np.hypot(*(b.start - a.end)) for a, b in pairwise(runs)))
