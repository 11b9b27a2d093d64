"""The carved face as a map of depths: what this bit's section leaves along the planned strokes."""

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.flatten import flatten
from tracer.model.drawing import Stroke
from tracer.model.plan import Plan
from tracer.shop.bits import Bit

Array = NDArray[np.float64]
Map = NDArray[np.float32]

_DEPTH_ERROR = 0.03  # mm of depth that the strokes' polylines may cost
_COARSEST = 0.02  # mm between a stroke and its polyline, however flat the bit's sides
_AT_ONCE = 2_000_000  # distances computed together: bounds memory to about 100 MB


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
    tolerance = min(_COARSEST, _DEPTH_ERROR * math.tan(plan.job.bit.section.side) or _COARSEST / 4)
    result = np.zeros(shape, np.float32)
    for depth, width in sorted({(groove.depth, groove.width) for groove in plan.grooves}):
        strokes = [shapes[g.stroke] for g in plan.grooves if (g.depth, g.width) == (depth, width)]
        lines = polylines(strokes, tolerance)
        distance = distance_map(lines, width / 2, shape, px_per_mm=px_per_mm)
        np.maximum(result, section(plan.job.bit, depth, width, distance), out=result)
    return result


def polylines(strokes: Iterable[Stroke], tolerance: float) -> list[Array]:
    """Return each stroke as points (m, 2) within `tolerance`, both in its own frame, wood mm here."""
    return [flatten(stroke.curves, tolerance) for stroke in strokes]


def section(bit: Bit, depth: float, width: float, distance: Map) -> Map:
    """Return the depth (mm) that the bit leaves at each `distance` (mm) from the stroke's middle."""
    inside = distance <= width / 2
    result = np.zeros(distance.shape, np.float32)
    result[inside] = np.maximum(0.0, depth - bit.height_at(distance[inside].astype(np.float64)))
    return result


def distance_map(lines: Iterable[Array], reach: float, shape: tuple[int, int], *, px_per_mm: float) -> Map:
    """Return the distance (H, W) float32 in mm from each pixel's centre to the nearest polyline.

    `lines` are points (m, 2) in mm; pixels farther than `reach` mm hold infinity. Distances
    are to the segments themselves, so the answer does not hang on the size of a pixel.
    """
    far = reach * px_per_mm
    segments = _segments(lines, px_per_mm, longest=max(2 * far, 2.0))
    squared = np.full(shape[0] * shape[1], np.inf, np.float32)
    side = 2 * _half_box(far) + 1
    step = max(1, _AT_ONCE // side**2)
    for first in range(0, len(segments), step):
        _lower(squared, segments[first : first + step], far, shape)
    return (np.sqrt(squared) / px_per_mm).reshape(shape).astype(np.float32)


def _segments(lines: Iterable[Array], px_per_mm: float, *, longest: float) -> Array:
    """Return all segments (n, 2, 2) in pixels, cut so that none is longer than `longest` pixels."""
    pieces = [np.empty((0, 2, 2))]
    for line in lines:
        points = np.asarray(line, float) * px_per_mm
        start, way = points[:-1], np.diff(points, axis=0)
        count = np.maximum(1, np.ceil(np.hypot(way[:, 0], way[:, 1]) / longest)).astype(int)
        which = np.repeat(np.arange(len(way)), count)
        step = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
        near = start[which] + way[which] * (step / count[which])[:, None]
        pieces.append(np.stack([near, near + way[which] / count[which, None]], axis=1))
    return np.concatenate(pieces)


def _half_box(far: float) -> int:
    """Return half the side of a box of pixels that holds a segment and all within `far` pixels of it."""
    return int(np.ceil(far + max(far, 1.0))) + 1


def _lower(squared: Map, segments: Array, far: float, shape: tuple[int, int]) -> None:
    """Lower `squared` (H * W,) to the squared distance from `segments` (n, 2, 2), all in pixels."""
    half = _half_box(far)
    middle = np.floor(segments.mean(axis=1)).astype(np.int64)
    box = np.arange(-half, half + 1)
    x, y = middle[:, :1] + box, middle[:, 1:] + box
    start, way = segments[:, 0], segments[:, 1] - segments[:, 0]
    dx = (x + 0.5 - start[:, :1]).astype(np.float32)[:, None, :]
    dy = (y + 0.5 - start[:, 1:]).astype(np.float32)[:, :, None]
    wx, wy = (way[:, i].astype(np.float32)[:, None, None] for i in (0, 1))
    along = np.clip((dx * wx + dy * wy) / np.maximum(wx * wx + wy * wy, 1e-12), 0, 1)
    distance = (dx - along * wx) ** 2 + (dy - along * wy) ** 2
    rows, columns = shape
    inside = ((x >= 0) & (x < columns))[:, None, :] & ((y >= 0) & (y < rows))[:, :, None]
    inside &= distance <= far * far
    place = y[:, :, None] * columns + x[:, None, :]
    np.minimum.at(squared, place[inside], distance[inside])
