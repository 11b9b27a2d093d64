"""The carved face as a map of depths: what this bit's section leaves along the planned strokes."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.flatten import flatten_all
from tracer.model.drawing import Stroke
from tracer.model.plan import Plan
from tracer.sheets.distances import distance_map
from tracer.shop.bits import Bit

Array = NDArray[np.float64]
Map = NDArray[np.float32]
Mask = NDArray[np.bool_]

_DEPTH_ERROR = 0.03  # mm of depth that the strokes' polylines may cost
_COARSEST = 0.02  # mm between a stroke and its polyline, however flat the bit's sides


def depth_map(plan: Plan, px_per_mm: float) -> Map:
    """Return how deep each pixel of the board lies below its face.

    Parameters
    ----------
    plan : the grooves, wood mm.
    px_per_mm : pixels per mm of wood; the pixel in row r, column c stands for the point
        ((c + 0.5) / px_per_mm, (r + 0.5) / px_per_mm), the first row and column at the
        board's top left.

    Returns
    -------
    (H, W) float32, mm, 0 where the wood is whole. Within 0.03 mm for each pixel's own point,
    but for those within 0.02 mm of an upright wall. Where grooves cross, the deeper counts.
    """
    board = plan.layout.board
    shape = (max(1, round(board.height * px_per_mm)), max(1, round(board.width * px_per_mm)))
    shapes = {stroke.number: stroke for stroke in plan.cut}
    result = np.zeros(shape, np.float32)
    kinds = sorted({(groove.depth, groove.width) for groove in plan.grooves})
    tolerance = min((_coarsest(plan.job.bit, *kind) for kind in kinds), default=_COARSEST)
    for depth, width in kinds:
        strokes = [shapes[g.stroke] for g in plan.grooves if (g.depth, g.width) == (depth, width)]
        distance = distance_map(polylines(strokes, tolerance), width / 2, shape, px_per_mm=px_per_mm)
        inside = np.isfinite(distance)
        cut = section(plan.job.bit, depth, width, distance[inside])
        result[inside] = np.maximum(result[inside], cut)
    return result


def _coarsest(bit: Bit, depth: float, width: float) -> float:
    """Return how far (mm) a polyline may lie off its stroke: less where the wall is steep near the face."""
    near = width / 2 - _COARSEST * np.array([2.0, 1.0])
    low, high = bit.height_at(np.maximum(near, 0.0))
    steep = (min(float(high), depth) - min(float(low), depth)) / _COARSEST
    return min(_COARSEST, _DEPTH_ERROR / max(steep, 1e-9))


def polylines(strokes: Iterable[Stroke], tolerance: float) -> list[Array]:
    """Return each stroke as points (m, 2) within `tolerance`, both in its own frame, wood mm here."""
    return flatten_all([stroke.curves for stroke in strokes], tolerance)


def part_holding(mask: Mask, about: int) -> tuple[slice, slice]:
    """Return the rows and columns that hold all of a mask, which is not empty, and `about` pixels more."""
    rows, columns = (np.flatnonzero(mask.any(axis=axis)) for axis in (1, 0))
    down, right = (slice(max(0, int(own[0]) - about), int(own[-1]) + about + 1) for own in (rows, columns))
    return down, right


def section(bit: Bit, depth: float, width: float, distance: Map) -> Map:
    """Return the depth (mm) that the bit leaves at each `distance` (mm) from the stroke's middle."""
    inside = distance <= width / 2
    result = np.zeros(distance.shape, np.float32)
    result[inside] = np.maximum(0.0, depth - bit.height_at(distance[inside].astype(np.float64)))
    return result
