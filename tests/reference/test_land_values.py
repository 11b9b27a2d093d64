"""Lands between parallel grooves against worked values: land = ratio x spacing - groove [D]."""

import pytest
import shapes

from tracer.job import Job
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.shop.bits import VBit
from tracer.shop.linkage import Linkage
from tracer.shop.wood import wood_named

BIT = VBit(60.0, 12.7)


def two_lines(spacing: float, ratio: float) -> Plan:
    """Two lines 100 mm long along the grain of hard maple (rule 1.5 mm); `spacing` on the template, mm."""
    linkage, maple = Linkage(ratio), wood_named("hard maple")
    job = Job(bit=BIT, depth=BIT.depth_for(1.6), linkage=linkage, wood=maple)
    y = 10 * spacing * ratio
    parts = [shapes.line((0, 0), (1000, 0)), shapes.line((0, y), (1000, y))]
    return build_plan(shapes.layout_of(shapes.drawing_from(parts), width_mm=100, job=job), job)


def checks(plan: Plan) -> set[str]:
    return {finding.check for finding in plan.findings if finding.severity != "note"}


@pytest.mark.parametrize(
    ("ratio", "land"),
    [
        (0.5, 1.4),  # fails a 1.5 mm rule [D]
        (0.4, 0.8),  # fails [D]
    ],
)
def test_lines_six_apart_on_the_template_fail(ratio: float, land: float) -> None:
    plan = two_lines(6.0, ratio)
    (found,) = plan.lands
    assert found.width == pytest.approx(land, abs=1e-3)
    assert found.limit == pytest.approx(1.5)
    assert found.length == pytest.approx(100, rel=0.02)
    assert checks(plan) == {"wood too thin"}


def test_lines_six_apart_hold_at_the_larger_ratio() -> None:
    assert two_lines(6.0, 0.6).lands == ()  # land 2.0 mm: passes [D]


def test_closest_lines_on_the_template() -> None:
    # S = (w + land) / k = 6.2 mm [D]
    assert two_lines(6.21, 0.5).lands == ()
    assert len(two_lines(6.19, 0.5).lands) == 1


def test_grooves_that_overlap_are_one() -> None:
    # Line centres 1.5 mm apart on the wood, groove 1.6 mm: land -0.1 mm [D]
    plan = two_lines(3.0, 0.5)
    assert plan.lands[0].width == pytest.approx(-0.1, abs=1e-3)
    assert checks(plan) == {"grooves run together"}
    assert (plan.totals.plunges_without_retracing, plan.totals.plunges_with_retracing) == (2, 1)
