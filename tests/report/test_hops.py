"""From groove to groove without new wood."""

import pytest
import shapes

from tracer.job import Job
from tracer.model.plan import Plan
from tracer.report.build import build_plan

GROOVE = Job().groove


def plan_of(*parts: shapes.Part) -> Plan:
    job = Job()
    return build_plan(shapes.layout_of(shapes.drawing_from(parts), width_mm=100, job=job), job)


@pytest.mark.parametrize(("gap", "plunges"), [(0.9 * GROOVE, 1), (1.1 * GROOVE, 2)])
def test_side_by_side(gap: float, plunges: int) -> None:
    # Two long grooves whose edges overlap are one trench at the face; apart they are two.
    plan = plan_of(shapes.line((0, 0), (1000, 0)), shapes.line((0, 10 * gap), (1000, 10 * gap)))
    assert plan.totals.plunges_with_retracing == plunges
    assert plan.totals.plunges_without_retracing == 2


@pytest.mark.parametrize(("gap", "plunges"), [(0.3 * GROOVE, 1), (0.9 * GROOVE, 2)])
def test_end_to_end(gap: float, plunges: int) -> None:
    # Between two round ends the waist must be cut out: only a small gap can be gone over unseen.
    plan = plan_of(shapes.line((0, 0), (500, 0)), shapes.line((500 + 10 * gap, 0), (1000, 0)))
    assert plan.totals.plunges_with_retracing == plunges


def test_a_dot_beside_a_line_is_reached() -> None:
    plan = plan_of(shapes.line((0, 0), (1000, 0)), shapes.dot(500, 3.0))
    assert plan.totals.plunges_with_retracing == 1
    hops = [leg for leg in plan.runs[0].legs if leg.start == leg.end]
    assert hops
    assert all(leg.retraced for leg in hops)
    assert plan.totals.retraced > 0
    assert plan.totals.carving_length == pytest.approx(100, rel=1e-6)
