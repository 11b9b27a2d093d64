"""Whether a groove gets into an area: everywhere but into corners, to a tolerance."""

import math
from typing import Any

import shapely

from tracer.report.beside import Edges
from tracer.report.narrow import CORNER, fits


def edges_of(area: Any) -> Edges:
    return Edges(strokes=(), solid=area, area=area, half=1.0, within=True, side="inside")


def necked(width: float) -> Edges:
    """Two squares with a neck 10 mm long between them."""
    neck = shapely.box(9, 5 - width / 2, 21, 5 + width / 2)
    return edges_of(shapely.union_all([shapely.box(0, 0, 10, 10), neck, shapely.box(20, 0, 30, 10)]))


def waisted(width: float) -> Edges:
    """Two discs 10 mm across that meet in a waist."""
    apart = 2 * math.sqrt(25.0 - (width / 2) ** 2)
    return edges_of(shapely.union_all([shapely.Point(x, 0).buffer(5.0, 64) for x in (0.0, apart)]))


def test_a_neck_is_too_narrow_by_a_twentieth_of_the_groove() -> None:
    assert fits(necked(2.1), 1.0, CORNER)
    assert not fits(necked(1.9), 1.0, CORNER)


def test_a_waist_that_is_reached_from_both_sides_to_the_tolerance_is_no_loss() -> None:
    """Tracks round it fall apart in two; nothing is missed but what tells arcs from polygons."""
    assert fits(waisted(1.9), 1.0, CORNER)
    assert not fits(waisted(1.9), 1.0, CORNER, within=1e-9)
