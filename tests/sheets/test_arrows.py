import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, STRtree

from tracer.sheets.arrows import BACK, HALF, TIP, arrows_along

NOTHING = np.empty((0, 3))


def line(*points):
    return np.array(points, float)


def head(arrow):
    """The triangle that is drawn, as shapely (a library of its own) sees it."""
    x, y, dx, dy = arrow
    along, across = np.array([dx, dy]), np.array([-dy, dx])
    corners = (along * TIP, across * HALF - along * BACK, -across * HALF - along * BACK)
    return Polygon([np.array([x, y]) + corner for corner in corners])


def test_the_first_stands_8_mm_along_and_the_others_70_mm_on():
    (arrows,) = arrows_along([line((0, 0), (200, 0))], NOTHING)
    np.testing.assert_allclose(arrows, [[8, 0, 1, 0], [78, 0, 1, 0], [148, 0, 1, 0]])


def test_a_short_leg_has_its_arrow_in_the_middle_and_a_shorter_one_none():
    middle, none = arrows_along([line((0, 0), (0, -6)), line((20, 0), (24, 0))], NOTHING)
    np.testing.assert_allclose(middle, [[0, -3, 0, -1]])
    assert not len(none)


def test_arrows_keep_off_starts_and_lifts():
    (arrows,) = arrows_along([line((0, 0), (40, 0))], np.array([[8.0, 0.5, 2.1]]))
    assert len(arrows) == 1
    assert not head(arrows[0]).intersects(Point(8.0, 0.5).buffer(2.1))
    assert arrows[0, 0] == pytest.approx(8.0, abs=5.0)


def test_a_way_back_beside_a_way_there_has_an_arrow_further_on():
    there, back = arrows_along([line((0, 0), (16, 0)), line((16, 1.4), (0, 1.4))], NOTHING)
    assert len(there) == len(back) == 1
    assert not head(there[0]).intersects(head(back[0]))


def test_every_leg_has_its_first_before_any_has_its_second():
    """A second one of the long leg would stand where the short leg's only one can."""
    long, short = line((0, 0), (150, 0)), line((78, 0.5), (78, -5))
    arrows = arrows_along([long, short], NOTHING)
    assert len(arrows[1]) == 1


def test_arrows_stand_where_the_line_is_straight():
    (arrows,) = arrows_along([line((0, 0), (8, 0), (8, 20))], NOTHING)
    assert np.abs(arrows[0, 2:]).max() == pytest.approx(1.0, abs=1e-6)


@settings(max_examples=50, deadline=None)
@given(seed=st.integers(0, 2**31), count=st.integers(1, 60))
def test_no_arrow_touches_another_or_a_mark(seed, count):
    random = np.random.default_rng(seed)
    legs = [random.uniform(0, 60, 2) + np.cumsum(random.normal(0, 3, (12, 2)), axis=0) for _ in range(count)]
    marks = np.column_stack([random.uniform(0, 60, (count, 2)), np.full(count, 2.1)])
    found = arrows_along(legs, marks)
    heads = [head(arrow) for arrows in found for arrow in arrows]
    circles = [Point(x, y).buffer(r) for x, y, r in marks]
    pairs = STRtree(heads).query(heads + circles, predicate="intersects").T
    assert all(one == other for one, other in pairs.tolist())
    for leg, arrows in zip(legs, found, strict=True):
        for arrow in arrows:
            assert on(leg, arrow[:2])


def on(leg, point):
    """Say whether a point lies on a polyline."""
    start, step = leg[:-1], np.diff(leg, axis=0)
    part = np.clip(((point - start) * step).sum(axis=1) / np.maximum((step**2).sum(axis=1), 1e-12), 0, 1)
    return np.hypot(*(start + part[:, None] * step - point).T).min() < 1e-6
