"""A drawing against the ink of its picture, where nobody knows what was meant."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.drawing import Drawing

Array = NDArray[np.float64]
Mask = NDArray[np.uint8]

STEP = 0.5
"""Pixels between places along a stroke."""

SPARE = 1.0
"""Pixels that the redrawn ink may be wider than the ink."""

OUTSIDE = 0.6
"""Pixels beside the ink from which a line is off it."""

BESIDE = 1.0
"""Pixels from the ink's boundary from which an edge is off it."""

SOLID = 2.5
"""Typical half widths from which ink is deep: no line is to run there."""

LONG = 6.0
"""Deep ink longer than this many times its width is a thick line, not a solid."""

MOUTH = 10.0
"""Pixels from a line's end (and two typical half widths) within which an edge may cross ink."""

FAINT = 0.12
"""Part of the light that ink takes at least, however faint: a line on it is not off the ink."""

STUB = 1.5
"""Typical line widths under which a line is a stub."""

BLOB = 3
"""Pixels beyond which missed ink, more than a pixel wide, is a blob."""


@dataclass(frozen=True, eq=False)
class Trace:
    """One stroke: `points` (n, 2) art pixels, and its kind."""

    points: Array
    kind: Literal["line", "edge", "dot"]


@dataclass(frozen=True, eq=False)
class Explained:
    """What a drawing explains of the ink.

    Attributes
    ----------
    ink : share of the ink that strokes cover.
    blobs : pieces of ink not covered.
    deep, through_solids : share of the length of lines in deep ink, and in deep ink that is no thick line.
    off_ink, off_boundary : share of the length of lines beside the ink, of edges beside its boundary.
    stubs, strokes : how many.
    missed, faults : (H, W) ink not covered, (n, 2) places in art pixels of all other faults.
    """

    ink: float
    blobs: int
    deep: float
    through_solids: float
    off_ink: float
    off_boundary: float
    stubs: int
    strokes: int
    missed: Mask
    faults: Array


@dataclass(frozen=True, eq=False)
class PlainInk:
    """The ink as other eyes than the tracer's see it: masks (H, W), 0 or 1.

    Attributes
    ----------
    sure : what one threshold (Otsu 1979) takes for ink: it is to be explained.
    faint : lines too pale for that: strokes may run there.
    """

    sure: Mask
    faint: Mask


def ink_of(grey: Mask) -> PlainInk:
    """Return the ink of a picture (H, W), its light divided out by the brightest about."""
    tone = 255 - grey if np.median(grey) < 100 else grey
    height, width = tone.shape
    small = cv2.resize(tone, (max(1, width // 8), max(1, height // 8)), interpolation=cv2.INTER_AREA)
    reach = max(small.shape) // 6 | 1
    paper = cv2.blur(cv2.dilate(cv2.medianBlur(small, 3), np.ones((reach, reach), np.uint8)), (reach, reach))
    lit = tone / np.maximum(cv2.resize(paper, (width, height), interpolation=cv2.INTER_LINEAR), 1)
    flat = np.clip(255 * lit, 0, 255).astype(np.uint8)
    sure = cv2.threshold(flat, 0, 1, cv2.THRESH_BINARY_INV | cv2.THRESH_OTSU)[1].astype(np.uint8)
    pale = np.asarray(flat < 255 * (1 - FAINT), np.uint8)
    wide = 2 * round(4 * _half_width(sure, _depth(sure))) + 1
    areas = cv2.morphologyEx(pale & ~sure, cv2.MORPH_OPEN, np.ones((wide, wide), np.uint8))
    fringe = cv2.dilate(sure, np.ones((3, 3), np.uint8))
    return PlainInk(sure, pale & ~areas & ~fringe & 1)


def traces_of(drawing: Drawing) -> list[Trace]:
    """Return a Drawing's strokes."""
    return [Trace(s.curves[0, :1] if s.kind == "dot" else s.points(0.05), s.kind) for s in drawing.strokes]


def explained(ink: PlainInk, traces: Sequence[Trace]) -> Explained:
    """Return what the strokes explain of the ink."""
    depth = _depth(ink.sure)
    half = _half_width(ink.sure, depth)
    lines = [t.points for t in traces if t.kind == "line"]
    along = _joined([_places(points) for points in lines])
    rim = _joined([_places(t.points) for t in traces if t.kind == "edge"])
    missed = ink.sure & ~_redrawn(depth, traces)
    deep = _at(depth, along) > SOLID * half
    solid = deep & (_at(_solids(depth, SOLID * half), along) > 0)
    outside = _beside(ink.sure | ink.faint, along) > OUTSIDE
    astray = (_from_boundary(ink.sure, rim) > BESIDE) & ~_at_mouths(rim, lines, min(2 * half, MOUTH))
    return Explained(
        ink=1 - missed.sum() / max(ink.sure.sum(), 1),
        blobs=_blobs(missed),
        deep=_share(deep),
        through_solids=_share(solid),
        off_ink=_share(outside),
        off_boundary=_share(astray),
        stubs=sum(_length(points) < STUB * (2 * half - 1) for points in lines),
        strokes=len(traces),
        missed=missed,
        faults=np.concatenate([along[outside | solid], rim[astray]]),
    )


def _depth(ink: Mask) -> NDArray[np.float32]:
    """Return the distance (H, W) from each ink pixel to the nearest paper: 1 on a line one pixel wide."""
    return np.asarray(cv2.distanceTransform(ink, cv2.DIST_L2, cv2.DIST_MASK_PRECISE))


def _half_width(ink: Mask, depth: NDArray[np.float32]) -> float:
    """Return the typical half width of the ink's lines: the median depth along its plain skeleton."""
    from skimage.morphology import skeletonize

    along = depth[skeletonize(ink > 0)]
    return max(1.0, float(np.median(along))) if len(along) else 1.0


def _solids(depth: NDArray[np.float32], least: float) -> NDArray[np.float32]:
    """Return where ink (H, W) deeper than `least` is no thick line: it is under `LONG` widths long."""
    solid = np.zeros_like(depth)
    count, labels, stats, _ = cv2.connectedComponentsWithStats((depth > least).astype(np.uint8))
    for k in range(1, count):
        inside = labels == k
        over = float(depth[inside].max()) - least
        if stats[k, cv2.CC_STAT_AREA] < LONG * (2 * over + 1) ** 2:
            solid[inside] = 1
    return solid


def _at_mouths(places: Array, lines: Sequence[Array], reach: float) -> NDArray[np.bool_]:
    """Return which places on edges lie where a line ends: its ink hides the boundary there."""
    from scipy.spatial import cKDTree

    if not lines or not len(places):
        return np.zeros(len(places), bool)
    ends = np.concatenate([points[[0, -1]] for points in lines])
    return np.asarray(cKDTree(ends).query(places)[0] <= reach)


def _redrawn(depth: NDArray[np.float32], traces: Sequence[Trace]) -> Mask:
    """Return what strokes cover (H, W), 0 or 1: discs of the ink's own depth, edges filled even-odd."""
    drawn = np.zeros(depth.shape, np.uint8)
    rings = [_fixed(t.points) for t in traces if t.kind == "edge"]
    if rings:
        cv2.fillPoly(drawn, rings, 1, shift=4)
        drawn = cv2.dilate(drawn, np.ones((3, 3), np.uint8))
    places = _joined([_places(t.points) for t in traces if t.kind != "edge"])
    radii = np.maximum(_at(depth, places) - 0.5, 0) + SPARE
    for (x, y), r in zip(_fixed(places), np.round(radii * 16).astype(int), strict=True):
        cv2.circle(drawn, (int(x), int(y)), int(r), 1, -1, shift=4)
    return drawn


def _blobs(missed: Mask) -> int:
    """Return how many pieces of missed ink hold a block of 2 x 2 pixels and are longer than `BLOB`."""
    thick = cv2.morphologyEx(missed, cv2.MORPH_OPEN, np.ones((2, 2), np.uint8))
    shapes = cv2.findContours(missed, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)[0]
    count = 0
    for shape in shapes:
        x, y, w, h = cv2.boundingRect(shape)
        long = max(cv2.minAreaRect(shape)[1]) + 1 > BLOB
        count += bool(long and thick[y : y + h, x : x + w].any())
    return count


def _beside(ink: Mask, places: Array) -> Array:
    """Return how far places are from the nearest ink pixel's square, 0 within."""
    if not len(places) or not ink.any():
        return np.zeros(len(places))
    labels = cv2.distanceTransformWithLabels(
        1 - ink, cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL
    )[1]
    rows, columns = np.nonzero(ink)
    where = np.zeros((labels.max() + 1, 2))
    where[labels[rows, columns]] = np.column_stack([columns, rows]) + 0.5
    row, column = _cells(ink.shape, places)
    away = np.maximum(np.abs(places - where[labels[row, column]]) - 0.5, 0)
    return np.hypot(away[:, 0], away[:, 1])


def _from_boundary(ink: Mask, places: Array) -> Array:
    """Return how far places are from the boundary between ink and paper; the picture's rim is one too."""
    row, column = _cells(ink.shape, places)
    within = ink[row, column] > 0
    framed = np.pad(1 - ink, 1, constant_values=1)
    return np.where(within, _beside(framed, places + 1), _beside(ink, places))


def _places(points: Array) -> Array:
    """Return places (n, 2) about `STEP` apart along a polyline."""
    if len(points) < 2:
        return points
    size = np.hypot(*np.diff(points, axis=0).T)
    total = np.append(0, np.cumsum(size))
    wanted = np.linspace(0, total[-1], max(2, math.ceil(total[-1] / STEP) + 1))
    return np.column_stack([np.interp(wanted, total, points[:, k]) for k in (0, 1)])


def _length(points: Array) -> float:
    """Return a polyline's length."""
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _joined(places: Sequence[Array]) -> Array:
    """Return places one after the other."""
    return np.concatenate([np.zeros((0, 2)), *places])


def _cells(shape: tuple[int, ...], places: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return row and column of the pixel that holds each place, or of the nearest one."""
    whole = np.floor(places).astype(np.intp)
    return np.clip(whole[:, 1], 0, shape[0] - 1), np.clip(whole[:, 0], 0, shape[1] - 1)


def _at(depth: NDArray[np.float32], places: Array) -> Array:
    """Return the depth of ink at places, 0 off the ink."""
    return depth[_cells(depth.shape, places)].astype(float)


def _share(flags: NDArray[np.bool_]) -> float:
    """Return the share that is true, 0 of nothing."""
    return float(flags.mean()) if len(flags) else 0.0


def _fixed(points: Array) -> NDArray[np.int32]:
    """Return points in sixteenths of a pixel, counted from the middle of the first."""
    return np.round(16 * (points - 0.5)).astype(np.int32)
