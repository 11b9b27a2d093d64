"""Which areas points lie in, against shapely."""

import numpy as np
import shapely
from curve_strategies import chains
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.geometry.flatten import flatten
from tracer.geometry.inside import Area, Inside


def closed(curves: np.ndarray) -> np.ndarray:
    return np.concatenate([curves, bezier.from_polyline(np.array([curves[-1, 3], curves[0, 0]]))])


def winding(point: np.ndarray, ring: np.ndarray) -> int:
    """Turns of the direction from a point to a ring's points, summed: the definition [D]."""
    x, y = (ring - point).T
    angles = np.unwrap(np.arctan2(y, x))
    return round((angles[-1] - angles[0]) / (2 * np.pi))


@settings(deadline=None, max_examples=60)
@given(st.lists(chains(), min_size=1, max_size=3), st.booleans(), st.data())
def test_winding_numbers_are_turns_of_the_direction(curves, evenodd, data):
    rings = [closed(one) for one in curves]
    points = np.array(data.draw(st.lists(st.tuples(*[st.floats(-100, 100)] * 2), min_size=1, max_size=6)))
    lines = [flatten(ring, 0.01) for ring in rings]
    off = np.array(
        [min(shapely.LineString(line).distance(shapely.Point(p)) for line in lines) for p in points]
    )
    points = points[off > 0.05]
    turns = np.array([[winding(p, line) for line in lines] for p in points]).reshape(-1, len(rings))
    inside = turns.sum(axis=1) % 2 == 1 if evenodd else turns.sum(axis=1) != 0
    found, _ = Inside([Area(tuple(rings), evenodd)], 0.01).of(points)
    assert found.tolist() == np.flatnonzero(inside).tolist()


def test_many_areas_and_points_at_once():
    rng = np.random.default_rng(5)
    boxes = [shapely.box(x, y, x + w, y + h) for x, y, w, h in rng.uniform(1, 50, (40, 4))]
    areas = [Area((bezier.from_polyline(np.array(box.exterior.coords)),)) for box in boxes]
    points = rng.uniform(0, 100, (6000, 2))  # more than are looked at in one go
    found = set(zip(*(part.tolist() for part in Inside(areas, 0.1).of(points)), strict=True))
    tree = shapely.STRtree(boxes)
    wanted = tree.query(shapely.points(points), predicate="within")
    assert found == set(zip(*wanted.tolist(), strict=True))


def test_nothing_is_inside_of_nothing():
    inside = Inside([], 0.1)
    assert [part.tolist() for part in inside.of(np.zeros((3, 2)))] == [[], []]
    assert [part.tolist() for part in Inside([Area(())], 0.1).of(np.zeros((0, 2)))] == [[], []]
