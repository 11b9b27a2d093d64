"""What is said of the wood between grooves and inside them: bundles, the costliest few, the rest in one."""

from typing import Any

import pytest
import shapes

from tracer.job import Job
from tracer.model.finding import Finding
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.report.land_check import fewest
from tracer.shop.wood import wood_named


def plan_of(parts: list[shapes.Part], side: float = 100.0, **more: Any) -> Plan:
    job = Job(**more)
    return build_plan(shapes.layout_of(shapes.drawing_from(parts), width_mm=side, job=job), job)


def found(plan: Plan, check: str) -> list[Finding]:
    return [finding for finding in plan.findings if finding.check == check]


def beside(
    gap: float, count: int = 2, *, x: float = 0.0, y: float = 0.0, wide: float = 1000.0
) -> list[shapes.Part]:
    """Level lines `gap` px apart."""
    return [shapes.line((x, y + gap * i), (x + wide, y + gap * i)) for i in range(count)]


def test_two_grooves_that_run_together() -> None:
    (finding,) = found(plan_of(beside(15.0)), "grooves run together")  # 1.5 mm apart, 1.83 mm wide
    assert finding.severity == "loss"
    assert finding.message.startswith("Strokes 1 and 2 run together ")
    assert "their grooves overlap by 0.33 mm (1/64 in) over " in finding.message
    assert finding.remedy.endswith(" Or leave out one of the two.")


def test_a_stroke_that_runs_into_its_own_groove() -> None:
    hook = shapes.line((0, 0), (1000, 0), (1000, 15), (0, 15))
    (finding,) = found(plan_of([hook]), "grooves run together")
    assert finding.message.startswith("Stroke 1 runs into its own groove ")
    assert "itself" not in finding.message
    assert "leave out" not in finding.remedy


def test_thin_wood_says_what_is_left_and_what_the_wood_wants() -> None:
    # 4 mm apart less 1.83 mm; pine along the grain 3 mm [P]
    (finding,) = found(plan_of(beside(40.0)), "wood too thin")
    assert finding.severity == "risk"
    assert "2.17 mm (5/64 in) is left, for 100" in finding.message
    assert "of its length" in finding.message
    assert "left over" not in finding.message
    assert finding.message.endswith("; by rule of thumb pine wants 3 mm (1/8 in) there.")
    assert "short grain" not in finding.message


def test_the_hand_is_said_where_it_is_counted() -> None:
    # 3 mm and twice 1 mm x 0.5 [D]
    (finding,) = found(plan_of(beside(40.0), hand_error=1.0), "wood too thin")
    assert finding.message.endswith(
        "by rule of thumb, your hand's straying counted, pine wants 4 mm (5/32 in) there."
    )


def test_short_grain_is_said_where_the_wood_has_a_grain() -> None:
    across = found(plan_of(beside(40.0), grain_deg=90.0), "wood too thin")[0]
    assert ", short grain; by rule of thumb pine wants 4.76 mm" in across.message
    mdf = found(plan_of(beside(30.0), grain_deg=90.0, wood=wood_named("MDF")), "wood too thin")[0]
    assert "short grain" not in mdf.message


def test_less_than_can_be_measured_is_not_nothing() -> None:
    plan = plan_of(beside(18.4), units="in")  # 0.007 mm left
    (finding,) = found(plan, "wood too thin")
    assert "less than 1/64 in (0.01 mm) is left" in finding.message
    for one in plan.findings:
        assert " 0 in" not in one.message


def test_a_bundle_is_said_once_and_which_to_leave_out() -> None:
    (finding,) = found(plan_of(beside(15.0, 5)), "grooves run together")
    assert finding.strokes == (1, 2, 3, 4, 5)
    assert finding.message.startswith("Strokes 1, 2, 3, 4 and 5 run together in 4 places, ")
    assert finding.remedy.endswith(" Or leave out strokes 2 and 4.")
    many = found(plan_of(beside(15.0, 12)), "grooves run together")[0]
    assert many.message.startswith("12 strokes run together in 11 places, ")
    assert "thin them out" in many.remedy


def test_the_costliest_bundles_come_first_and_the_rest_is_gathered() -> None:
    parts = [part for i in range(9) for part in beside(15.0, y=300.0 * i, wide=200.0 + 100 * i)]
    findings = found(plan_of(parts), "grooves run together")
    assert [finding.strokes for finding in findings if len(finding.strokes) == 2] == [
        (17, 18), (15, 16), (13, 14), (11, 12)
    ]  # fmt: skip
    (rest,) = (finding for finding in findings if len(finding.strokes) > 2)
    assert rest.strokes == tuple(range(1, 11))
    assert "in 5 places" in rest.message


def test_where_every_line_is_too_thin_lands_are_said_at_once() -> None:
    parts = [
        shapes.Part(part.curves, width=3.0)
        for i in range(4)
        for part in beside(15.0, y=300.0 * i, wide=1000.0 + i)
    ]
    plan = plan_of(parts)
    assert plan.findings[0].check == "lines too thin"
    assert len(found(plan, "grooves run together")) == 1


def test_standing_wood_one_by_one_and_many_at_once() -> None:
    rings = [shapes.ring((300.0 * i, 0), 25.0) for i in range(3)]  # 5 mm rings leave 3.17 mm, pine wants 4.76
    one = found(plan_of(rings, 65.0), "standing wood breaks out")
    assert len(one) == 3
    assert one[0].message.startswith("A piece of wood ringed by stroke ")
    assert one[0].measured == pytest.approx(5 - Job().groove, abs=0.05)
    assert one[0].message.endswith(" across; by rule of thumb pine wants 4.76 mm (3/16 in).")
    rings = [shapes.ring((300.0 * i, 0), 25.0) for i in range(7)]
    (many,) = found(plan_of(rings, 185.0), "standing wood breaks out")
    assert many.message.startswith("7 pieces of wood ringed by grooves will break out, ")
    assert many.remedy.startswith("All hold ")


def test_what_lies_inside_is_a_plunge_of_its_own() -> None:
    (note,) = found(plan_of([shapes.ring((0, 0), 500.0), shapes.ring((0, 0), 300.0)]), "enclosed parts")
    assert (note.severity, note.strokes) == ("note", (2,))
    assert note.message == (
        "A part of the drawing, stroke 2, lies inside stroke 1, middle right: it is a plunge of its own, cut "
        "before what lies round it."
    )
    assert note.remedy == "Nothing need be done: follow the runs in the order of their numbers."


def test_few_strokes_are_left_out_and_short_ones_first() -> None:
    length = {1: 5.0, 2: 9.0, 3: 1.0, 4: 2.0}
    assert fewest([(1, 2), (2, 3)], length, most=4) == [2]
    assert fewest([(1, 2)], length, most=4) == [1]
    assert fewest([(1, 2), (3, 4)], length, most=4) == [1, 3]
    assert fewest([(1, 2), (3, 4)], length, most=1) == []
    assert fewest([(3, 3)], length, most=4) == [3]
