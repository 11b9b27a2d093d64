"""From groove to groove without new wood."""

import numpy as np
import pytest
import shapely
import shapes
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.report.hops import SLACK, Hop, find_hops
from tracer.report.samples import sample

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


def strokes_at(points: np.ndarray) -> list[Stroke]:
    """Straight strokes between pairs of points (n, 2, 2), mm; a dot where both are one."""
    return [
        Stroke(
            number,
            bezier.from_polyline(ends),
            closed=False,
            kind="line" if np.ptp(ends, axis=0).any() else "dot",
        )
        for number, ends in enumerate(points, start=1)
    ]


def hops_of(strokes: list[Stroke], radius: float) -> tuple[Hop, ...]:
    """Hops between strokes of which no two are joined."""
    return find_hops(
        sample(strokes, radius / 2), [s.number for s in strokes], np.arange(len(strokes)), radius
    )


LINES = st.tuples(st.integers(0, 10_000), st.integers(2, 12)).map(
    lambda drawn: np.round(np.random.default_rng(drawn[0]).random((drawn[1], 2, 2)) * 30)
)


@settings(deadline=None)
@given(LINES)
def test_no_hop_cuts_new_wood(points: np.ndarray) -> None:
    # Against polygons of the grooves: where the bit goes in a hop lies within them, but for SLACK.
    strokes, radius = strokes_at(points), 2.0
    grooves = shapely.union_all([shapely.LineString(s.curves[0][[0, 3]]).buffer(radius, 64) for s in strokes])
    for hop in hops_of(strokes, radius):
        new = shapely.LineString(hop.points).buffer(radius, 64).difference(grooves)
        edge = shapely.points(shapely.get_coordinates(shapely.segmentize(new, 0.05)))
        if new.area > 1e-6:  # the sides are looked at in places 0.2 mm apart
            assert shapely.distance(edge, grooves).max() <= SLACK + 0.12
        for number, t, point in ((hop.stroke, hop.t, hop.points[0]), (hop.other, hop.other_t, hop.points[1])):
            assert np.allclose(bezier.points_at(strokes[number - 1].curves, np.array([t])), point)


@settings(deadline=None)
@given(LINES)
def test_grooves_that_cross_or_run_side_by_side_hang_together(points: np.ndarray) -> None:
    # Once middles touch, the bit can go across however they meet; hops join them, and none is needless.
    strokes, radius = strokes_at(points), 2.0
    lines = [shapely.LineString(s.curves[0][[0, 3]]) for s in strokes]
    root = list(range(len(strokes)))

    def find(i: int) -> int:
        return i if root[i] == i else find(root[i])

    hops = hops_of(strokes, radius)
    for hop in hops:
        a, b = find(hop.stroke - 1), find(hop.other - 1)
        assert a != b
        root[a] = b
    for i, one in enumerate(lines):
        for j, other in enumerate(lines[:i]):
            if one.intersects(other):
                assert find(i) == find(j)


def test_parts_that_hang_together_already_need_no_hop() -> None:
    strokes = strokes_at(np.array([[[0, 0], [30, 0]], [[0, 1], [30, 1]]], float))
    assert len(hops_of(strokes, 2.0)) == 1
    assert find_hops(sample(strokes, 1.0), [1, 2], np.zeros(2, dtype=np.intp), 2.0) == ()
