"""Where strokes meet: each way that lines can, and the near misses."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import affine, bezier
from tracer.geometry.joints import find_joints

KAPPA = 4 / 3 * np.tan(np.pi / 8)
Chain = tuple[np.ndarray, bool]


def line(*points: tuple[float, float]) -> Chain:
    return bezier.from_polyline(np.array(points, float)), points[0] == points[-1]


def circle(x: float, y: float, radius: float) -> Chain:
    quarter = np.array([[1, 0], [1, KAPPA], [KAPPA, 1], [0, 1]])
    turns = [affine.rotation(k * np.pi / 2) for k in range(4)]
    quarters = np.array([radius * affine.apply(turn, quarter) for turn in turns])
    return quarters + np.array([x, y]), True


BAR = line((0, 0), (100, 0))
CASES = {
    "crossing": ([BAR, line((50, -50), (50, 50))], [((50, 0), [(0, 0.5), (1, 0.5)])]),
    "stem on a bar": ([BAR, line((25, 60), (25, 0))], [((25, 0), [(0, 0.25), (1, 1)])]),
    "stem just short of the bar": ([BAR, line((25, 60), (25, 0.9))], [((25, 0.9), [(0, 0.25), (1, 1)])]),
    "stem too short": ([BAR, line((25, 60), (25, 1.2))], []),
    "stem that overshoots": ([BAR, line((25, 60), (25, -0.9))], [((25, -0.3), [(0, 0.25), (1, 1)])]),
    "end to end": ([BAR, line((100, 0), (150, 40))], [((100, 0), [(0, 1), (1, 0)])]),
    "three ends": (
        [BAR, line((100, 0), (150, 40)), line((150, -40), (100, 0))],
        [((100, 0), [(0, 1), (1, 0), (2, 1)])],
    ),
    "ends apart": ([BAR, line((101.2, 0), (150, 0))], []),
    "side by side": ([BAR, line((0, 2), (100, 2))], []),
    "a loop over itself": (
        [line((0, 0), (60, 0), (60, 40), (30, 40), (30, -40))],
        [((30, 0), [(0, 0.5), (0, 3.5)])],
    ),
    "an open line back to its own middle": (
        [line((0, 0), (60, 0), (60, 40), (30, 0))],
        [((30, 0), [(0, 0.5), (0, 3)])],
    ),
    "a closed seam is no joint": ([line((0, 0), (60, 0), (60, 40), (0, 0))], []),
    "a corner is no joint": ([line((0, 0), (60, 0), (1, 20))], []),
    "dots meet nothing": ([BAR, (bezier.dot(np.array([50.0, 0.0])), False)], []),
    "two dots": ([(bezier.dot(np.zeros(2)), False)] * 2, []),
    "nothing": ([], []),
    "stem on a closed seam": (
        [line((0, 0), (60, 0), (60, 40), (0, 0)), line((-50, 0), (0, 0))],
        [((0, 0), [(0, 0), (1, 1)])],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_each_way_to_meet(name: str) -> None:
    chains, wanted = CASES[name]
    found = find_joints(chains, 1.0)
    assert len(found) == len(wanted)
    for meeting, (point, members) in zip(found, wanted, strict=True):
        assert meeting.point == pytest.approx(point, abs=0.61)
        assert np.array(meeting.members) == pytest.approx(np.array(members), abs=0.02)


@settings(max_examples=40, deadline=None)
@given(st.floats(8, 58), st.floats(0, 6.28))
def test_two_circles_meet_where_the_formula_says(apart: float, angle: float) -> None:
    # Handbook formula: two circles of radius r, d apart, meet sqrt(r^2 - d^2/4) off the line of centres.
    r = 30.0
    turn = affine.rotation(angle)
    (x, y) = affine.apply(turn, np.array([apart, 0.0]))
    found = find_joints([circle(0, 0, r), circle(x, y, r)], 0.5)
    h = np.sqrt(r * r - apart * apart / 4)
    wanted = affine.apply(turn, np.array([[apart / 2, h], [apart / 2, -h]]))
    assert len(found) == 2
    for meeting in found:
        assert np.hypot(*(wanted - meeting.point).T).min() < 0.3
        assert [index for index, _ in meeting.members] == [0, 1]


coordinates = st.integers(0, 60)
legs = st.tuples(coordinates, coordinates, coordinates, coordinates).filter(
    lambda leg: np.hypot(leg[2] - leg[0], leg[3] - leg[1]) > 8
)


@settings(max_examples=60, deadline=None)
@given(st.lists(legs, min_size=2, max_size=6))
def test_places_of_a_meeting_lie_at_its_point(found: list[tuple[int, int, int, int]]) -> None:
    chains = [line((a, b), (c, d)) for a, b, c, d in found]
    for meeting in find_joints(chains, 0.5):
        assert len(meeting.members) >= 2
        for index, t in meeting.members:
            (at,) = bezier.points_at(chains[index][0], np.array([t]))
            assert np.hypot(*(at - meeting.point)) < 0.5 * len(chains)


@settings(max_examples=60, deadline=None)
@given(st.lists(legs, min_size=2, max_size=6))
def test_every_crossing_that_shapely_sees_is_a_meeting(found: list[tuple[int, int, int, int]]) -> None:
    # Outside reference: shapely's intersection of the same lines.
    chains = [line((a, b), (c, d)) for a, b, c, d in found]
    points = np.array([meeting.point for meeting in find_joints(chains, 0.5)]).reshape(-1, 2)
    lines = [shapely.LineString([(a, b), (c, d)]) for a, b, c, d in found]
    for i, one in enumerate(lines):
        for other in lines[i + 1 :]:
            crossing = one.intersection(other)
            if crossing.geom_type == "Point":
                assert np.hypot(*(points - (crossing.x, crossing.y)).T).min() < 0.5 * len(chains)


@settings(max_examples=30, deadline=None)
@given(st.lists(legs, min_size=2, max_size=5))
def test_the_order_of_the_chains_does_not_show(found: list[tuple[int, int, int, int]]) -> None:
    chains = [line((a, b), (c, d)) for a, b, c, d in found]
    one = [meeting.point for meeting in find_joints(chains, 0.5)]
    other = [meeting.point for meeting in find_joints(chains[::-1], 0.5)]
    assert np.array(other).ravel() == pytest.approx(np.array(one).ravel(), abs=1e-6)
