"""What is seen of areas and lines painted over one another, against shapely's areas."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.geometry.flatten import flatten
from tracer.geometry.inside import Area
from tracer.geometry.layers import Layer, Line, seen

K = 4 / 3 * math.tan(math.pi / 8)


def circle(x: float, y: float, r: float) -> np.ndarray:
    quarter = np.array([[1.0, 0.0], [1.0, K], [K, 1.0], [0.0, 1.0]])
    turn = np.array([[0.0, 1.0], [-1.0, 0.0]])
    return np.array([quarter @ np.linalg.matrix_power(turn, k) for k in range(4)]) * r + (x, y)


def box(x: float, y: float, w: float, h: float) -> np.ndarray:
    return bezier.from_polyline(np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h], [x, y]]))


def polygon(ring: np.ndarray) -> shapely.Polygon:
    return shapely.Polygon(flatten(ring, 0.001))


def straight(*points: tuple[float, float]) -> np.ndarray:
    return bezier.from_polyline(np.array(points, float))


def area_of(rings: list[np.ndarray]) -> shapely.Geometry:
    """What rings that do not cross go round, every second one inward a hole."""
    found = shapely.Polygon()
    for ring in sorted((polygon(ring) for ring in rings), key=lambda one: -one.area):
        found = found.symmetric_difference(ring)
    return found


places = st.integers(0, 400).map(lambda n: n / 4)
sizes = st.integers(20, 200).map(lambda n: n / 4)
shapes = st.one_of(
    st.builds(circle, places, places, sizes.map(lambda s: s / 2)),
    st.builds(lambda x, y, w, h: box(x + 0.1, y + 0.1, w, h), places, places, sizes, sizes),
)


@settings(deadline=None, max_examples=25)
@given(st.lists(st.tuples(shapes, st.booleans()), min_size=1, max_size=6))
def test_borders_go_round_what_shapely_leaves_of_the_ink(painted):
    wanted = shapely.Polygon()
    for ring, ink in painted:
        one = polygon(ring)
        wanted = wanted.union(one) if ink else wanted.difference(one)
    layers = [Layer(Area((ring,)), k, float(ink)) for k, (ring, ink) in enumerate(painted)]
    found = seen(layers, [], [], 0.02)
    assert found.loose == []
    # Slivers thinner than the two sides looked at (0.02) may be missed along all borders.
    slack = 0.03 * sum(bezier.length(ring) for ring, _ in painted) + 0.01
    assert area_of(found.rings).symmetric_difference(wanted).area < slack


@settings(deadline=None, max_examples=25)
@given(st.lists(st.tuples(shapes, st.booleans(), st.booleans()), min_size=1, max_size=5), st.data())
def test_lines_end_where_shapely_says(painted, data):
    ends = data.draw(st.lists(st.tuples(places, places), min_size=2, max_size=3, unique=True))
    line = straight(*((x + 0.037, y + 0.0613) for x, y in ends))
    whole = shapely.LineString(flatten(line, 0.001))
    wanted, under = whole, shapely.Polygon()
    for ring, ink, below in painted:
        one = polygon(ring)
        if not below:
            wanted = wanted.difference(one)
        else:
            under = under.union(one) if ink else under.difference(one)
    wanted = wanted.difference(under)
    layers = [
        Layer(Area((ring,)), k if below else 100 + k, float(ink))
        for k, (ring, ink, below) in enumerate(painted)
    ]
    (parts,) = seen(layers, [Line(line, closed=False, order=50)], [], 0.02).lines
    # At each place where it is cut, of at most 2 crossings a straight side, a tolerance is lost or won.
    assert sum(bezier.length(part) for part, _ in parts) == pytest.approx(wanted.length, abs=1.0)
    for part, closed in parts:
        assert not closed
        assert whole.buffer(0.01).covers(shapely.LineString(flatten(part, 0.001)))


def test_what_nothing_hides_keeps_its_cubics():
    ring, line = circle(0, 0, 10), straight((20, 0), (30, 5))
    found = seen([Layer(Area((ring,)), 0, 1.0)], [Line(line, closed=False, order=1)], [], 0.02)
    assert np.array_equal(found.rings[0], ring) or np.array_equal(found.rings[0], bezier.reverse(ring))
    assert np.array_equal(found.lines[0][0][0], line)


def test_a_ring_cut_in_two_places_is_one_piece_over_its_seam():
    ring = circle(0, 0, 10)
    found = seen([Layer(Area((box(-20, 5, 40, 20),)), 5, 0.0)], [Line(ring, closed=True, order=1)], [], 0.02)
    ((part, closed),) = found.lines[0]
    assert not closed
    # The chord at y = 5 = r / 2 hides a third of the circle.
    assert bezier.length(part) == pytest.approx(2 * math.pi * 10 * 2 / 3, rel=1e-3)


def test_an_open_line_does_not_run_over_a_seam():
    line = straight((0, 0), (100, 0))
    found = seen([Layer(Area((box(40, -5, 20, 10),)), 0, 1.0)], [Line(line, closed=False, order=1)], [], 0.02)
    assert sorted(bezier.bounds(part)[::2] for part, _ in found.lines[0]) == [
        pytest.approx((0, 40)),
        pytest.approx((60, 100)),
    ]


@pytest.mark.parametrize(
    ("order", "ink", "line_ink", "seen_parts"),
    [
        (0, 1.0, 1.0, 2),  # black on black is lost
        (0, 0.5, 1.0, 1),  # black on mid grey is seen
        (0, 0.0, 1.0, 1),  # on white it is seen
        (2, 0.0, 1.0, 2),  # under white it is hidden
        (2, 0.5, 1.0, 2),  # and under grey
    ],
)
def test_a_line_and_an_area(order, ink, line_ink, seen_parts):
    line = Line(straight((0, 0), (100, 0)), closed=False, order=1, ink=line_ink)
    found = seen([Layer(Area((box(40, -5, 20, 10),)), order, ink)], [line], [], 0.02)
    assert len(found.lines[0]) == seen_parts


def test_a_border_and_a_line_on_it_are_not_both_followed():
    ring = box(0, 0, 50, 30)
    found = seen([Layer(Area((ring,)), 0, 1.0)], [Line(ring, closed=True, order=1)], [], 0.02)
    assert (len(found.rings), found.lines) == (1, [[]])
    # Round a white area it is the line that is followed.
    found = seen([Layer(Area((ring,)), 0, 0.0)], [Line(ring, closed=True, order=1)], [], 0.02)
    assert (found.rings, len(found.lines[0])) == ([], 1)


def test_windows():
    window = Area((box(0, 0, 50, 50),))
    line = Line(straight((-20, 10), (80, 10)), closed=False, order=1, within=(0,))
    layer = Layer(Area((circle(50, 30, 10),)), 0, 1.0, within=(0,))
    found = seen([layer], [line], [window], 0.02)
    assert [bezier.bounds(part)[::2] for part, _ in found.lines[0]] == [pytest.approx((0, 50))]
    (ring,) = found.rings
    assert polygon(ring).area == pytest.approx(50 * math.pi, rel=1e-3)
    assert seen([layer], [line], [Area(())], 0.02).rings == []


@pytest.mark.parametrize("evenodd", [False, True])
def test_fill_rules(evenodd):
    # A pentagram: by the nonzero rule one outline, by even-odd five points round a hole.
    tips = [(100 * math.sin(k * 4 * math.pi / 5), -100 * math.cos(k * 4 * math.pi / 5)) for k in range(5)]
    star = straight(*tips, tips[0])
    found = seen([Layer(Area((star,), evenodd), 0, 1.0)], [], [], 0.02)
    golden = (1 + math.sqrt(5)) / 2
    inner = 100 / golden**2  # circumradius of the pentagon inside a pentagram [D]
    hole = 5 / 2 * inner**2 * math.sin(2 * math.pi / 5)
    whole = 5 * 100 * inner * math.sin(math.pi / 5)  # ten triangles with sides R and r, 36 deg between
    assert found.loose == []
    assert area_of(found.rings).area == pytest.approx(whole - hole if evenodd else whole, rel=1e-4)
    assert len(found.rings) == (5 if evenodd else 1)
