"""Corners that come out blunter than drawn."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
import shapely
import shapes
from hypothesis import assume, given
from hypothesis import strategies as st

from tracer.geometry import affine, bezier
from tracer.model.drawing import Joint, Kind, Stroke
from tracer.report.corners import Corner, busy_joints, find_corners, short_of_point

Points = Sequence[tuple[float, float]]


def stroke(points: Points, *, width: float | None = 1.0, kind: Kind = "line", number: int = 1) -> Stroke:
    closed = tuple(points[0]) == tuple(points[-1])
    curves = bezier.from_polyline(np.array(points, float))
    return Stroke(number, curves, closed, kind, None if width is None else np.array([width]))


def corner_of(angle_deg: float, side: float = 50.0) -> Points:
    """Two sides that meet at the origin."""
    half = math.radians(angle_deg / 2)
    return [
        (side * math.cos(half), side * math.sin(half)),
        (0, 0),
        (side * math.cos(half), -side * math.sin(half)),
    ]


def found(*strokes: Stroke, groove: float, joints: Sequence[Joint] = ()) -> tuple[Corner, ...]:
    return find_corners(strokes, joints, {stroke.number: groove for stroke in strokes}, visible=0.0)


@pytest.mark.parametrize(("angle_deg", "short"), [(90, 0.414), (60, 1.000), (30, 2.864)])
def test_how_far_a_round_corner_ends_short_of_its_point(angle_deg: float, short: float) -> None:
    # R (1 / sin(angle / 2) - 1) at R = 1 mm [D]
    assert short_of_point(2.0, math.radians(angle_deg)) == pytest.approx(short, abs=5e-4)


@pytest.mark.parametrize("angle_deg", [20, 45, 90, 140])
def test_so_far_lies_the_point_of_a_mitred_outline_off_a_round_one(angle_deg: float) -> None:
    # Both outlines from the reference library for geometry
    line = shapely.LineString(corner_of(angle_deg))
    rounded = line.buffer(1.0, quad_segs=256)
    mitred = line.buffer(1.0, join_style="mitre", mitre_limit=100)
    tip = shapely.Point(min(mitred.exterior.coords))
    short = short_of_point(2.0, math.radians(angle_deg))
    assert tip.distance(rounded) == pytest.approx(float(short), abs=1e-4)


@pytest.mark.parametrize(("angle_deg", "lost"), [(90, 0.414), (60, 1.000), (30, 2.864)])
def test_what_is_lost_is_what_the_groove_has_beyond_the_drawn_line(angle_deg: float, lost: float) -> None:
    (corner,) = found(stroke(corner_of(angle_deg), width=1.5), groove=3.5)
    assert corner.lost == pytest.approx(lost, abs=5e-4)
    assert corner.where == (0.0, 0.0)
    assert np.degrees(corner.angle) == pytest.approx(angle_deg)
    assert (corner.strokes, corner.groove, corner.drawn) == ((1,), 3.5, 1.5)
    assert corner.side == pytest.approx(50.0)


def test_an_edge_is_as_sharp_as_can_be() -> None:
    (corner,) = found(stroke(corner_of(60), kind="edge", width=1.5), groove=2.0)
    assert corner.lost == pytest.approx(1.0)


def test_where_nothing_is_lost() -> None:
    assert found(stroke(corner_of(60), width=2.0), groove=2.0) == ()
    assert found(stroke(corner_of(60), width=None), groove=2.0) == ()  # a letter's single stroke
    assert found(stroke(corner_of(8), width=1.0), groove=2.0) == ()  # two lines that run together
    assert found(stroke([(0, 0), (5, 0), (9, 0)]), groove=2.0) == ()
    assert found(stroke([(5, 5), (5, 5)], kind="dot"), groove=2.0) == ()
    assert found(groove=2.0) == ()


def test_what_is_not_visible_is_not_said() -> None:
    assert find_corners([stroke(corner_of(60))], [], {1: 1.99}) == ()
    assert len(find_corners([stroke(corner_of(60))], [], {1: 2.01})) == 1  # 1.01 / 2 x 1


def test_no_more_is_lost_than_the_shorter_side_has() -> None:
    hook = [(50.0, 0.0), (0.0, 0.0), (0.3 * math.cos(0.5), 0.3 * math.sin(0.5))]
    (corner,) = found(stroke(hook), groove=5.0)
    assert corner.lost == corner.side == pytest.approx(0.3)


def test_a_side_goes_on_where_the_line_bends_little_and_over_the_seam() -> None:
    bent = [(0, 30), (0, 0), (10, 1), (20, 3), (20, 40), (0, 30)]
    sides = {corner.where: corner.side for corner in found(stroke(bent), groove=2.0)}
    assert sides[(0.0, 0.0)] == pytest.approx(math.hypot(10, 1) + math.hypot(10, 2))
    # The seam of the square lies within a side
    square = [(5, 0), (10, 0), (10, 10), (0, 10), (0, 0), (5, 0)]
    corners = found(stroke(square), groove=2.0)
    assert len(corners) == 4
    assert {round(corner.side, 6) for corner in corners} == {10.0}


def halves(angle_deg: float) -> tuple[Stroke, Stroke]:
    a, b, c = corner_of(angle_deg)
    return stroke([a, b], number=1), stroke([b, c], number=2)


def test_two_strokes_that_end_in_a_joint_make_a_corner() -> None:
    one, other = halves(60)
    joint = Joint(np.zeros(2), ((1, 1.0), (2, 0.0)))
    (corner,) = found(one, other, groove=3.0, joints=[joint])
    (whole,) = found(stroke(corner_of(60)), groove=3.0)
    assert corner.strokes == (1, 2)
    assert (corner.lost, corner.side) == pytest.approx((whole.lost, whole.side))
    assert corner.where == whole.where
    assert found(one, other, groove=3.0) == ()  # nobody says that they meet


def test_no_corner_where_a_third_stroke_meets_or_passes() -> None:
    one, other = halves(60)
    third = stroke([(0, 0), (-50, 0)], number=3)
    three = Joint(np.zeros(2), ((1, 1.0), (2, 0.0), (3, 0.0)))
    assert found(one, other, third, groove=3.0, joints=[three]) == ()
    across = stroke([(-1, -50), (0, 0), (1, 50)], number=2)
    assert found(one, across, groove=3.0, joints=[Joint(np.zeros(2), ((1, 1.0), (2, 1.0)))]) == ()
    gone = Joint(np.zeros(2), ((1, 1.0), (9, 0.0)))
    assert found(one, groove=3.0, joints=[gone]) == ()


@pytest.mark.parametrize(("off", "count"), [(0.9, 0), (1.1, 1)])
def test_no_corner_within_a_line_s_width_of_a_busy_joint(off: float, count: int) -> None:
    bent, end = stroke(corner_of(60)), stroke([(off, 0), (50, 0)], number=2)
    joint = Joint(np.array([off, 0.0]), ((1, 1.0), (2, 0.0)))
    assert len(found(bent, end, groove=3.0, joints=[joint])) == count
    assert len(found(bent, groove=3.0, joints=[joint])) == 1  # the other is not cut


def test_a_joint_is_busy_where_three_ways_part() -> None:
    strokes = [
        stroke([(0, 0), (9, 0), (0, 0)], number=1),
        *(stroke([(0, 0), (9, n)], number=n) for n in (2, 3, 4)),
    ]
    for members, busy in [
        (((2, 0.0), (3, 0.0)), False),
        (((2, 0.0), (3, 0.0), (4, 1.0)), True),
        (((2, 0.5), (3, 0.0)), True),
        (((1, 0.0),), False),
        (((1, 0.0), (2, 0.0)), True),
        (((2, 0.0), (3, 0.0), (9, 0.0)), False),
    ]:
        assert len(busy_joints(strokes, [Joint(np.zeros(2), members)])) == busy


def test_of_two_grooves_the_wider_counts() -> None:
    one, other = halves(60)
    joint = Joint(np.zeros(2), ((1, 1.0), (2, 0.0)))
    (corner,) = find_corners([one, other], [joint], {1: 2.0, 2: 3.0}, visible=0.0)
    assert corner.groove == 3.0


def test_a_handle_on_its_end_hides_no_corner() -> None:
    a, b, c = (np.array(point) for point in corner_of(60))
    curves = np.array([[a, a, b, b], [b, b, c, c]])
    (corner,) = found(Stroke(1, curves, closed=False, kind="line", widths=np.array([1.0])), groove=3.0)
    assert np.degrees(corner.angle) == pytest.approx(60)


def test_a_ring_and_a_word_of_bowls_have_no_corner() -> None:
    for part in (shapes.ring((50, 50), 20, 1.0), *shapes.LETTERS["8"], *shapes.LETTERS["S"]):
        line = Stroke(1, part.curves, part.closed, "line", np.array([1.0]))
        assert find_corners([line], [], {1: 6.0}) == ()


_NUMBERS = st.integers(-300, 300).map(lambda n: n / 4)
_POLYGONS = st.lists(st.tuples(_NUMBERS, _NUMBERS), min_size=3, max_size=8, unique=True)


def losses(corners: Sequence[Corner]) -> list[float]:
    return sorted(corner.lost for corner in corners)


@given(_POLYGONS, st.floats(0, 7), st.booleans(), st.integers(1, 7))
def test_turning_mirroring_and_starting_elsewhere_change_nothing(
    points: list[tuple[float, float]], turn: float, mirror: bool, start: int
) -> None:
    matrix = affine.compose(affine.rotation(turn), np.array([[1.0, 0, 0], [0, -1.0 if mirror else 1.0, 0]]))
    here = stroke([*points, points[0]])
    shift = start % len(points)
    turned = [tuple(p) for p in affine.apply(matrix, np.array([*points[shift:], *points[:shift]]))]
    there = stroke([*turned, turned[0]])
    assume(
        not any(abs(np.degrees(c.angle) - cut) < 0.01 for c in found(here, groove=4.0) for cut in (11.5, 150))
    )
    assert losses(found(here, groove=4.0)) == pytest.approx(losses(found(there, groove=4.0)), abs=1e-5)


@given(_POLYGONS, st.floats(0.5, 6), st.floats(0, 6))
def test_a_wider_groove_never_loses_less(
    points: list[tuple[float, float]], groove: float, more: float
) -> None:
    line = stroke(points)
    narrow, wide = (
        {corner.where: corner.lost for corner in found(line, groove=w)} for w in (groove, groove + more)
    )
    assert set(narrow) <= set(wide)
    assert all(wide[where] >= lost for where, lost in narrow.items())
