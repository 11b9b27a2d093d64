"""Sizes: sums where there are sums, and plans at the size that is answered and a little below it."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
import shapely
import shapes

from tracer.acts import Acts
from tracer.errors import JobError
from tracer.job import Job, PieceSpec
from tracer.lengths import MM_PER_INCH
from tracer.model.layout import Layout
from tracer.model.sizes import Sizes
from tracer.pipeline import lay_out, plan, sizes
from tracer.report.cures import Kind
from tracer.report.least import find_least
from tracer.report.looks import Looks
from tracer.report.scaled import scaled_layout
from tracer.shop.bits import Bit, RoundNose, Straight, VBit
from tracer.shop.linkage import Linkage
from tracer.shop.wood import least_land

LOST = {
    "nothing_thin": {"stroke too thin", "lines too thin"},
    "nothing_merged": {"grooves run together"},
    "all_holds": {"grooves run together", "wood too thin", "standing wood breaks out"},
}
"""The findings of a plan that are counted as lost, by the answer."""

BITS: tuple[Bit, ...] = (VBit(60, 12.7), VBit(90, 12.7), RoundNose(3.175), Straight(3.175))


def answers(parts: list[shapes.Part], width: float, **more: object) -> Sizes:
    job = Job(**more)  # type: ignore[arg-type]
    return sizes(shapes.layout_of(shapes.drawing_from(parts), width_mm=width, job=job), job)


def fails(layout: Layout, job: Job, times: float, answer: str) -> bool:
    found = plan(scaled_layout(layout, times), job).findings
    return any(finding.check in LOST[answer] for finding in found)


def two_lines(apart: float, width: float | None = None) -> list[shapes.Part]:
    return [shapes.line((0, y), (1000, y), width=width) for y in (0.0, apart)]


@pytest.mark.parametrize(("bit", "grain_deg"), [*((bit, 0.0) for bit in BITS), (BITS[0], 90.0)])
def test_two_lines_hold_from_where_the_sum_says(bit: Bit, grain_deg: float) -> None:
    # Spacing on the wood = groove + land (derived): the lines are 30 / 1000 of the width apart.
    job = Job(bit=bit, grain_deg=grain_deg)
    rule = least_land(
        job.wood,
        grain_angle=math.radians(grain_deg),
        depth=job.depth,
        straight_walled=bit.straight_walled,
    )
    found = answers(two_lines(30), 150.0, bit=bit, grain_deg=grain_deg)
    assert found.all_holds.size == pytest.approx((job.groove + rule) / 0.03, rel=2e-3)
    assert found.nothing_merged.size == pytest.approx(job.groove / 0.03, rel=2e-3)
    assert found.all_holds.strokes == (1, 2)
    assert found.nothing_lost == found.all_holds


def test_a_stroke_is_wide_enough_from_where_the_sum_says() -> None:
    # At most twice as wide as drawn (derived): 12 px of 1000 are 0.012 of the width.
    found = answers(two_lines(500, 12.0), 100.0)
    assert found.nothing_thin.size == pytest.approx(Job().groove / 2 / 0.012, rel=1e-9)
    assert found.nothing_thin.strokes == (1, 2)
    without = answers(two_lines(500), 100.0).nothing_thin
    assert (without.size, without.strokes) == (0.0, ())


def test_strokes_the_user_keeps_or_leaves_out_are_never_too_thin() -> None:
    drawn = [*two_lines(500, 12.0), shapes.line((0, 250), (1000, 250), width=2.0)]
    whole = answers(drawn, 100.0).nothing_thin
    kept = answers(drawn, 100.0, acts=Acts(keep=(3,))).nothing_thin
    out = answers(drawn, 100.0, acts=Acts(leave_out=(3,))).nothing_thin
    assert whole.strokes == (3,)
    assert kept == out
    assert (whole.size or 0) == pytest.approx(6 * (kept.size or 0))


def test_a_ring_holds_its_middle_from_where_the_sum_says() -> None:
    # The circle within is the ring less the groove (derived); a compact island has short grain.
    job = Job()
    least = job.groove + least_land(job.wood, grain_angle=math.pi / 2, depth=job.depth, straight_walled=False)
    found = answers([shapes.ring((0, 0), 500), shapes.line((2000, 0), (3000, 0))], 30.0)
    assert found.all_holds.size == pytest.approx(3.5 * least, rel=6e-3)
    assert found.all_holds.strokes == (1,)


def spread_out(seed: int) -> list[shapes.Part]:
    """Some strokes that keep a distance, some with a drawn width: by seed."""
    random = np.random.default_rng(seed)
    gap = float(random.uniform(15, 40))
    parts: list[shapes.Part] = []
    taken = shapely.LineString()
    for _ in range(10):
        width = float(random.uniform(5, 14)) if random.random() < 0.8 else None
        part = _part(random, width)
        line = shapely.LineString(shapes_points(part))
        own = line.is_simple or part.closed
        if own and (not parts or line.distance(taken) >= gap):
            parts.append(part)
            taken = taken.union(line)
    return parts


def _part(random: np.random.Generator, width: float | None) -> shapes.Part:
    x, y = random.uniform(0, 900, 2).tolist()
    match int(random.integers(3)):
        case 0:
            return shapes.ring((x, y), float(random.uniform(20, 150)), width)
        case 1:
            start = float(random.uniform(0, 360))
            end = start + float(random.uniform(60, 280))
            return shapes.arc((x, y), float(random.uniform(40, 200)), start, end, width=width)
        case _:
            corners = random.uniform(-200, 200, (int(random.integers(1, 4)), 2)).cumsum(axis=0)
            return shapes.line((x, y), *((x + dx, y + dy) for dx, dy in corners.tolist()), width=width)


def shapes_points(part: shapes.Part) -> np.ndarray:
    from tracer.geometry.flatten import flatten

    return flatten(part.curves, 0.1)


@pytest.mark.parametrize("seed", range(20))
def test_answers_hold_when_planned_at_that_size_and_fail_a_little_below(seed: int) -> None:
    job = Job(bit=BITS[seed % 4], grain_deg=37.0 * seed % 180)
    layout = shapes.layout_of(shapes.drawing_from(spread_out(seed)), width_mm=160.0, job=job)
    looks = Looks(layout, job)
    rows = [looks.at(times) for times in (0.25, 0.5, 1.0, 1.7, 3.0)]
    known = 0
    for kind, answer in zip(get_args(Kind), LOST, strict=True):
        least = find_least(looks, rows, kind, 160.0)
        if not least.size or not least.strokes:
            continue
        known += 1
        assert least.said == math.ceil(least.size - 1e-9)
        assert not fails(layout, job, least.size / 160.0 * (1 + 1e-9), answer)
        assert not fails(layout, job, least.said / 160.0, answer)
        assert fails(layout, job, least.size / 160.0 * 0.99, answer)
    assert known


def test_a_row_that_holds_by_chance_misleads_nobody() -> None:
    job = Job()
    layout = shapes.layout_of(shapes.drawing_from(two_lines(30)), width_mm=100.0, job=job)
    looks = Looks(layout, job)
    rows = [looks.at(times) for times in (0.5, 0.8, 3.0)]
    rows[1] = replace(rows[1], merged=(), crumbling=(), breaking=())
    # (groove 1.83 + land along the grain 3 mm, the rule for pine) / 0.03.
    assert find_least(looks, rows, "holds", 100.0).size == pytest.approx((job.groove + 3.0) / 0.03, rel=2e-3)


@pytest.mark.parametrize(
    ("name", "width"), [("face", 150.0), ("whiskers", 120.0), ("close lines", 25.0), ("grid", 60.0)]
)
def test_each_row_is_what_a_plan_finds(name: str, width: float) -> None:
    job = Job()
    layout = shapes.layout_of(shapes.drawing_of(name), width_mm=width, job=job)
    found = sizes(layout, job)
    for row in found.rows[::4]:
        planned = plan(scaled_layout(layout, row.width / found.width), job)
        assert row.losses.breaking == sum(island.breaks for island in planned.islands)
        checks = {finding.check for finding in planned.findings}
        assert bool(row.losses.thin) == bool(checks & LOST["nothing_thin"])
        assert bool(row.losses.merged) == bool(checks & LOST["nothing_merged"])
        assert bool(row.losses.crumbling) == ("wood too thin" in checks)


@pytest.mark.parametrize("thin", ["drop", "keep"])
@pytest.mark.parametrize("times", [0.2, 0.5, 0.9, 1.4])
def test_the_strokes_that_are_cut_are_those_of_a_plan(times: float, thin: str) -> None:
    job = Job(thin=thin, acts=Acts(leave_out=(1,), keep=(10,)))  # type: ignore[arg-type]
    layout = shapes.layout_of(shapes.drawing_of("face"), width_mm=200.0, job=job)
    look = Looks(layout, job).at(times)
    planned = plan(scaled_layout(layout, times), job)
    assert look.cut.grooves == planned.grooves
    assert look.all_thin == any(finding.check == "lines too thin" for finding in planned.findings)


def test_where_grooves_follow_the_size_it_is_searched_for() -> None:
    drawn = [*two_lines(30, 8.0), *(shapes.line((0, y), (1000, y), width=16.0) for y in (300.0, 360.0))]
    job = Job(stops=2)
    layout = shapes.layout_of(shapes.drawing_from(drawn), width_mm=150.0, job=job)
    found = sizes(layout, job)
    times = (found.all_holds.size or 0) / found.asked
    assert times > 0
    assert not fails(layout, job, times * (1 + 1e-9), "all_holds")
    assert fails(layout, job, times * 0.99, "all_holds")
    one = sizes(layout, replace(job, stops=1))
    assert one.all_holds.size != pytest.approx(found.all_holds.size, rel=0.01)


def test_what_no_size_cures_is_said() -> None:
    # 0.6 px of 1000 apart, the rule's 3 mm and a groove of 1.83 mm are 8 m of width (derived).
    touching = [shapes.line((0, 0), (1000, 0)), shapes.line((0, 0.6), (1000, 0.6))]
    found = answers(touching, 100.0)
    assert found.all_holds.size is None
    assert found.all_holds.failing == 1
    assert found.all_holds.strokes == (1, 2)
    assert found.nothing_lost.size is None


def test_the_ratio_changes_nothing() -> None:
    half = answers(two_lines(30, 8.0), 150.0)
    other = answers(two_lines(30, 8.0), 150.0, linkage=Linkage(0.4))
    assert half.rows == other.rows
    assert half.all_holds == other.all_holds


def test_the_largest_on_the_board_leaves_margins_and_groove() -> None:
    job = Job(board=(400.0, 300.0, 19.0), margin=20.0, pieces=(PieceSpec(art="x", width=100.0),))
    square = shapes.drawing_from([shapes.line((0, 0), (100, 0), (100, 100), (0, 100), (0, 0))])
    found = sizes(square, job)
    assert found.largest == pytest.approx(300 - 2 * 20 - job.groove)
    assert found.largest in [pytest.approx(row.width) for row in found.rows]
    layout = lay_out({0: square}, replace(job, pieces=(PieceSpec(art="x", width=found.largest),)))
    assert not {"margin", "over the board's edge"} & {f.check for f in plan(layout, job).findings}


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_table_has_round_sizes_and_that_asked_for(units: str) -> None:
    found = answers(two_lines(30, 8.0), 153.3, units=units)
    widths = [row.width for row in found.rows]
    assert widths == sorted(widths)
    assert 10 <= len(widths) <= 14
    assert found.asked in widths
    step = MM_PER_INCH / 8 if units == "in" else 1.0
    for width in widths:
        assert width == found.asked or abs(width / step - round(width / step)) < 1e-6


def test_the_bit_that_holds_most_is_marked() -> None:
    bits = (("fine", VBit(30, 6.35)), ("broad", VBit(90, 12.7)))
    found = answers(two_lines(60, 8.0), 150.0, bits=bits)
    best = [choice for choice in found.choices if choice.best]
    assert len(best) == 1
    assert best[0].name == "fine"
    assert {choice.name for choice in found.choices} == {"fine", "broad", ""}
    for choice in found.choices:
        assert choice.groove == pytest.approx(choice.bit.width_at(choice.depth))
        assert choice.held == (2 if choice.groove <= 2 * 8.0 * 0.15 + 1e-9 else 0)
    # Of what holds alike the deepest is taken.
    alike = [one for one in found.choices if one.held == 2 and one.losses == best[0].losses]
    assert best[0].depth == max(one.depth for one in alike)


def test_depths_stay_within_bit_and_board() -> None:
    thin = answers(two_lines(60), 150.0, thickness=3.0, depth=1.0)
    assert {choice.depth for choice in thin.choices} == {1.0, 1.5}
    short = answers(two_lines(60), 150.0, bit=Straight(3.0, cutting_length=2.0), depth=1.0)
    assert max(choice.depth for choice in short.choices) == 2.0


def test_a_flat_figure_tells_its_height() -> None:
    found = answers([shapes.line((0, 0), (0, 100), width=2.0)], 100.0)
    assert found.side == "high"
    assert found.asked == 100.0
    assert found.nothing_thin.size == pytest.approx(Job().groove / 2 / 0.02)


@pytest.mark.parametrize(
    ("ask", "why"),
    [
        (lambda: answers([shapes.dot(5, 5, 2.0)], 100.0), "single dot"),
        (lambda: sizes(_twice(), Job()), "this job has 2"),
    ],
)
def test_refuses_in_a_sentence(ask: Callable[[], Sizes], why: str) -> None:
    with pytest.raises(JobError, match=why):
        ask()


def _twice() -> Layout:
    layout = shapes.layout_of(shapes.drawing_of("ring"))
    return replace(layout, pieces=layout.pieces * 2)
