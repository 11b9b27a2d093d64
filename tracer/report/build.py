"""The plan: grooves, lands, islands, runs, findings."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tracer.job import Job
from tracer.model.drawing import Joint, Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.model.plan import DepthStop, Plan, Run
from tracer.report import runs as routes
from tracer.report.board_findings import about_board
from tracer.report.bodies import find_bodies
from tracer.report.cut import Cut
from tracer.report.decided import decide
from tracer.report.findings import costliest_first
from tracer.report.grooves import Sorted, sort_strokes
from tracer.report.hops import find_hops
from tracer.report.islands import Enclosures, find_islands
from tracer.report.lands import Near, find_lands
from tracer.report.mesh import build_mesh
from tracer.report.network import build_network
from tracer.report.order import in_order
from tracer.report.samples import sample, step_for
from tracer.report.stops import find_stops
from tracer.report.stroke_findings import about_strokes
from tracer.report.timing import totals
from tracer.report.wood_findings import about_wood

SAMPLES_A_GROOVE = 4
"""Samples along strokes in a groove's width: as many as the hops need."""


@dataclass(frozen=True, eq=False)
class _Wood:
    """What the grooves leave, with what the routes need to know of it."""

    lands: tuple[Near, ...]
    enclosures: Enclosures


@dataclass(frozen=True)
class _Routes:
    """Runs in no order yet, and how many there would be either way."""

    runs: list[Run]
    with_retracing: int
    without_retracing: int


def build_plan(layout: Layout, job: Job) -> Plan:
    """Return what will happen in the wood when `layout` is cut as `job` says.

    Never fails for art that cannot be cut: what is lost, and whether anything is left, is in
    the findings. A plan without a finding of severity "loss" cuts as drawn.

    Raises
    ------
    BitError
        For a depth that the bit cannot cut, or that takes an absurd number of passes.
    JobError
        Where the job speaks of a stroke that is not there.
    """
    decided = decide(layout, job)
    stops = find_stops(decided.strokes, job)
    strokes = sort_strokes(layout, job, decided, stops)
    kept = {groove.stroke for groove in strokes.grooves}
    cut = tuple(stroke for stroke in decided.strokes if stroke.number in kept)
    held = Cut(cut, strokes.grooves)
    wood = _look_at_wood(job, held, decided.joints)
    routes_ = [_routes(job, held, decided.joints, stop) for stop in stops.stops]
    x0, y0, _, _ = layout.extent
    runs = in_order([run for one in routes_ for run in one.runs], wood.enclosures.rank, np.array([x0, y0]))
    return Plan(
        layout=layout,
        job=job,
        strokes=decided.strokes,
        stops=stops.stops,
        grooves=strokes.grooves,
        dropped=strokes.dropped,
        lands=tuple(near.land for near in wood.lands),
        islands=wood.enclosures.islands,
        runs=tuple(runs),
        totals=totals(
            runs,
            job,
            stops.stops,
            with_retracing=sum(one.with_retracing for one in routes_),
            without_retracing=sum(one.without_retracing for one in routes_),
        ),
        findings=(*decided.findings, *_findings(layout, job, strokes, cut, wood)),
    )


def _look_at_wood(job: Job, cut: Cut, joints: Sequence[Joint]) -> _Wood:
    if not cut.strokes:
        return _Wood((), Enclosures())
    samples = sample(cut.strokes, step_for(2 * float(cut.radius.min())))
    common = float(cut.radius.min()) ** 2
    mesh = build_mesh(samples.points, cut.radius[samples.stroke] ** 2 - common)
    bodies = find_bodies(mesh, common)
    return _Wood(
        lands=find_lands(cut, samples, mesh, build_network(cut.strokes, joints), job),
        enclosures=find_islands(cut, samples, bodies, job),
    )


def _routes(job: Job, cut: Cut, joints: Sequence[Joint], stop: DepthStop) -> _Routes:
    """Return the runs of one depth stop; parts that the bit can go between inside grooves are one."""
    own = [s for s, groove in zip(cut.strokes, cut.grooves, strict=True) if groove.stop == stop.number]
    network = build_network(own, joints)
    numbers = [stroke.number for stroke in own]
    part = {edge.stroke.number: int(network.parts[edge.tail]) for edge in network.edges}
    parts = np.array([part[number] for number in numbers], dtype=np.intp)
    hops = find_hops(sample(own, stop.width / SAMPLES_A_GROOVE), numbers, parts, stop.width / 2)
    joined = build_network(own, joints, hops) if hops else network
    runs = routes.with_retracing(joined) if job.retrace else routes.without_retracing(network)
    return _Routes(
        runs=[replace(run, stop=stop.number) for run in runs],
        with_retracing=routes.plunges_with_retracing(joined),
        without_retracing=routes.plunges_without_retracing(network),
    )


def _findings(
    layout: Layout, job: Job, strokes: Sorted, cut: Sequence[Stroke], wood: _Wood
) -> tuple[Finding, ...]:
    found = [
        *about_strokes(layout, job, strokes, cut),
        *about_wood(layout, job, wood.lands, wood.enclosures),
        *about_board(layout, job, cut),
    ]
    return costliest_first(found, layout.strokes)
