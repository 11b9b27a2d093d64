"""Trails as runs: legs in the direction of travel, each groove cut once and gone over again where need be."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.model.plan import Leg, Run
from tracer.report.network import Network
from tracer.report.retrace import retraced_edges
from tracer.report.trails import find_trails

Ints = NDArray[np.intp]


def plunges_without_retracing(network: Network) -> int:
    """Return how many runs follow every edge exactly once: sum over the parts of max(1, odd nodes / 2)."""
    if not network.edges:
        return 0
    odd = np.bincount(network.parts, weights=network.degrees % 2)
    return int(np.maximum(1, odd / 2).sum())


def plunges_with_retracing(network: Network) -> int:
    """Return how many runs are needed when grooves may be followed again: one a part."""
    return len(np.unique(network.parts))


def without_retracing(network: Network) -> list[Run]:
    """Return the fewest runs that follow every edge exactly once, in no order."""
    return _runs(network, np.arange(len(network.edges)))


def with_retracing(network: Network) -> list[Run]:
    """Return one run a part, with the least length gone over again, in no order."""
    return _runs(network, np.concatenate([np.arange(len(network.edges)), retraced_edges(network)]))


def turned_round(run: Run) -> Run:
    """Return the run followed from its other end; what it comes to first is then what it cuts."""
    return followed_as(run, [_turned(leg) for leg in run.legs[::-1]])


def followed_as(run: Run, legs: Sequence[Leg]) -> Run:
    """Return the run with its legs in another order; what it comes to first is then what it cuts."""
    return replace(run, legs=_first_cuts(legs))


def _runs(network: Network, followed: Ints) -> list[Run]:
    """Return the runs over the edges with the indices `followed`, in which one may stand twice."""
    trails = find_trails(network.ends[followed].tolist(), network.directions[followed])
    return [
        Run(
            number=number,
            part=int(network.parts[network.edges[followed[trail[0].edge]].tail]) + 1,
            legs=_first_cuts([_leg(network, followed[step.edge], forward=step.forward) for step in trail]),
        )
        for number, trail in enumerate(trails, start=1)
    ]


def _leg(network: Network, index: int, *, forward: bool) -> Leg:
    edge, curves = network.edges[index], network.curves[index]
    leg = Leg(edge.stroke.number, edge.start, edge.end, retraced=False, curves=curves)
    return leg if forward else _turned(leg)


def _turned(leg: Leg) -> Leg:
    return Leg(leg.stroke, leg.end, leg.start, retraced=leg.retraced, curves=bezier.reverse(leg.curves))


def _first_cuts(legs: Sequence[Leg]) -> tuple[Leg, ...]:
    """Mark the legs that cut nothing: those whose stretch an earlier one has cut, and hops."""
    seen: set[tuple[int, float, float]] = set()
    marked = []
    for leg in legs:
        stretch = (leg.stroke, min(leg.start, leg.end), max(leg.start, leg.end))
        over = leg.start == leg.end or stretch in seen
        marked.append(
            leg
            if leg.retraced == over
            else Leg(leg.stroke, leg.start, leg.end, retraced=over, curves=leg.curves)
        )
        seen.add(stretch)
    return tuple(marked)
