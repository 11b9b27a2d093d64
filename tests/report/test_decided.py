"""What the user decided about single strokes, carried out."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
import shapes
from hypothesis import given
from hypothesis import strategies as st

from tracer.acts import Acts, Join
from tracer.errors import JobError
from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Joint
from tracer.model.layout import Layout
from tracer.model.plan import Plan
from tracer.report.build import Planner, build_plan
from tracer.report.decided import BY_USER, Decided, decide
from tracer.report.joined import join_ends


def laid(parts: Sequence[shapes.Part], width: float) -> Layout:
    return shapes.layout_of(shapes.drawing_from(list(parts)), width_mm=width)


def decided(parts: Sequence[shapes.Part], width: float, **acts: Any) -> Decided:
    return decide(laid(parts, width), Job(acts=Acts(**acts)))


def plan_of(parts: Sequence[shapes.Part], width: float, **acts: Any) -> Plan:
    return build_plan(laid(parts, width), Job(acts=Acts(**acts)))


THREE = [shapes.line((0, 50 * k), (100, 50 * k), width=4.0) for k in range(3)]
FACING = [shapes.line((0, 0), (40, 0), width=4.0), shapes.line((100, 0), (60, 0), width=2.0)]
JOIN = (Join(1, "end", 2, "end"),)


def test_what_is_left_out_is_not_cut_and_said() -> None:
    plan = plan_of(THREE, 100.0, leave_out=(2,))
    assert [groove.stroke for groove in plan.grooves] == [1, 3]
    assert [(one.stroke, one.reason) for one in plan.dropped] == [(2, BY_USER)]


def test_what_is_kept_is_cut_though_too_thin() -> None:
    widths = (0.5, 0.5, 3.0, 3.0, 3.0)
    parts = [shapes.line((0, 20 * k), (100, 20 * k), width=width) for k, width in enumerate(widths)]
    assert [one.stroke for one in plan_of(parts, 100.0).dropped] == [1, 2]
    assert [one.stroke for one in plan_of(parts, 100.0, keep=(2,)).dropped] == [1]


def test_ends_that_face_each_other_are_joined_straight() -> None:
    bridge = decided(FACING, 100.0, join=JOIN).strokes[-1]
    assert (bridge.number, bridge.kind, bridge.closed) == (3, "line", False)
    assert bridge.width == pytest.approx(3.0)  # the mean of both
    assert bridge.length == pytest.approx(20.0)
    assert np.ptp(bridge.points(0.001)[:, 1]) < 1e-9


def test_parallel_ends_are_joined_by_half_a_circle() -> None:
    """The handle of a half circle's cubic is 4/3 of its radius (from memory), 2/3 of the chord."""
    parts = [shapes.line((0, 0), (100, 0)), shapes.line((0, 40), (100, 40))]
    bridge = decided(parts, 100.0, join=JOIN).strokes[-1]
    centre = (bridge.curves[0, 0] + bridge.curves[-1, 3]) / 2
    radii = np.hypot(*(bridge.points(0.001) - centre).T)
    assert radii == pytest.approx(20.0, rel=0.02)
    assert bridge.length == pytest.approx(math.pi * 20, rel=0.01)


@given(
    st.tuples(st.floats(-math.pi, math.pi), st.floats(-math.pi, math.pi)),
    st.tuples(st.sampled_from(["start", "end"]), st.sampled_from(["start", "end"])),
)
def test_joins_go_on_in_the_direction_of_both_ends(angles: tuple[float, float], ends: Any) -> None:
    parts = []
    for (x, y), angle, end in zip(((0.0, 0.0), (30.0, 10.0)), angles, ends, strict=True):
        far = (x + 200 * math.cos(angle), y + 200 * math.sin(angle))
        parts.append(shapes.line((x, y), far) if end == "start" else shapes.line(far, (x, y)))
    layout = laid(parts, 200.0)
    bridge = decide(layout, Job(acts=Acts(join=(Join(1, ends[0], 2, ends[1]),)))).strokes[-1]
    leaves, comes = bezier.tangents_at(bridge.curves, np.array([0.0, 1.0]))
    assert leaves == pytest.approx([-math.cos(angles[0]), -math.sin(angles[0])], abs=1e-6)
    assert comes == pytest.approx([math.cos(angles[1]), math.sin(angles[1])], abs=1e-6)
    tips = [
        s.curves[(0, 0) if end == "start" else (-1, 3)] for s, end in zip(layout.strokes, ends, strict=True)
    ]
    assert bridge.curves[0, 0] == pytest.approx(tips[0])
    assert bridge.curves[-1, 3] == pytest.approx(tips[1])


def test_the_route_runs_through_a_join() -> None:
    assert plan_of(FACING, 100.0).totals.plunges == 2
    totals = plan_of(FACING, 100.0, join=JOIN).totals
    assert (totals.plunges, totals.plunges_without_retracing, totals.retraced) == (1, 1, 0.0)
    assert totals.carving_length == pytest.approx(100.0)


def test_a_join_from_an_end_that_meets_others_extends_their_joint() -> None:
    found = decided([*FACING, shapes.line((40, -30), (40, 0))], 100.0, join=JOIN)
    assert sorted(len(joint.members) for joint in found.joints) == [2, 3]
    assert {n for joint in found.joints for n, _ in joint.members} == {1, 2, 3, 4}


def test_a_joint_that_lies_a_little_off_the_end_is_extended_all_the_same() -> None:
    layout = laid(FACING, 100.0)
    end = layout.strokes[0].curves[-1, 3]
    off = Joint(end + 0.3, ((1, 1.0), (2, 0.5)))  # joints are means of places: not quite on each
    _, joints = join_ends(layout.strokes, [off], JOIN)
    assert next(joint.members for joint in joints) == ((1, 1.0), (2, 0.5), (3, 0.0))
    assert len(joints) == 2


def test_a_join_meets_what_it_crosses() -> None:
    parts = [*FACING, shapes.line((50, -30), (50, 30))]
    crossing = next(j for j in decided(parts, 100.0, join=JOIN).joints if 3 in dict(j.members))
    assert dict(crossing.members)[4] == pytest.approx(0.5)
    plan = plan_of(parts, 100.0, join=JOIN)
    assert plan.totals.plunges == 1
    assert "grooves run together" not in {finding.check for finding in plan.findings}


def test_joins_are_numbered_in_the_order_of_the_list() -> None:
    joins = (Join(2, "end", 3, "end"), Join(1, "start", 2, "start"))
    found = decided(THREE, 100.0, join=joins, keep=(4,), stops={5: 1})
    assert [stroke.number for stroke in found.strokes] == [1, 2, 3, 4, 5]
    assert found.strokes[3].curves[0, 0] == pytest.approx(found.strokes[1].curves[-1, 3])


@pytest.mark.parametrize(
    ("acts", "why"),
    [
        (Acts(leave_out=(9,)), r"`leave-out` names stroke 9, and this drawing has strokes 1 to 4: take the"),
        (Acts(keep=(5,)), r"`keep` names stroke 5"),
        (Acts(thin_out=((1, 2), (3, 7))), r"`thin-out` names stroke 7"),
        (Acts(stops={8: 1}), r"`stop` names stroke 8"),
        (Acts(sides={6: "inside"}), r"`side` names stroke 6"),
        (Acts(join=(Join(1, "end", 9, "end"),)), r"`join` names stroke 9"),
        (Acts(join=(Join(1, "end", 5, "end"),)), r"`join` names stroke 5"),
        (
            Acts(join=(Join(1, "end", 4, "end"),)),
            r"stroke 4 is closed and has no ends: take it out of `join`",
        ),
        (Acts(sides={2: "inside"}), r"`side` says inside of stroke 2, and that is a line: only the edge"),
    ],
)
def test_what_a_stroke_cannot_have(acts: Acts, why: str) -> None:
    with pytest.raises(JobError, match=why):
        decide(laid([*THREE, shapes.ring((50, 50), 30)], 100.0), Job(acts=acts))


def test_where_the_decision_came_from_is_said() -> None:
    job = Job(acts=Acts(leave_out=(9,)), origins={"leave-out": "from the job file"})
    with pytest.raises(JobError, match=r"`leave-out` \(from the job file\) names stroke 9"):
        decide(laid(THREE, 100.0), job)


def test_ends_that_are_one_place_are_not_joined() -> None:
    parts = [shapes.line((0, 0), (50, 0)), shapes.line((50, 0), (100, 0))]
    with pytest.raises(JobError, match=r"end of stroke 1 and the start of stroke 2 are one place already"):
        decided(parts, 100.0, join=(Join(1, "end", 2, "start"),))


def test_strokes_that_join_ends_are_kept_from_plan_to_plan() -> None:
    """Else a change of depth would be worked out from the start wherever ends are joined."""
    planner = Planner(laid(FACING, 100.0))
    first, second = (planner.plan(Job(acts=Acts(join=JOIN), depth=depth)) for depth in (1.0, 1.5))
    assert second.strokes[-1] is first.strokes[-1]
    other = planner.plan(Job(acts=Acts(join=(Join(1, "start", 2, "end"),))))
    assert other.strokes[-1].length > first.strokes[-1].length
