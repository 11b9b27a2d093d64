"""Trails as runs: legs in the direction of travel, each groove cut once and gone over again where need be."""

from collections.abc import Sequence
from dataclasses import replace

from tracer.geometry import bezier
from tracer.model.plan import Leg, Run
from tracer.report.network import Edge, Network
from tracer.report.retrace import retraced_edges
from tracer.report.trails import Step, find_trails


def without_retracing(network: Network) -> list[Run]:
    """Return the fewest runs that follow every edge exactly once; parts and runs numbered from 1, unordered."""
    return _runs(network, network.edges)


def with_retracing(network: Network) -> list[Run]:
    """Return one run a part, with the least length gone over again."""
    return _runs(network, [*network.edges, *retraced_edges(network)])


def turned_round(run: Run) -> Run:
    """Return the run followed from its other end; what it goes over first is then what it cuts."""
    legs = [replace(leg, start=leg.end, end=leg.start, curves=bezier.reverse(leg.curves)) for leg in run.legs[::-1]]
    return replace(run, legs=_first_cuts(legs))


def _runs(network: Network, edges: Sequence[Edge]) -> list[Run]:
    trails = find_trails(edges)
    parts = [int(network.parts[edges[trail[0].edge].tail]) + 1 for trail in trails]
    return [
        Run(number=number, part=part, legs=_first_cuts([_leg(edges[step.edge], step) for step in trail]))
        for number, (trail, part) in enumerate(zip(trails, parts, strict=True), start=1)
    ]


def _leg(edge: Edge, step: Step) -> Leg:
    start, end, curves = edge.start, edge.end, edge.curves
    if not step.forward:
        start, end, curves = end, start, bezier.reverse(curves)
    return Leg(edge.stroke, start, end, edge.hop, curves)


def _first_cuts(legs: Sequence[Leg]) -> tuple[Leg, ...]:
    """Mark every leg whose stretch an earlier one has cut as retraced; hops always are."""
    seen: set[tuple[int, float, float]] = set()
    marked = []
    for leg in legs:
        stretch = (leg.stroke, min(leg.start, leg.end), max(leg.start, leg.end))
        marked.append(replace(leg, retraced=leg.start == leg.end or stretch in seen))
        seen.add(stretch)
    return tuple(marked)
