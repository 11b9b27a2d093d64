"""Bends whose inside fills in."""

import math

import numpy as np
import pytest
import shapely
import shapes
from curve_strategies import chains
from hypothesis import given
from hypothesis import strategies as st

from tracer.geometry import affine, bezier
from tracer.model.drawing import Kind, Stroke
from tracer.report.bends import Bend, course_of, find_bends, folded


def curves_of(radius: float, turn_deg: float, side: float = 40.0) -> np.ndarray:
    """A straight side, an arc about the origin, a straight side."""
    half = turn_deg / 2
    arc = shapes.arc((0, 0), radius, 270 - half, 270 + half).curves
    ends = arc[0, 0], arc[-1, 3]
    along = np.radians(half)
    out = np.array([math.cos(along), math.sin(along)])
    before, after = ends[0] + side * out * (-1, 1), ends[1] + side * out
    return np.concatenate([
        bezier.from_polyline(np.array([before, ends[0]])),
        arc,
        bezier.from_polyline(np.array([ends[1], after])),
    ])  # fmt: skip


def stroke(
    curves: np.ndarray, *, width: float | None = 1.0, kind: Kind = "line", closed: bool = False
) -> Stroke:
    return Stroke(1, curves, closed, kind, None if width is None else np.array([width]))


def found(line: Stroke, groove: float, visible: float = 0.0) -> tuple[Bend, ...]:
    return find_bends(course_of([line]), {1: groove}, visible=visible)


def test_folded_is_nothing_where_the_radius_is_half_the_width() -> None:
    assert folded(2.0, math.pi / 2, math.pi / 2 * 1.0) == pytest.approx(0.0, abs=1e-12)
    assert folded(2.0, math.pi / 2, math.pi / 2 * 1.5) == 0.0


@pytest.mark.parametrize(("turn_deg", "short"), [(90, 0.414), (120, 1.000), (150, 2.864)])
def test_without_a_radius_it_is_a_corner(turn_deg: float, short: float) -> None:
    # R (1 / sin(angle / 2) - 1) at R = 1 mm, angle = 180 - turn [D]
    assert folded(2.0, math.radians(turn_deg), 0.0) == pytest.approx(short, abs=5e-4)


@pytest.mark.parametrize("turn_deg", [60, 90, 120, 145])
@pytest.mark.parametrize("radius", [0.5, 1.0, 2.5])
def test_so_far_the_inner_corner_of_the_groove_stands_back(turn_deg: float, radius: float) -> None:
    # The groove's outline from the reference library for geometry; a parallel of the bend
    # would come half a groove inside its top
    width = 6.0
    line = shapely.LineString(stroke(curves_of(radius, turn_deg)).points(1e-4))
    groove = line.buffer(width / 2, quad_segs=256)
    up = shapely.LineString([(0.0, -radius), (0.0, 60.0)])
    inner = up.intersection(groove).bounds[3]
    turn = math.radians(turn_deg)
    assert inner - (width / 2 - radius) == pytest.approx(float(folded(width, turn, radius * turn)), abs=2e-3)


def test_a_bend_is_measured_against_the_line_as_drawn() -> None:
    (bend,) = found(stroke(curves_of(1.0, 120), width=3.0), groove=6.0)
    turn = math.radians(120)
    expected = folded(6.0, turn, turn) - folded(3.0, turn, turn)  # (3 - 1) - (1.5 - 1), times 1
    assert bend.lost == pytest.approx(float(expected), rel=5e-3)
    assert bend.lost == pytest.approx(1.5, rel=5e-3)
    assert bend.radius == pytest.approx(1.0, rel=1e-2)
    assert np.degrees(bend.turn) == pytest.approx(120, rel=1e-3)
    assert math.hypot(*bend.where) <= 1.0


def test_where_nothing_is_lost() -> None:
    assert found(stroke(curves_of(3.01, 120)), groove=6.0) == ()
    assert found(stroke(curves_of(1.0, 120), width=6.0), groove=6.0) == ()
    assert found(stroke(curves_of(0.2, 172), width=1.0), groove=6.0) == ()  # right back on itself
    assert found(stroke(shapes.ring((0, 0), 2.0).curves, closed=True), groove=6.0) == ()  # no inside left
    assert found(stroke(bezier.dot(np.zeros(2)), kind="dot"), groove=6.0) == ()
    assert find_bends(course_of([]), {}) == ()


def test_an_edge_and_a_letter_have_no_width_to_count_against() -> None:
    for line in (stroke(curves_of(1.0, 120), kind="edge"), stroke(curves_of(1.0, 120), width=None)):
        assert found(line, groove=4.0)[0].lost == pytest.approx(1.0, rel=5e-3)


def test_what_is_not_visible_is_not_said() -> None:
    line = stroke(curves_of(1.0, 120), width=None)
    assert found(line, groove=2.98, visible=0.5) == ()
    assert len(found(line, groove=3.02, visible=0.5)) == 1


def test_no_more_is_lost_than_the_stroke_goes_on() -> None:
    hook = curves_of(0.1, 145, side=0.3)
    assert found(stroke(hook, width=None), groove=9.0)[0].lost < 0.6


def test_bends_to_either_side_are_two() -> None:
    first = curves_of(1.0, 120)
    there = affine.compose(affine.rotation(math.pi), np.array([[1.0, 0, 0], [0, 1.0, 0]]))
    second = affine.apply(there, first)
    shifted = second + (first[-1, 3] - second[0, 0])
    assert len(found(stroke(np.concatenate([first, shifted])), groove=4.0)) == 2


def test_a_double_bend_is_two_as_well() -> None:
    first, second = shapes.arc((0, 0), 1.0, 180, 300).curves, shapes.arc((1, -1.7320508), 1.0, 120, 0).curves
    sides = [
        bezier.from_polyline(np.array(ends)) for ends in ([[-1, 40], [-1, 0]], [[2, -1.7320508], [2, -40]])
    ]
    bends = found(stroke(np.concatenate([sides[0], first, second, sides[1]])), groove=4.0)
    assert [round(np.degrees(bend.turn)) for bend in bends] == [120, 120]


def oval(shift: int = 0) -> Stroke:
    """Two straight sides and two round ends, begun within an end."""
    right = shapes.arc((20, 0), 1.0, 270, 450).curves
    left = shapes.arc((-20, 0), 1.0, 90, 270).curves
    over = bezier.from_polyline(np.array([left[-1, 3], right[0, 0]]))
    under = bezier.from_polyline(np.array([right[-1, 3], left[0, 0]]))
    return stroke(np.roll(np.concatenate([over, right, under, left]), shift, axis=0), closed=True, width=None)


@pytest.mark.parametrize("shift", range(6))
def test_where_a_closed_stroke_begins_is_immaterial(shift: int) -> None:
    bends = found(oval(shift), groove=4.0)
    assert [round(b.lost, 6) for b in bends] == [round(b.lost, 6) for b in found(oval(), groove=4.0)]
    assert len(bends) == 2
    assert sorted(round(b.where[0]) for b in bends) == [-21, 21]


@pytest.mark.parametrize(("off", "count"), [(1.3, 0), (2.5, 1)])
def test_no_bend_within_a_line_s_width_of_a_busy_joint(off: float, count: int) -> None:
    course = course_of([stroke(curves_of(0.5, 120))])
    assert len(find_bends(course, {1: 4.0}, np.array([[0.0, -off]]), visible=0.0)) == count


def test_some_of_a_course() -> None:
    lines = [
        Stroke(n, curves_of(1.0, 120) + 100.0 * n, closed=False, kind="line", widths=np.array([1.0]))
        for n in (1, 2, 3)
    ]
    widths = dict.fromkeys((1, 2, 3), 4.0)
    whole = find_bends(course_of(lines), widths)
    some = find_bends(course_of(lines).only({1, 3}), widths)
    assert [bend for bend in whole if bend.stroke != 2] == list(some)
    assert len(whole) == 3


@given(chains(smooth=True), st.floats(0, 7), st.booleans(), st.booleans())
def test_turning_mirroring_and_going_backwards_change_nothing(
    curves: np.ndarray, turn: float, mirror: bool, backwards: bool
) -> None:
    matrix = affine.compose(affine.rotation(turn), np.array([[1.0, 0, 0], [0, -1.0 if mirror else 1.0, 0]]))
    there = affine.apply(matrix, bezier.reverse(curves) if backwards else curves)
    one, other = (sum(b.lost for b in found(stroke(c), groove=20.0)) for c in (curves, there))
    assert one == pytest.approx(other, abs=1e-5)


@given(chains(smooth=True), st.floats(1, 20), st.floats(0, 20))
def test_a_wider_groove_never_loses_less(curves: np.ndarray, groove: float, more: float) -> None:
    line = stroke(curves)
    narrow, wide = (max((b.lost for b in found(line, w)), default=0.0) for w in (groove, groove + more))
    assert wide >= narrow - 1e-9
