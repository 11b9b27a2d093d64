"""What a round thing that goes along polylines leaves untouched of a rectangle."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_ROUND = 24
"""Sides of a quarter circle: within 0.1 % of its radius."""

_STRAIGHT = 0.005
"""Of the radius: within this lines are straightened first."""


@dataclass(frozen=True, eq=False)
class Untouched:
    """The rings (n, 2) round what is left, its area, and lines (m, 2, 2) that hatch it. Any one frame."""

    rings: tuple[Array, ...] = ()
    area: float = 0.0
    hatching: Array = field(default_factory=lambda: np.empty((0, 2, 2)))


def untouched(lines: Sequence[Array], radius: float, size: tuple[float, float], *, pitch: float) -> Untouched:
    """Return what a disc whose middle follows the polylines `lines` leaves of a rectangle from (0, 0) on.

    All lengths in one unit; `size` (width, height). The hatching is level, `pitch` apart,
    and so that hatchings of neighbouring areas are in one line. Rings are within half a
    per cent of the radius.
    """
    import shapely

    width, height = size
    board = shapely.box(0.0, 0.0, width, height)
    swept = shapely.buffer([_shape(points, radius) for points in lines], radius, quad_segs=_ROUND)
    left = board.difference(shapely.union_all(swept))
    areas = [one for one in shapely.get_parts(left) if one.geom_type == "Polygon" and not one.is_empty]
    if not areas:
        return Untouched()
    rings = [ring for one in areas for ring in (one.exterior, *one.interiors)]
    rows = np.arange(pitch / 2, height, pitch)
    level = shapely.linestrings([[(0.0, y), (width, y)] for y in rows.tolist()])
    pieces = shapely.get_parts(shapely.intersection(level, shapely.multipolygons(areas)))
    ends = [np.asarray(one.coords)[[0, -1]] for one in pieces if one.length > 0.0]
    hatching = np.array(ends).reshape(-1, 2, 2)
    return Untouched(tuple(np.asarray(ring.coords) for ring in rings), float(left.area), hatching)


def _shape(points: Array, radius: float) -> object:
    """Return a polyline as a shape, straightened; a point where it goes nowhere."""
    import shapely

    if np.ptp(points, axis=0).max() <= 0.0:
        return shapely.Point(points[0])
    return shapely.LineString(points).simplify(_STRAIGHT * radius)
