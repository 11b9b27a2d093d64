"""Where a run may begin: either end of an open one, the least visible places of a closed one.

Where a closed run begins and ends the bit goes down and comes up, and a mark is left. At a
crossing or a joint another groove passes over it, and in a corner nobody looks for it; in the
middle of a smooth curve it shows.
"""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.model.plan import Leg, Run
from tracer.report.network import STUB
from tracer.report.runs import followed_as, turned_round

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

CORNER_DEG = 20.0
"""A closed stroke that turns at least so much at one point has a corner there (our own choice)."""

MOST_STARTS = 16
"""Places looked at on one closed run; more are thinned out evenly."""


def is_closed(run: Run) -> bool:
    """Say whether the run ends where it begins."""
    return math.dist(run.start, run.end) <= STUB and not _is_point(run)


def starts_of(run: Run) -> tuple[Ints, Array]:
    """Return the choices (k,), for `begun_at`, and where the bit goes down and comes up in each (k, 2, 2).

    They come by the places where the bit goes down, whichever way the run is given.

    A closed run of several legs may begin at any of its nodes, one round a single
    stroke at its corners, or, without any, wherever two cubics meet.
    """
    if not is_closed(run):
        ends = np.array([run.start, run.end])
        places = np.lexsort((ends[:, 1], ends[:, 0]))
        return places, np.stack([ends[places], ends[places[::-1]]], axis=1)
    places = np.arange(len(run.legs)) if len(run.legs) > 1 else _corners(run.legs[0])
    if len(places) > MOST_STARTS:
        places = places[np.linspace(0, len(places), MOST_STARTS, endpoint=False).astype(np.intp)]
    chains = [leg.curves for leg in run.legs] if len(run.legs) > 1 else run.legs[0].curves[:, None]
    points = np.array([chains[place][0, 0] for place in places])
    order = np.lexsort((points[:, 1], points[:, 0]))
    return places[order], np.stack([points[order], points[order]], axis=1)


def begun_at(run: Run, choice: int) -> Run:
    """Return the run as it is followed with one of the choices of `starts_of`."""
    if not is_closed(run):
        return turned_round(run) if choice else run
    if len(run.legs) > 1:
        return followed_as(run, [*run.legs[choice:], *run.legs[:choice]])
    return replace(run, legs=(_begun_at_cubic(run.legs[0], choice),))


def _corners(leg: Leg) -> Ints:
    """Return the cubics of a closed leg that begin with a corner; all where none does."""
    ends = np.arange(len(leg.curves), dtype=float)
    out, into = bezier.tangents_at(leg.curves, ends), bezier.tangents_at(leg.curves, ends + 1 - 1e-6)
    turn = (out * np.roll(into, 1, axis=0)).sum(axis=1)
    corners = np.flatnonzero(turn < np.cos(np.radians(CORNER_DEG)))
    return corners if len(corners) else np.arange(len(leg.curves))


def _begun_at_cubic(leg: Leg, cubic: int) -> Leg:
    count = len(leg.curves)
    shift = cubic if leg.end > leg.start else -cubic
    start, end = leg.start + shift, leg.end + shift
    lap = count if min(start, end) < 0 else -count if min(start, end) >= count else 0
    return replace(leg, start=start + lap, end=end + lap, curves=np.roll(leg.curves, -cubic, axis=0))


def _is_point(run: Run) -> bool:
    return len(run.legs) == 1 and not np.ptp(run.legs[0].curves.reshape(-1, 2), axis=0).any()
