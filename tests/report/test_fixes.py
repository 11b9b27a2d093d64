"""Proposals: they cure what they say, cost what they say, and leave alone what the user holds dear."""

import random
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
import shapes
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.acts import Acts
from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.plan import Land
from tracer.report import fixes
from tracer.report.build import Planner, build_plan
from tracer.report.fix import Fix
from tracer.report.fixes import propose


def fix_of(parts: Sequence[shapes.Part], width: float = 100.0, **more: Any) -> Fix:
    job = Job(**more)
    layout = shapes.layout_of(shapes.drawing_from(list(parts)), width_mm=width, job=job)
    return propose(Planner(layout), job)


def lines(*heights: float, length: float = 100.0) -> list[shapes.Part]:
    return [shapes.line((0, y), (length, y)) for y in heights]


WHISKERS = lines(*(3.0 * k for k in range(9)))  # 3 mm apart; a groove of 1.83 mm and 3 mm of pine need 4.83


def test_a_bundle_of_whiskers_is_thinned_out() -> None:
    fix = fix_of(WHISKERS)
    assert (fix.thin_out, fix.left_out) == ((tuple(range(1, 10)),), ())
    assert (fix.toll_before.too_thin, fix.toll_before.run_together) == (8, 0)
    assert fix.toll_after.places == 0
    assert [one.stroke for one in fix.after.dropped] == [2, 4, 6, 8]
    assert {one.reason for one in fix.after.dropped} == {"thinned out"}
    assert fix.sentences()[:2] == [
        "Thinning out 1 bundle by 4 strokes cures 8 of 8 places.",
        "It costs 400 mm (15 3/4 in) of line, 44 % of all.",
    ]


def test_a_short_line_beside_a_long_one_goes() -> None:
    fix = fix_of(
        [shapes.line((0, 0), (100, 0)), shapes.line((20, 2), (40, 2)), shapes.line((0, 40), (100, 40))]
    )
    assert (fix.left_out, fix.thin_out) == ((2,), ())
    assert (fix.toll_before.places, fix.toll_after.places) == (1, 0)
    assert fix.toll_after.left_out - fix.toll_before.left_out == pytest.approx(20.0)


def test_what_stands_in_the_way_of_two_goes_rather_than_both() -> None:
    fix = fix_of([*lines(0, 6), shapes.line((0, 3), (40, 3)), *lines(50)])
    assert (fix.left_out, fix.thin_out) == ((3,), ())
    assert fix_of([*lines(0, 6), shapes.line((0, 3), (60, 3)), *lines(50)]).thin_out == ((1, 2, 3),)


def test_what_others_cure_already_is_not_left_out() -> None:
    lands = [Land(pair, (0.0, 0.0), 1.0, 3.0, 5.0) for pair in ((1, 2), (1, 3), (2, 4), (3, 5))]
    assert fixes._needed([1, 2, 3], lands) == (2, 3)
    assert fixes._needed([1, 2], lands) == (1, 2)


def test_an_outline_that_comes_near_another_in_one_place_stays() -> None:
    """Two circles 3 mm apart at one place: the cure would cost a circle."""
    fix = fix_of([shapes.ring((25, 25), 25), shapes.ring((78, 25), 25)], 103.0)
    assert fix.toll_before.too_thin > 0
    assert not fix.helps
    assert fix.after is fix.before
    assert "would cost more than it cures" in fix.sentences()[0]


def test_nothing_is_proposed_where_nothing_is_wrong() -> None:
    fix = fix_of(lines(0, 20, 40))
    assert not fix.helps
    assert "there is nothing to leave out for" in fix.sentences()[0]


def test_edges_of_solids_and_what_the_user_keeps_stay() -> None:
    parts = lines(0, 3)
    assert fix_of(parts).left_out == (1,)
    assert fix_of(parts, acts=Acts(keep=(1,))).left_out == (2,)
    assert not fix_of(parts, acts=Acts(keep=(1, 2))).helps
    edge = shapes.Part(bezier.reverse(parts[0].curves), kind="edge")
    assert fix_of([edge, parts[1]]).left_out == (2,)


def test_what_the_user_decided_already_stays_decided() -> None:
    acts = Acts(leave_out=(9,), stops={1: 1})
    fix = fix_of(WHISKERS, acts=acts)
    assert (fix.acts.leave_out, fix.acts.stops) == ((9,), {1: 1})
    assert 9 not in fix.thin_out[0]


def test_the_table_shows_before_and_after() -> None:
    rows = {what: (before, after) for what, before, after in fix_of(WHISKERS).rows()}
    assert rows["Wood too thin"] == ("8", "0")
    assert rows["Plunges"] == ("9", "5")
    assert rows["Line left out"] == ("0 mm", "400 mm")
    assert list(rows) == [
        "Grooves run together",
        "Wood too thin",
        "Standing wood breaks out",
        "Losses found",
        "Risks found",
        "Plunges",
        "Line left out",
    ]


@settings(max_examples=12)
@given(st.integers(0, 10**6))
def test_a_proposal_holds_when_planned_and_nothing_in_it_is_idle(seed: int) -> None:
    draw = random.Random(seed)
    parts = [shapes.line((0, 0), (100, 0))]
    for _ in range(12):
        x, y = draw.uniform(0, 90), draw.uniform(0, 60)
        parts.append(shapes.line((x, y), (x + draw.uniform(5, 30), y + draw.uniform(-5, 5))))
    job = Job()
    layout = shapes.layout_of(shapes.drawing_from(parts), width_mm=100.0, job=job)
    planner = Planner(layout)
    fix = propose(planner, job)
    again = build_plan(layout, replace(job, acts=fix.acts))
    assert [g.stroke for g in again.grooves] == [g.stroke for g in fix.after.grooves]
    assert len(again.lands) == len(fix.after.lands)
    if fix.helps:
        assert fix.toll_after.places < fix.toll_before.places
        assert fix.toll_after.run_together <= fix.toll_before.run_together
    for number in fix.left_out:
        less = tuple(n for n in fix.acts.leave_out if n != number)
        worse = build_plan(layout, replace(job, acts=replace(fix.acts, leave_out=less)))
        assert len(worse.lands) > len(fix.after.lands)


def test_what_is_left_out_stands_in_no_bundle() -> None:
    near = shapes.line((0, -2.5), (30, -2.5))  # beside the first whisker, held by the user
    far = shapes.line((40, -2.5), (70, -2.5))
    fix = fix_of([*lines(0, 3, 6), near, far], acts=Acts(keep=(4, 5)))
    assert fix.left_out == (1,)
    assert fix.thin_out == ((2, 3),)
    assert fix.toll_after.places == 0
