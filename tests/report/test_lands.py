"""Lands: found where grooves come near, and not at joints, bends and fair wedges."""

import math

import pytest
import shapes

from tracer.job import Job
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.shop.wood import least_land, wood_named


def plan_of(parts: list[shapes.Part], width: float, **more: object) -> Plan:
    job = Job(**more)  # type: ignore[arg-type]
    return build_plan(shapes.layout_of(shapes.drawing_from(parts), width_mm=width, job=job), job)


def checks(plan: Plan) -> list[str]:
    return [finding.check for finding in plan.findings if finding.severity != "note"]


@pytest.mark.parametrize("name", ["A", "E", "H", "O", "T", "X", "grid", "wheel", "EMMA", "OLIVER", "face"])
def test_joints_and_bends_are_no_lands(name: str) -> None:
    job = Job()
    assert build_plan(shapes.layout_of(shapes.drawing_of(name), job=job), job).lands == ()


@pytest.mark.parametrize("grain_deg", [0.0, 90.0, 30.0])
def test_the_rule_turns_with_the_grain(grain_deg: float) -> None:
    # Lines along x, their land along x: the angle to the grain is the grain's own.
    lines = [shapes.line((0, 0), (1000, 0)), shapes.line((0, 40), (1000, 40))]
    (land,) = plan_of(lines, 100, grain_deg=grain_deg).lands
    rule = least_land(
        wood_named("pine"), grain_angle=math.radians(grain_deg), depth=1.5875, straight_walled=False
    )
    assert land.limit == pytest.approx(rule, rel=0.02)


def test_a_hairpin_comes_near_itself() -> None:
    plan = plan_of([shapes.line((0, 0), (1000, 0), (1000, 30), (0, 30))], 100)
    assert plan.lands[0].strokes == (1, 1)
    assert plan.lands[0].width == pytest.approx(3 - Job().groove, abs=1e-3)


def test_a_sharp_wedge_is_said_and_a_fair_one_is_not() -> None:
    def vee(angle_deg: float) -> Plan:
        x, y = 1000 * math.cos(math.radians(angle_deg)), 1000 * math.sin(math.radians(angle_deg))
        return plan_of([shapes.line((0, 0), (1000, 0)), shapes.line((0, 0), (x, y))], 100)

    assert checks(vee(8)) == ["sharp wedge"]
    assert checks(vee(30)) == []


def test_the_cure_for_a_thin_land_works_and_a_little_less_does_not() -> None:
    lines = [shapes.line((0, 0), (1000, 0)), shapes.line((0, 40), (1000, 40))]
    land = plan_of(lines, 100).lands[0]
    needed = 100 * (Job().groove + land.limit) / (Job().groove + land.width)
    assert plan_of(lines, needed * 1.001).lands == ()
    assert len(plan_of(lines, needed * 0.99).lands) == 1
    finding = plan_of(lines, 100, units="mm").findings[0]
    sizes = {math.ceil(needed * slack) for slack in (1.0, 1.005)}  # a little more, for slips of measuring
    assert any(f"from {size} mm" in finding.remedy for size in sizes)


def test_a_bundle_is_one_finding() -> None:
    plan = plan_of([shapes.line((0, 40 * i), (1000, 40 * i)) for i in range(12)], 100)
    assert len(plan.lands) == 11
    assert checks(plan) == ["wood too thin"]


def test_a_comb_of_lines_too_near_is_one_loss() -> None:
    plan = plan_of([shapes.line((0, 15 * i), (1000, 15 * i)) for i in range(12)], 100)
    assert checks(plan)[0] == "grooves run together"
    assert plan.findings[0].severity == "loss"
    assert plan.totals.plunges_with_retracing == 1


def test_of_many_merged_bundles_all_but_a_few_are_gathered() -> None:
    parts = []
    for i in range(20):
        x, y = 400 * (i % 5), 400 * (i // 5)
        parts += [shapes.line((x, y), (x + 200, y)), shapes.line((x, y + 10), (x + 200, y + 10))]
    plan = plan_of(parts, 180)
    losses = [finding for finding in plan.findings if finding.check == "grooves run together"]
    assert len(plan.lands) == 20
    assert len(losses) == 5
    assert sorted(number for finding in losses for number in finding.strokes) == list(range(1, 41))
