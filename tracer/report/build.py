"""The plan: grooves, lands, islands, runs, findings."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.model.plan import Plan, Run
from tracer.report import runs as routes
from tracer.report.board_findings import about_board
from tracer.report.findings import costliest_first
from tracer.report.grooves import Sorted, sort_strokes
from tracer.report.hops import find_hops
from tracer.report.islands import Enclosures, find_islands
from tracer.report.lands import Near, find_lands
from tracer.report.network import Network, build_network
from tracer.report.order import in_order
from tracer.report.samples import Samples, sample
from tracer.report.stroke_findings import about_strokes
from tracer.report.timing import totals
from tracer.report.wood_findings import about_wood
from tracer.shop.router import pass_depths

SAMPLES_A_GROOVE = 4
"""Samples along strokes in a groove's width: as many as the hops need."""


@dataclass(frozen=True, eq=False)
class _Wood:
    """What the grooves leave, with what the routes need to know of it."""

    samples: Samples
    network: Network
    lands: tuple[Near, ...]
    enclosures: Enclosures


def build_plan(layout: Layout, job: Job) -> Plan:
    """Return what will happen in the wood when `layout` is cut as `job` says.

    Never fails for art that cannot be cut: what is lost, and whether anything is left, is in
    the findings. A plan without a finding of severity "loss" cuts as drawn.

    Raises
    ------
    BitError
        For a depth that the bit cannot cut, or that takes an absurd number of passes.
    """
    strokes = sort_strokes(layout, job)
    kept = {groove.stroke for groove in strokes.grooves}
    cut = tuple(stroke for stroke in layout.strokes if stroke.number in kept)
    wood = _look_at_wood(layout, job, cut)
    joined = _joined(layout, job, cut, wood)
    runs = routes.with_retracing(joined) if job.retrace else routes.without_retracing(wood.network)
    runs = _ordered(runs, layout, wood.enclosures)
    depths = pass_depths(job.bit, job.depth, job.pass_limit)
    return Plan(
        layout=layout,
        job=job,
        grooves=strokes.grooves,
        dropped=strokes.dropped,
        lands=tuple(near.land for near in wood.lands),
        islands=wood.enclosures.islands,
        runs=tuple(runs),
        pass_depths=depths,
        totals=totals(
            runs,
            job,
            with_retracing=routes.plunges_with_retracing(joined),
            without_retracing=routes.plunges_without_retracing(wood.network),
            passes=len(depths),
        ),
        findings=_findings(layout, job, strokes, cut, wood),
    )


def _look_at_wood(layout: Layout, job: Job, cut: Sequence[Stroke]) -> _Wood:
    samples = sample(cut, job.groove / SAMPLES_A_GROOVE)
    numbers = [stroke.number for stroke in cut]
    network = build_network(cut, layout.joints)
    return _Wood(
        samples=samples,
        network=network,
        lands=find_lands(samples, numbers, network, job),
        enclosures=find_islands(numbers, samples.polylines, job),
    )


def _joined(layout: Layout, job: Job, cut: Sequence[Stroke], wood: _Wood) -> Network:
    """Return the network with the parts joined that the bit can go between inside grooves."""
    numbers = [stroke.number for stroke in cut]
    part = {edge.stroke.number: int(wood.network.parts[edge.tail]) for edge in wood.network.edges}
    parts = np.array([part[number] for number in numbers], dtype=np.intp)
    hops = find_hops(wood.samples, numbers, parts, job.groove / 2)
    return build_network(cut, layout.joints, hops) if hops else wood.network


def _ordered(runs: Sequence[Run], layout: Layout, enclosures: Enclosures) -> list[Run]:
    x0, y0, _, _ = layout.extent
    return in_order(runs, enclosures.rank, np.array([x0, y0]))


def _findings(
    layout: Layout, job: Job, strokes: Sorted, cut: Sequence[Stroke], wood: _Wood
) -> tuple[Finding, ...]:
    found = [
        *about_strokes(layout, job, strokes, cut),
        *about_wood(layout, job, wood.lands, wood.enclosures),
        *about_board(layout, job, cut),
    ]
    return costliest_first(found, layout.strokes)
