"""Rings at an even distance from closed chains."""

import math

import numpy as np
import pytest
import shapely
import shapes

from tracer.geometry import bezier
from tracer.geometry.flatten import flatten
from tracer.geometry.offset import Ring, drawn_area, polygon_of, rings_at

SQUARE = shapes.line((0, 0), (40, 0), (40, 40), (0, 40), (0, 0)).curves
CIRCLE = shapes.ring((50, 50), 30).curves
ELL = shapes.line((0, 0), (40, 0), (40, 10), (10, 10), (10, 40), (0, 40), (0, 0)).curves


def rings(chain: np.ndarray, distance: float) -> list[Ring]:
    return rings_at([chain], polygon_of(chain, 0.001), distance, 0.01)


@pytest.mark.parametrize("chain", [SQUARE, CIRCLE, ELL])
@pytest.mark.parametrize("distance", [0.3, 1.0, 4.0, -0.3, -1.0, -4.0])
def test_the_distance_is_even(chain: np.ndarray, distance: float) -> None:
    (ring,) = rings(chain, distance)
    source = shapely.linearrings(flatten(chain, 0.0002))
    away = shapely.distance(shapely.points(flatten(ring.curves, 0.001)), source)
    assert away == pytest.approx(abs(distance), abs=0.01)
    assert ring.curves[:, 0] == pytest.approx(np.roll(ring.curves[:, 3], 1, axis=0))


def test_corners_inside_stay_sharp_and_outside_are_rounded() -> None:
    inside, outside = rings(SQUARE, 2.0)[0].curves, rings(SQUARE, -2.0)[0].curves
    assert (len(inside), len(outside)) == (4, 8)
    assert bezier.length(inside) == pytest.approx(4 * 36, abs=1e-6)
    assert bezier.length(outside) == pytest.approx(160 + 4 * math.pi, abs=0.01)
    assert len(rings(ELL, 1.0)[0].curves) == 7  # six sides, and an arc round the corner that points in
    assert len(rings(ELL, -3.1)[0].curves) == 11  # six sides, and arcs round the others


def test_a_ring_runs_as_its_chain_does_from_near_its_start() -> None:
    for chain in (SQUARE, bezier.reverse(SQUARE), CIRCLE, bezier.reverse(CIRCLE)):
        for distance in (1.0, -1.0):
            (ring,) = rings(chain, distance)
            assert np.hypot(*(ring.curves[0, 0] - chain[0, 0])) < 2
            own, found = (shapely.linearrings(flatten(one, 0.1)) for one in (chain, ring.curves))
            assert shapely.is_ccw(own) == shapely.is_ccw(found)


def test_rings_know_the_chain_they_go_along() -> None:
    hole = shapes.ring((50, 50), 20).curves
    area = polygon_of(CIRCLE, 0.001).difference(polygon_of(hole, 0.001))
    found = rings_at([CIRCLE, hole], area, 2.0, 0.01)
    assert [ring.of for ring in found] == [0, 1]
    assert [np.ptp(ring.curves[:, 0, 0]) for ring in found] == pytest.approx([56, 44], abs=0.02)


def test_nothing_is_left_and_several_are() -> None:
    assert rings(SQUARE, 20.5) == []
    bar = shapes.line((0, 0), (40, 0), (40, 30), (30, 30), (30, 4), (10, 4), (10, 30), (0, 30), (0, 0)).curves
    assert len(rings(bar, 2.5)) == 2


@pytest.mark.parametrize(
    "points",
    [[(0, 0), (100, 0), (100, 50)], [(0, 0), (100, 0), (100, 50), (0, 0)], [(0, 0), (90, 9), (50, -50)]],
)
def test_what_a_pen_leaves_is_the_buffer_of_shapely(points: list[tuple[int, int]]) -> None:
    chain = bezier.from_polyline(np.array(points, float))
    wanted = shapely.LineString(points).buffer(4, quad_segs=64)
    found = shapely.Polygon()
    for ring in drawn_area(chain, 8.0, 0.05):
        found = found.symmetric_difference(shapely.Polygon(flatten(ring, 0.005)).buffer(0))
    assert found.hausdorff_distance(wanted) < 0.05
