"""Set-ups for a carving larger than the reach: all is cut once, within reach, joined where it shows least."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapes
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.job import Job
from tracer.lengths import Units
from tracer.model.layout import Layout
from tracer.model.plan import Plan, Run
from tracer.report import division
from tracer.report.build import build_plan
from tracer.report.links import LONGEST, SEEN, SMALL_CURVE, Links
from tracer.report.register import neighbours_of, register_marks
from tracer.report.seams import Seam
from tracer.report.windows import Windows, lay, lay_by
from tracer.shop.linkage import Linkage

SAMPLES = ("whiskers", "face", "grid", "spiral", "dots", "O", "R", "8", "OLIVER")


def planned(layout: Layout, job: Job, *reach: float) -> Plan:
    across, down = reach
    return build_plan(layout, replace(job, linkage=replace(job.linkage, reach=(across, down))))


def laid(*parts: shapes.Part, width: float) -> Layout:
    return shapes.layout_of(shapes.drawing_from(parts), width_mm=width)


def cut_stretches(plan: Plan) -> dict[int, list[tuple[float, float]]]:
    """Stretches of each stroke that some run cuts, within 0..n, in order."""
    found: dict[int, list[tuple[float, float]]] = {stroke.number: [] for stroke in plan.cut}
    count = {stroke.number: float(len(stroke.curves)) for stroke in plan.cut}
    for leg in (leg for run in plan.runs for leg in run.legs if not leg.retraced):
        start, end = sorted((leg.start, leg.end))
        n = count[leg.stroke]
        turns = math.floor(start / n + 1e-9) * n
        start, end = start - turns, end - turns
        found[leg.stroke] += [(start, end)] if end <= n + 1e-9 else [(start, n), (0.0, end - n)]
    return {number: sorted(one for one in some if one[1] - one[0] > 1e-9) for number, some in found.items()}


def holds(plan: Plan) -> None:
    """Every stretch of every groove is cut exactly once, each run within its set-up's window."""
    for stroke in plan.cut:
        at = 0.0
        for start, end in cut_stretches(plan)[stroke.number]:
            assert start == pytest.approx(at, abs=1e-6)
            at = end
        assert at == pytest.approx(len(stroke.curves), abs=1e-6)
    assert [run.number for run in plan.runs] == list(range(1, len(plan.runs) + 1))
    if plan.set_ups:
        assert [number for one in plan.set_ups for number in one.runs] == [run.number for run in plan.runs]
    runs = {run.number: run for run in plan.runs}
    for one in plan.set_ups:
        for run in (runs[number] for number in one.runs):
            x0, y0, x1, y1 = bezier.bounds(run.curves)
            low = (x0 - one.window[0], y0 - one.window[1], one.window[2] - x1, one.window[3] - y1)
            assert min(low) >= -1e-9
    new = sum(bezier.length(leg.curves) for run in plan.runs for leg in run.legs if not leg.retraced)
    assert new == pytest.approx(sum(stroke.length for stroke in plan.cut), rel=1e-6)


def joins_of(plan: Plan) -> list[tuple[int, float]]:
    """Stroke and place of every join that is neither an end nor a joint of the stroke."""
    met = {(n, round(t, 6)) for joint in plan.layout.joints for n, t in joint.members}
    found = []
    for number, stretches in cut_stretches(plan).items():
        for before, after in pairwise(stretches):
            apart = _set_up(plan, number, before) != _set_up(plan, number, after)
            if apart and (number, round(after[0], 6)) not in met:
                found.append((number, after[0]))
    return found


def _set_up(plan: Plan, stroke: int, stretch: tuple[float, float]) -> int:
    """Which set-up cuts a stretch."""
    middle = sum(stretch) / 2
    count = next(len(s.curves) for s in plan.cut if s.number == stroke)
    for one in plan.set_ups:
        legs = [
            leg for run in plan.runs if run.number in one.runs for leg in run.legs if leg.stroke == stroke
        ]
        spans = [sorted((leg.start, leg.end)) for leg in legs if not leg.retraced]
        if any(a <= place <= b for a, b in spans for place in (middle, middle + count)):
            return one.number
    raise AssertionError(f"no set-up cuts {stretch} of stroke {stroke}")


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("reach", [(120.0, 90.0)])
def test_all_is_cut_once_and_within_the_windows(name: str, reach: tuple[float, float]) -> None:
    job = Job(linkage=Linkage(0.5))
    plan = planned(shapes.layout_of(shapes.drawing_of(name), width_mm=200.0, job=job), job, *reach)
    assert len(plan.set_ups) > 1
    holds(plan)


PLACE = st.tuples(st.integers(0, 200), st.integers(0, 200))
PART = st.one_of(
    st.lists(PLACE, min_size=2, max_size=4, unique=True).map(lambda points: shapes.line(*points)),
    st.tuples(PLACE, st.integers(10, 80)).map(lambda ring: shapes.ring(*ring)),
    st.tuples(PLACE, st.integers(10, 80), st.integers(20, 340)).map(
        lambda arc: shapes.arc(*arc[:2], 0, arc[2])
    ),
    PLACE.map(lambda place: shapes.dot(*place)),
)


@given(st.lists(PART, min_size=2, max_size=5), st.integers(60, 200), st.integers(60, 200), st.booleans())
@settings(max_examples=14, deadline=None)
def test_any_strokes_are_cut_once_and_within_the_windows(
    parts: list[shapes.Part], across: int, down: int, retrace: bool
) -> None:
    holds(planned(laid(*parts, width=240.0), Job(retrace=retrace), across, down))


def test_several_depth_stops_are_kept_apart_in_each_set_up() -> None:
    layout = laid(
        shapes.line((0, 0), (400, 0), width=12.0), shapes.line((0, 60), (400, 60), width=4.0), width=400.0
    )
    plan = planned(layout, Job(stops=2), 200, 100)
    holds(plan)
    assert [[run.stop for run in plan.runs if run.number in one.runs] for one in plan.set_ups] == [[1, 2]] * 3


@pytest.mark.parametrize(
    ("length", "reach", "count"),
    [(500, 200, 3), (200, 200, 0), (380, 200, 2), (381, 200, 3), (1200, 400, 4)],
)
def test_as_many_as_the_formula_says(length: float, reach: float, count: int) -> None:
    """[D] ceil((L - o) / (E - o)), overlap 20 mm: 500 mm and a reach of 200 mm take 3; 0 where one does."""
    plan = planned(laid(shapes.line((0, 0), (100, 0)), width=length), Job(), reach, 100)
    assert len(plan.set_ups) == count
    sizes = {(round(x1 - x0, 6), round(y1 - y0, 6)) for x0, y0, x1, y1 in (s.window for s in plan.set_ups)}
    assert sizes <= {(reach, 100.0)}
    shared = [a.window[2] - b.window[0] for a, b in pairwise(plan.set_ups)]
    assert all(by >= 20.0 - 1e-6 for by in shared)


def test_rows_and_columns_of_a_plain_frame() -> None:
    frame = shapes.line((0, 0), (110, 0), (110, 44), (0, 44), (0, 0))
    plan = planned(laid(frame, width=1100), Job(), 400, 300)
    assert len(plan.set_ups) == 3 * 2  # [D] ceil(1080 / 380) x ceil(420 / 280)
    steps = [
        np.subtract(b.window, a.window)[:2] for a, b in zip(plan.set_ups, plan.set_ups[1:], strict=False)
    ]
    assert all(np.count_nonzero(np.abs(step) > 1e-6) == 1 for step in steps), "moved along one edge only"


def test_the_shift_is_the_other_way_and_from_the_first() -> None:
    plan = planned(laid(shapes.line((0, 0), (100, 0)), width=500), Job(), 200, 100)
    shifts = [plan.shift_of(one) for one in plan.set_ups]
    assert shifts[0] == (0.0, 0.0)
    assert [dx for dx, _ in shifts] == pytest.approx([0.0, shifts[1][0], 2 * shifts[1][0]])
    assert shifts[1][0] < 0
    assert shifts[1][0] / 5.0 == pytest.approx(round(shifts[1][0] / 5.0)), "read off a rule"


def test_joins_lie_where_strokes_cross() -> None:
    ladder = [shapes.line((0, 0), (300, 0)), shapes.line((0, 30), (300, 30))]
    ladder += [shapes.line((x, 0), (x, 30)) for x in (100, 150, 200)]
    plan = planned(laid(*ladder, width=300), Job(), 170, 100)
    assert len(plan.set_ups) == 2
    assert joins_of(plan) == []


def test_joins_lie_in_the_straight_part_of_a_stroke() -> None:
    """Waves, and in the middle of what both reach 12 mm of straight line."""
    x = np.linspace(0, 300, 1201)
    y = np.where(np.abs(x - 150) < 6, 0.0, 8 * np.sin((np.abs(x - 150) - 6) / 6))
    wave = shapes.line(*zip(x.tolist(), y.tolist(), strict=True))
    plan = planned(laid(wave, width=300), Job(), 165, 100)
    ((number, t),) = joins_of(plan)
    stroke = next(stroke for stroke in plan.cut if stroke.number == number)
    middle = sum(stroke.bounds[::2]) / 2
    assert abs(bezier.points_at(stroke.curves, np.array([t]))[0, 0] - middle) < 6


@pytest.mark.parametrize("name", ["face", "spiral", "O", "8", "OLIVER", "whiskers"])
def test_no_small_curve_is_parted(name: str) -> None:
    """The bend beside each join, from the stroke itself and not from the planner's samples."""
    plan = planned(shapes.layout_of(shapes.drawing_of(name), width_mm=240.0), Job(), 130, 110)
    strokes = {stroke.number: stroke for stroke in plan.cut}
    for number, t in joins_of(plan):
        assert bend(strokes[number].curves, t, closed=strokes[number].closed) <= SMALL_CURVE + 0.05


def bend(curves: NDArray[np.float64], t: float, *, closed: bool) -> float:
    """How much a chain turns within SEEN of a place."""
    chain = np.concatenate([curves, curves, curves]) if closed else curves
    place = t + len(curves) * closed
    fine = np.linspace(0.0, len(chain), 60 * len(chain) + 1)
    points = bezier.points_at(chain, fine)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    here = np.interp(place, fine, along)
    way = np.unwrap(np.arctan2(*np.diff(points[np.abs(along - here) <= SEEN], axis=0).T[::-1]))
    return float(np.abs(np.diff(way)).sum())


def test_what_would_part_a_small_curve_is_not_planned() -> None:
    x = np.linspace(0, 600, 4801)
    wave = shapes.line(*zip(x.tolist(), (3 * np.sin(x / 1.5)).tolist(), strict=True))
    plan = planned(laid(wave, width=600), Job(), 200, 100)
    assert plan.set_ups == ()
    (found,) = (one for one in plan.findings if one.check == "out of reach")
    assert (found.severity, found.where is None) == ("loss", False)
    assert "small curve" in found.message
    assert "200 mm (7 55/64 in) wide" in found.remedy


@pytest.mark.parametrize(("reach", "why"), [((15, 100), "no room to part"), ((25, 25), "set-ups; more than")])
def test_a_reach_too_small_is_said(reach: tuple[float, float], why: str) -> None:
    plan = planned(shapes.layout_of(shapes.drawing_of("face"), width_mm=400.0), Job(), *reach)
    assert plan.set_ups == ()
    (found,) = (one for one in plan.findings if one.check == "out of reach")
    assert why in found.message
    assert found.remedy


def test_the_reach_reads_alike_wherever_it_stands() -> None:
    """30 mm are 1.181 in, between 1 11/64 and 1 3/16 in: as a limit it is rounded down."""
    x = np.linspace(0, 600, 4801)
    wave = shapes.line(*zip(x.tolist(), (3 * np.sin(x / 1.5)).tolist(), strict=True))
    plan = planned(laid(wave, width=60), Job(), 30, 25)
    (found,) = (one for one in plan.findings if one.check == "out of reach")
    assert "the bit reaches 30 mm (1 11/64 in) x" in found.message
    assert "1 3/16 in" not in found.message + found.remedy


def test_within_the_reach_nothing_changes_but_what_is_said() -> None:
    layout = shapes.layout_of(shapes.drawing_of("face"), width_mm=200.0)
    plain, near = build_plan(layout, Job()), planned(layout, Job(), 300, 300)
    assert near.set_ups == () == plain.set_ups
    assert near.totals == plain.totals
    assert [_way(run) for run in near.runs] == [_way(run) for run in plain.runs]
    (note,) = set(near.findings) - set(plain.findings)
    assert (note.check, note.severity) == ("within reach", "note")


def _way(run: Run) -> list[tuple[int, float, float, bool]]:
    return [(leg.stroke, leg.start, leg.end, leg.retraced) for leg in run.legs]


def test_a_quarter_turn_is_offered_where_it_is_less_work() -> None:
    plan = planned(laid(shapes.line((0, 0), (100, 0)), width=380), Job(), 150, 400)
    (found,) = (one for one in plan.findings if one.check == "several set-ups")
    assert 'one set-up does: say the reach as "400 mm x 150 mm"' in found.remedy


@pytest.mark.parametrize("name", ["face", "grid", "EMMA"])
def test_register_marks_are_shared_reached_and_on_the_board(name: str) -> None:
    layout = shapes.layout_of(shapes.drawing_of(name), width_mm=400.0)
    plan = planned(layout, Job(), 180, 150)
    board = plan.layout.board
    for later, one in enumerate(plan.set_ups):
        marks, window = np.array(one.marks), np.array(one.window)
        assert ((marks >= window[:2]) & (marks <= window[2:])).all()
        assert ((marks >= 0) & (marks <= (board.width, board.height))).all()
        if later:
            with_earlier = [set(one.marks) & set(other.marks) for other in plan.set_ups[:later]]
            far = [math.dist(a, b) for some in with_earlier for a in some for b in some]
            assert max(far) > 60.0, "two of them tell a board that lies askew"


def test_marks_keep_clear_of_grooves_where_there_is_room() -> None:
    windows = [(0.0, 0.0, 200.0, 100.0), (150.0, 0.0, 350.0, 100.0)]
    along = np.arange(0.0, 350.0)
    lines = np.concatenate([np.column_stack([along, np.full(350, y)]) for y in (5.0, 95.0)])
    (first, second) = register_marks(windows, [(0, 1)], (0.0, 0.0, 350.0, 100.0), (lines, 1.0))
    assert first == second
    y = np.array(first)[:, 1]
    assert np.abs(y[:, None] - [5.0, 95.0]).min() >= 5.0
    assert np.ptp(y) >= 80.0, "as far apart as may be"


def test_a_corner_that_two_windows_share_is_no_place_for_marks() -> None:
    windows = [(0.0, 0.0, 100.0, 100.0), (0.0, 80.0, 100.0, 180.0), (80.0, 80.0, 180.0, 180.0)]
    assert neighbours_of(windows, {(0, 2), (1, 2)}) == ((0, 1), (1, 2))


@pytest.mark.parametrize(("length", "units", "step"), [(487.0, "mm", 10.0), (400.0, "in", 12.7)])
def test_what_is_to_spare_is_shared_out_and_strides_are_read_off_a_rule(
    length: float, units: Units, step: float
) -> None:
    found = lay(0.0, length, 200.0, count=3, units=units)
    assert found.stride / step == pytest.approx(round(found.stride / step))
    ends = (-found.start, found.starts[-1] + 200.0 - length)
    assert ends[0] == pytest.approx(ends[1])
    assert min(ends) > 5.0, "the reach is seldom known to the millimetre"
    assert found.zone(0)[1] - found.zone(0)[0] > 25.0
    tight = lay(0.0, 559.9, 200.0, count=3, units=units)
    assert tight.cover(0.0, 559.9)
    assert tight.zone(1)[1] - tight.zone(1)[0] >= 20.0 - 1e-9


def test_windows_keep_to_a_grid_or_a_whole_step_off_it() -> None:
    grid = lay(0.0, 900.0, 200.0, count=5, units="mm")
    same = lay_by(grid, 200.0, 500.0, count=2, units="mm")
    assert same.start in grid.starts
    off = lay_by(grid, 341.3, 480.0, count=1, units="mm")
    assert off.cover(341.3, 480.0)
    assert off.start - grid.start == pytest.approx(round(off.start - grid.start))


def test_strokes_are_parted_so_far_inside_that_what_is_followed_lies_in_both_windows(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A link is at most LONGEST long: parted half of that inside what two windows share, both halves fit."""
    shared: list[tuple[float, float]] = []
    parted: list[tuple[float, float]] = []
    zone, seam = Windows.zone, division.least_seam

    def shares(windows: Windows, index: int) -> tuple[float, float]:
        shared.append(zone(windows, index))
        return shared[-1]

    def parts(links: Links, own: NDArray[np.intp], axis: int, within: tuple[float, float]) -> Seam:
        parted.append(within)
        return seam(links, own, axis, within)

    monkeypatch.setattr(Windows, "zone", shares)
    monkeypatch.setattr(division, "least_seam", parts)
    planned(laid(shapes.line((0, 0), (100, 0)), width=500.0), Job(), 200, 100)
    assert len(parted) == len(shared) > 0
    np.testing.assert_allclose(np.subtract(parted, shared), [[LONGEST / 2, -LONGEST / 2]] * len(parted))
