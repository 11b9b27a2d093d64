"""Centres and widths of lines to a fraction of a pixel, from the two edges of the ink."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.network import LOOP, Branch
from tracer.vector.prune import depth_at
from tracer.vector.samples import Samples, directions, evenly, smoothed

Array = NDArray[np.float64]

STEP = 0.5
"""Spacing in pixels of the darkness of the grey profile across a line."""

WIDTH = 0.06, 0.35
"""A sample is clean if its width is usual to within this part of it and so many ink pixels."""

STEEP = 0.12
"""A width that changes by more than this from pixel to pixel is that of two lines running into one another."""

_SLICE = 30_000
"""Rows a call of the sampler takes: it addresses no more than 32 767."""


def refined(ink: Ink, branches: Sequence[Branch]) -> list[Samples]:
    """Return the samples of each branch, moved to the middle between the two edges of its ink.

    The edge is where the darkness across the smoothed skeleton first falls to the
    ink's level, by linear interpolation; the centre is the middle of the two, the
    width their distance. Where an edge is missing (inside junctions), or the width
    is not what is usual round about, the sample keeps its place on the smoothed
    skeleton, has the usual width and is marked as not clean.
    """
    rough = [_rough(branch, ink.line_width) for branch in branches]
    if not rough:
        return []
    closed = [branch.a == LOOP for branch in branches]
    reach = max(2, round(0.2 * ink.line_width))
    points = np.concatenate(rough)
    tangents = np.concatenate([directions(p, reach, closed=c) for p, c in zip(rough, closed, strict=True)])
    normals = np.column_stack([-tangents[:, 1], tangents[:, 0]])
    depth = depth_at(ink.radius, points)
    left, right = (_edge_distances(ink, points, side * normals, depth) for side in (-1.0, 1.0))
    ends = np.cumsum([len(p) for p in rough])[:-1]
    parts = (np.split(column, ends) for column in (points, normals, left, right, depth))
    return [_settled(*columns, closed=c) for *columns, c in zip(*parts, closed, strict=True)]


def sample(ink: Ink, x: Array, y: Array) -> NDArray[np.float32]:
    """Return the darkness, 0 to 1, at the places x, y (m, k) in ink pixels by bilinear interpolation."""
    parts = [
        cv2.remap(
            ink.darkness,
            (x[k : k + _SLICE] * ink.grain - 0.5).astype(np.float32),
            (y[k : k + _SLICE] * ink.grain - 0.5).astype(np.float32),
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
        for k in range(0, len(x), _SLICE)
    ]
    return np.concatenate(parts).astype(np.float32) / np.float32(255)


def edge_distance(ink: Ink, points: Array, rays: Array, farthest: float) -> Array:
    """Return the distance (m,) from `points` (m, 2) along unit `rays` (m, 2) to the edge of the ink.

    nan where the point lies on paper or there is no edge within `farthest`.
    """
    step = STEP / ink.grain
    along = np.arange(0.0, farthest + step, step)
    values = sample(
        ink, points[:, :1] + rays[:, :1] * along, points[:, 1:] + rays[:, 1:] * along
    )
    out = values < ink.level
    first = out.argmax(axis=1)
    rows = np.arange(len(points))
    before, after = values[rows, np.maximum(first - 1, 0)], values[rows, first]
    fraction = (before - ink.level) / np.maximum(before - after, 1e-6)
    return np.where(first > 0, (first - 1 + fraction) * step, np.nan)


def _rough(branch: Branch, line_width: float) -> Array:
    """Return a branch's pixels smoothed and evenly spaced."""
    closed = branch.a == LOOP
    points = np.concatenate([branch.points, branch.points[:1]]) if closed else branch.points
    return evenly(smoothed(points, max(1.5, 0.18 * line_width), closed=closed))


def _edge_distances(ink: Ink, points: Array, rays: Array, depth: Array) -> Array:
    """Return edge distances, looking about twice as far as the ink is deep where most of it lies."""
    return edge_distance(ink, points, rays, 2 * float(np.percentile(depth, 98)) + 3)


def _settled(
    points: Array, normals: Array, left: Array, right: Array, depth: Array, *, closed: bool
) -> Samples:
    """Move one branch's samples to the middle of their edges where both were seen."""
    width, shift = left + right, (right - left) / 2
    seen = np.isfinite(width)
    filled = np.where(seen, width, 2 * depth)
    usual = _local_median(filled, 6 * float(np.median(filled)))
    clean = seen & (np.abs(width - usual) < WIDTH[0] * usual + WIDTH[1]) & (np.abs(shift) < 0.5 * usual)
    clean &= np.abs(_slope(filled, closed=closed)) < STEEP
    moved = points + np.where(clean, shift, 0.0)[:, None] * normals
    if closed:
        moved[-1] = moved[0]
    return Samples(moved, np.where(clean, width, usual), clean, closed)


def _slope(values: Array, *, closed: bool) -> Array:
    """Return the change (m,) of `values` (m,) from sample to sample, over two to each side."""
    reach = 2
    wide = np.pad(values[:-1] if closed else values, reach, mode="wrap" if closed else "edge")
    slope: Array = (wide[2 * reach :] - wide[: -2 * reach]) / (2 * reach)
    return np.append(slope, slope[0]) if closed else slope


def _local_median(values: Array, window: float) -> Array:
    """Return the median (m,) of `values` (m,) within a window of that many samples, whole up to the ends."""
    from scipy.ndimage import median_filter

    reach = min(int(window / 2), (len(values) - 1) // 2)
    local: Array = median_filter(values, size=2 * reach + 1, mode="nearest")
    local[:reach], local[len(local) - reach :] = local[reach], local[-reach - 1]
    return local
