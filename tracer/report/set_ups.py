"""Positions of the board for a carving larger than the bit's reach: windows, what is cut in each, marks."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.job import Job
from tracer.model.drawing import Joint, extent
from tracer.model.layout import Board
from tracer.report.cut import Cut
from tracer.report.division import Division, divide
from tracer.report.links import MEETING, NEVER, Links, links_of
from tracer.report.network import build_network
from tracer.report.register import neighbours_of, register_marks
from tracer.report.shares import Share, shares_of
from tracer.report.windows import needed

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Box = tuple[float, float, float, float]
Point = tuple[float, float]

LEAST_REACH = 20.0
"""mm; in less no stroke can be followed and parted with any sense (our own choice)."""

MOST_SET_UPS = 60
"""More often nobody moves a board (our own choice)."""


@dataclass(frozen=True, eq=False)
class Reached:
    """What of the reach came of a carving.

    Attributes
    ----------
    extent : of all that is cut, between outermost stroke middles.
    windows, marks, shares : of each set-up in the order of cutting; empty where one will do, or none can be.
    joins : (j, 2) places where strokes are parted, and which of them are where strokes meet or end.
    count : set-ups that it takes at least, also where they cannot be.
    curve : a place where a small curve would have to be parted, None where there is none.
    """

    extent: Box
    windows: tuple[Box, ...] = ()
    marks: tuple[tuple[Point, ...], ...] = ()
    shares: tuple[Share, ...] = ()
    joins: Array | None = None
    at_meetings: int = 0
    count: int = 1
    curve: Point | None = None


def reach_out(job: Job, board: Board, cut: Cut, joints: Sequence[Joint]) -> Reached | None:
    """Return how all that is cut lies within the reach, None where nobody said it or nothing is cut."""
    reach = job.linkage.reach
    if reach is None or not cut.strokes:
        return None
    outside = extent(cut.strokes)
    size = (outside[2] - outside[0], outside[3] - outside[1])
    if min(reach) < LEAST_REACH:
        return Reached(outside, count=0)
    count = needed(size[0], reach[0]) * needed(size[1], reach[1])
    if count == 1 or count > MOST_SET_UPS:
        return Reached(outside, count=count)
    network = build_network(cut.strokes, joints)
    links = links_of(network)
    division = divide(links, outside, reach, job.units)
    if not division.clean:
        return Reached(outside, count=len(division.positions), curve=_worst(links, division))
    share = _share(division, len(links.ends))
    windows = tuple(position.window for position in division.positions)
    pairs = neighbours_of(windows, _joined(links, share, division.joins))
    face = (0.0, 0.0, board.width, board.height)
    return Reached(
        outside,
        windows=windows,
        marks=register_marks(windows, pairs, face, (links.points, float(cut.radius.max()))),
        shares=shares_of(network, links, share, joints),
        joins=links.points[division.joins],
        at_meetings=int((links.cost[division.joins] == MEETING).sum()),
        count=len(windows),
    )


def _share(division: Division, count: int) -> Ints:
    """Return the set-up (from 0) of each link (count,)."""
    share = np.zeros(count, dtype=np.intp)
    for number, position in enumerate(division.positions):
        share[position.own] = number
    return share


def _worst(links: Links, division: Division) -> Point:
    """Return a place where a small curve is parted."""
    bad = division.joins[links.cost[division.joins] >= NEVER]
    x, y = links.points[bad[0]].tolist()
    return x, y


def _joined(links: Links, share: Ints, joins: Ints) -> set[tuple[int, int]]:
    """Return the pairs of set-ups that are joined at some place."""
    found: set[tuple[int, int]] = set()
    for join in joins.tolist():
        there = np.unique(share[(links.ends == join).any(axis=1)]).tolist()
        found |= {(a, b) for k, a in enumerate(there) for b in there[k + 1 :]}
    return found
