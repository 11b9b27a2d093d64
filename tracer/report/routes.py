"""The runs of each depth stop, and how many plunges they take either way."""

import operator
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tracer.model.drawing import Joint, Stroke
from tracer.model.plan import DepthStop, Run
from tracer.report import runs
from tracer.report.hops import find_hops
from tracer.report.network import Network, build_network
from tracer.report.samples import Samples, sample

_A_GROOVE = 4
"""Samples in a groove's width: as many as the hops need."""


@dataclass(frozen=True, eq=False)
class Routes:
    """Runs of one depth stop in no order yet, and how many there would be either way.

    `strokes` with their `network`, `ways` between parts (stroke, place, other stroke, its place)
    and `retrace` are what the runs hang on.
    """

    stop: DepthStop
    strokes: tuple[Stroke, ...]
    network: Network
    ways: tuple[tuple[int, float, int, float], ...]
    retrace: bool
    runs: tuple[Run, ...]
    with_retracing: int
    without_retracing: int


def find_routes(
    cut: Sequence[Stroke],
    joints: Sequence[Joint],
    stop: DepthStop,
    *,
    retrace: bool,
    samples: Samples | None = None,
    known: Routes | None = None,
) -> Routes:
    """Return the runs along strokes of one depth stop; parts that the bit can go between are one.

    `samples` are of these strokes, where there are any already; `known` is taken as it
    is where nothing that it hangs on is different.
    """
    own = tuple(cut)
    network = known.network if known is not None and _same(known, own) else build_network(own, joints)
    numbers = [stroke.number for stroke in own]
    part = {edge.stroke.number: int(network.parts[edge.tail]) for edge in network.edges}
    parts = np.array([part[number] for number in numbers], dtype=np.intp)
    near = sample(own, stop.width / _A_GROOVE) if samples is None else samples
    hops = find_hops(near, numbers, parts, stop.width / 2)
    ways = tuple((hop.stroke, hop.t, hop.other, hop.other_t) for hop in hops)
    if known is not None and network is known.network and (ways, retrace) == (known.ways, known.retrace):
        return replace(known, stop=stop, runs=tuple(replace(run, stop=stop.number) for run in known.runs))
    joined = build_network(own, joints, hops) if hops else network
    found = runs.with_retracing(joined) if retrace else runs.without_retracing(network)
    return Routes(
        stop=stop,
        strokes=own,
        network=network,
        ways=ways,
        retrace=retrace,
        runs=tuple(replace(run, stop=stop.number) for run in found),
        with_retracing=runs.plunges_with_retracing(joined),
        without_retracing=runs.plunges_without_retracing(network),
    )


def _same(known: Routes, strokes: Sequence[Stroke]) -> bool:
    return len(known.strokes) == len(strokes) and all(map(operator.is_, known.strokes, strokes))
