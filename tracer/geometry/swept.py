"""What a round thing that goes along polylines leaves untouched of a rectangle."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_ROUND = 12
"""Sides of a quarter circle: within 0.3 % of its radius."""

_STRAIGHT = 0.01
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
    and so that hatchings of neighbouring areas are in one line. Rings are within 1.3 per
    cent of the radius.
    """
    import shapely

    width, height = size
    board = shapely.box(0.0, 0.0, width, height)
    swept = shapely.buffer(shapely.simplify(_shapes(lines), _STRAIGHT * radius), radius, quad_segs=_ROUND)
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


def _shapes(lines: Sequence[Array]) -> NDArray[np.object_]:
    """Return polylines as shapes, one that is but a point twice."""
    import shapely

    lines = [points if len(points) > 1 else np.repeat(points, 2, axis=0) for points in lines]
    owners = np.repeat(np.arange(len(lines)), [len(points) for points in lines])
    shapes: NDArray[np.object_] = shapely.linestrings(np.concatenate(lines), indices=owners)
    return shapes
