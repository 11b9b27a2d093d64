"""The whole plan: what holds whatever the drawing."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
import shapes
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import affine, bezier
from tracer.job import Job
from tracer.model.layout import Layout, Piece
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.shop.linkage import Linkage

PICTURES = shapes.NAMES[:11]


def plan_of(name: str, width: float = 200.0, **more: object) -> Plan:
    job = Job(**more)  # type: ignore[arg-type]
    return build_plan(shapes.layout_of(shapes.drawing_of(name), width_mm=width, job=job), job)


def counts(plan: Plan) -> tuple[object, ...]:
    kinds = Counter((finding.check, finding.severity) for finding in plan.findings)
    islands = Counter((island.kind, island.nesting) for island in plan.islands)
    totals = plan.totals
    return (
        [one.stroke for one in plan.dropped],
        [land.strokes for land in sorted(plan.lands, key=lambda land: land.strokes)],
        kinds,
        islands,
        totals.plunges_with_retracing,
        totals.plunges_without_retracing,
    )


@pytest.mark.parametrize("retrace", [True, False])
@pytest.mark.parametrize("name", [*PICTURES, "EMMA", "H", "8"])
def test_every_groove_is_cut_once_and_legs_follow_on(name: str, retrace: bool) -> None:
    plan = plan_of(name, retrace=retrace)
    cut = Counter[int]()
    for run in plan.runs:
        for before, after in zip(run.legs, run.legs[1:], strict=False):
            assert np.hypot(*(after.curves[0, 0] - before.curves[-1, 3])) < 0.05
        for leg in run.legs:
            cut[leg.stroke] += 0 if leg.retraced else round(1e6 * bezier.length(leg.curves))
    assert [run.number for run in plan.runs] == list(range(1, plan.totals.plunges + 1))
    for stroke in plan.cut:
        assert cut[stroke.number] == pytest.approx(1e6 * stroke.length, rel=1e-6, abs=20)
        assert any(leg.stroke == stroke.number for run in plan.runs for leg in run.legs)
    if not retrace:
        assert plan.totals.retraced == 0
    assert plan.totals.carving_length == pytest.approx(sum(stroke.length for stroke in plan.cut), rel=1e-6)


@pytest.mark.parametrize("name", PICTURES)
def test_retracing_never_needs_more_plunges(name: str) -> None:
    totals = plan_of(name).totals
    assert totals.plunges_with_retracing <= totals.plunges_without_retracing


@settings(max_examples=12, deadline=None)
@given(st.sampled_from(["wheel", "whiskers", "face", "grid", "EMMA"]), st.sampled_from([90.0, 37.0, 180.0]))
def test_turning_all_and_the_grain_changes_no_count(name: str, turn_deg: float) -> None:
    job = Job()
    layout = shapes.layout_of(shapes.drawing_of(name), width_mm=160, job=job)
    turned = Layout(
        layout.board,
        tuple(
            Piece(p.drawing, affine.compose(affine.rotation(np.radians(turn_deg)), p.matrix), p.name)
            for p in layout.pieces
        ),
    )
    other = build_plan(turned, replace(job, grain_deg=turn_deg))
    assert counts(other) == counts(build_plan(layout, job))


@settings(max_examples=10, deadline=None)
@given(st.sampled_from(["whiskers", "face", "dots", "close lines"]), st.floats(40, 300), st.floats(1.0, 2.0))
def test_enlarging_never_drops_or_merges_more(name: str, width: float, factor: float) -> None:
    small, large = plan_of(name, width), plan_of(name, width * factor)
    # The verdict on the typical line changes which strokes are asked for: compare what cannot be held at all.
    if not any(finding.check == "lines too thin" for finding in small.findings):
        assert {d.stroke for d in large.dropped} <= {d.stroke for d in small.dropped}
    both = {s.number for s in small.cut} & {s.number for s in large.cut}
    assert {land.strokes for land in large.lands if set(land.strokes) <= both} <= {
        land.strokes for land in small.lands
    }


@settings(max_examples=8, deadline=None)
@given(st.sampled_from(["whiskers", "face", "grid", "close lines"]), st.sampled_from([0.4, 0.6, 1.0]))
def test_the_ratio_changes_nothing_about_cutting(name: str, ratio: float) -> None:
    half, other = plan_of(name), plan_of(name, linkage=Linkage(ratio))
    assert counts(half) == counts(other)
    assert half.totals.carving_length == other.totals.carving_length
    assert other.totals.template_length == pytest.approx(half.totals.template_length * 0.5 / ratio)


def test_a_plan_with_nothing_left() -> None:
    plan = plan_of("hair line", 40.0, depth=6.0, max_widening=2.0)
    assert plan.findings[0].check == "lines too thin"
    none = plan_of("nothing")
    assert none.runs == ()
    assert none.totals.plunges == 0
    assert none.findings[0].check == "nothing to cut"


def test_the_same_plan_twice() -> None:
    first, second = plan_of("face"), plan_of("face")
    assert first.findings == second.findings
    assert first.totals == second.totals
    assert all(np.array_equal(a.curves, b.curves) for a, b in zip(first.runs, second.runs, strict=True))
