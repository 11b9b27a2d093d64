"""What must hold of any plan, on random boards and hard drawings: sizes, depths, turns, ratios, far strokes.

Where two strokes hang together, how near to their joint a land begins is a matter of rule: widths are
compared of strokes that do not.
"""

import math
from collections import defaultdict
from dataclasses import replace

import numpy as np
import pytest
import shapes
from hypothesis import given
from hypothesis import strategies as st
from report import hard_drawings
from report.random_boards import random_board

from tracer.acts import Acts
from tracer.geometry import affine
from tracer.job import Job
from tracer.model.layout import Layout
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.shop.bits import VBit
from tracer.shop.linkage import Linkage
from tracer.shop.wood import WOODS, least_land

SEEDS = range(100, 112)


def moved(layout: Layout, matrix: affine.Affine) -> Layout:
    """All pieces under one more map."""
    pieces = (replace(one, matrix=affine.compose(matrix, one.matrix)) for one in layout.pieces)
    return replace(layout, pieces=tuple(pieces))


def least(plan: Plan) -> dict[tuple[int, int], float]:
    """Least width of the lands of each two strokes."""
    widths: dict[tuple[int, int], float] = defaultdict(lambda: math.inf)
    for land in plan.lands:
        widths[land.strokes] = min(widths[land.strokes], land.width)
    return dict(widths)


def apart(layout: Layout) -> set[tuple[int, int]]:
    """Pairs of strokes with no way from one to the other along the grooves."""
    part = {stroke.number: stroke.number for stroke in layout.strokes}
    for joint in layout.joints:
        members = {part[number] for number, _ in joint.members}
        part = {number: min(members) if one in members else one for number, one in part.items()}
    return {(a, b) for a in part for b in part if a < b and part[a] != part[b]}


def counts(plan: Plan) -> dict[str, object]:
    kinds = [(one.kind, one.nesting, one.breaks) for one in plan.islands]
    return {
        "lands": sorted(land.strokes for land in plan.lands),
        "islands": sorted(kinds),
        "without": plan.totals.plunges_without_retracing,
        "with": plan.totals.plunges_with_retracing,
    }


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("factor", [1.03, 1.6])
def test_enlarging_never_shrinks_a_land(seed: int, factor: float) -> None:
    layout, job = random_board(seed)
    small = least(build_plan(layout, job))
    large = least(build_plan(moved(layout, affine.scaling(factor)), job))
    free = apart(layout)
    assert set(large) & free <= set(small)
    assert all(width >= small[pair] - 0.02 for pair, width in large.items() if pair in free)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("factor", [1.05, 1.4])
def test_deeper_never_leaves_more(seed: int, factor: float) -> None:
    layout, job = random_board(seed)
    job = replace(job, bit=VBit(60.0, 40.0), depth=min(job.depth, 5.0))
    shallow, deep = build_plan(layout, job), build_plan(layout, replace(job, depth=job.depth * factor))
    wider = deep.job.groove - shallow.job.groove
    assert wider > 0
    assert all(d.width >= s.width for d, s in zip(deep.grooves, shallow.grooves, strict=True))
    before, after = least(shallow), least(deep)
    shared = before.keys() & after.keys() & apart(layout)
    # A land that is there at both depths loses what the groove gains.
    assert all(after[pair] == pytest.approx(before[pair] - wider, abs=0.02) for pair in shared)


@pytest.mark.parametrize("seed", SEEDS[:6])
@pytest.mark.parametrize("ratio", [0.25, 1.0])
def test_the_ratio_changes_no_finding_about_cutting(seed: int, ratio: float) -> None:
    layout, job = random_board(seed)
    job = replace(job, hand_error=0.0)
    one, other = build_plan(layout, job), build_plan(layout, replace(job, linkage=Linkage(ratio)))
    assert [repr(land) for land in one.lands] == [repr(land) for land in other.lands]
    assert one.islands == other.islands
    said = [
        [(f.check, f.strokes, f.measured, f.limit) for f in plan.findings if "ratio" not in f.check]
        for plan in (one, other)
    ]
    assert said[0] == said[1]


def awaited(name: str, mirrored: bool, turn_deg: float, reason: str) -> object:
    return pytest.param(name, mirrored, turn_deg, marks=pytest.mark.xfail(reason=reason))


@pytest.mark.parametrize(
    ("name", "mirrored", "turn_deg"),
    [
        *(
            (name, mirrored, turn_deg)
            for name in ("rings", "fan", "hatching", "maze", "cursive", "snowflake")
            for mirrored, turn_deg in ((False, 90.0), (True, 180.0), (True, 33.0))
        ),
        awaited("whiskered face", True, 180.0, "a stretch of one land is parted in two"),
        awaited("whiskered face", False, 33.0, "a stretch of one land is parted in two"),
        ("grid", False, 33.0),
        ("grid", True, 33.0),
    ],
)
def test_turning_and_mirroring_with_the_grain(name: str, mirrored: bool, turn_deg: float) -> None:
    job = Job()
    layout = hard_drawings.layout(name, job)
    mirror = np.array([[-1.0 if mirrored else 1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    turned = moved(layout, affine.compose(affine.rotation(math.radians(turn_deg)), mirror))
    one = build_plan(layout, job)
    other = build_plan(turned, replace(job, grain_deg=turn_deg % 180))
    assert counts(one) == counts(other)
    assert least(other) == pytest.approx(least(one), abs=0.02)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize(("turn_deg", "mirrored"), [(90.0, True), (33.0, False)])
def test_turning_and_mirroring_random_boards(seed: int, turn_deg: float, mirrored: bool) -> None:
    """Of random boards the places near the rule may fall either way: strokes' pairs but for those."""
    layout, job = random_board(seed)
    mirror = np.array([[-1.0 if mirrored else 1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    turned = moved(layout, affine.compose(affine.rotation(math.radians(turn_deg)), mirror))
    grain = -job.grain_deg if mirrored else job.grain_deg
    one, other = build_plan(layout, job), build_plan(turned, replace(job, grain_deg=(grain + turn_deg) % 180))
    before, after = least(one), least(other)
    for pair in before.keys() & after.keys() & apart(layout):
        assert after[pair] == pytest.approx(before[pair], abs=0.02)
    assert one.totals.plunges_without_retracing == other.totals.plunges_without_retracing
    assert one.totals.plunges_with_retracing == other.totals.plunges_with_retracing
    kinds = [
        sorted(round(island.area, 1) for island in plan.islands if island.area > 0.5) for plan in (one, other)
    ]
    assert kinds[0] == pytest.approx(kinds[1], abs=0.11)


@pytest.mark.parametrize("seed", SEEDS)
def test_retracing_never_needs_more_plunges(seed: int) -> None:
    totals = build_plan(*random_board(seed)).totals
    assert totals.plunges_with_retracing <= totals.plunges_without_retracing


@given(st.sampled_from(WOODS), st.floats(0, math.pi / 2), st.floats(0.5, 2.0))
def test_the_rule_lies_between_along_and_across(wood: object, angle: float, depth: float) -> None:
    def rule(at: float) -> float:
        return least_land(wood, grain_angle=at, depth=depth, straight_walled=False)  # type: ignore[arg-type]

    assert rule(0.0) <= rule(angle) <= rule(math.pi / 2)
    assert rule(angle * 0.9) <= rule(angle) + 1e-12
    assert rule(math.pi / 4) == pytest.approx((rule(0.0) + rule(math.pi / 2)) / 2)
    assert rule(angle) == pytest.approx(rule(math.pi - angle))


@pytest.mark.parametrize("seed", SEEDS[:6])
@pytest.mark.parametrize("number", [1, 4])
def test_a_stroke_left_out_changes_nothing_far_away(seed: int, number: int) -> None:
    near, job = random_board(seed)
    far, _ = random_board(seed + 50)
    away = moved(far, affine.translation(200.0, 0.0)).pieces[0]
    both = replace(near, pieces=(near.pieces[0], away))
    first = max(stroke.number for stroke in near.strokes) + 1
    whole = build_plan(both, job)
    less = build_plan(both, replace(job, acts=Acts(leave_out=(number,))))
    assert number not in {groove.stroke for groove in less.grooves}
    said = [
        sorted((*land.strokes, round(land.width, 6)) for land in plan.lands if land.strokes[0] >= first)
        for plan in (whole, less)
    ]
    assert said[0] == said[1]
    islands = [
        sorted(
            (one.kind, one.enclosed_by, round(one.area, 6)) for one in plan.islands if one.where[0] > 150.0
        )
        for plan in (whole, less)
    ]
    assert islands[0] == islands[1]


def test_the_properties_are_asked_of_lands_and_islands() -> None:
    plans = [build_plan(*random_board(seed)) for seed in range(10)]
    assert sum(len(plan.lands) for plan in plans) > 50
    assert sum(len(plan.islands) for plan in plans) > 50


def test_two_lines_apart_by_a_little_more() -> None:
    """Land grows by exactly what the spacing grows, at one groove [D]."""
    widths = []
    for spacing in (30.0, 33.0):
        parts = [shapes.line((0, 0), (1000, 0)), shapes.line((0, spacing), (1000, spacing))]
        (land,) = build_plan(
            shapes.layout_of(shapes.drawing_from(parts), width_mm=100, job=Job()), Job()
        ).lands
        widths.append(land.width)
    assert widths[1] - widths[0] == pytest.approx(0.3, abs=1e-6)
