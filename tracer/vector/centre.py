"""Centres and widths of lines to a fraction of a pixel, from the two edges of the ink."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.bundle import Bundle, bundled, evenly, smoothed
from tracer.vector.network import LOOP, Branch
from tracer.vector.prune import depth_at
from tracer.vector.samples import SPACING, Samples

Array = NDArray[np.float64]
Index = NDArray[np.intp]

STEP = 0.5
"""Spacing in pixels of the darkness of the grey profile across a line."""

WIDTH = 0.06, 0.35
"""A sample is clean if its width is usual to within this part of it and so many ink pixels."""

STEEP = 0.12
"""A width that changes by more than this from pixel to pixel is that of lines running together."""

STEADY = 0.6
"""Part of a branch's samples that have its usual width if it does not swell."""

LONG = 3.0
"""Line widths that a branch must be long for its width to count as swelling."""

_REACH = 2
"""Samples to each side over which the change of the width is measured."""

NEARER = 0.6
"""Part of the way to the farthest place within which most edges lie, and are looked for first."""

_AROUND = 4
"""Steps to each side of an edge over which its ink is weighed: two pixels of the darkness."""

SHARP, STEP_DOWN = 0.85, 0.6
"""Part of its fall that a sharp edge makes within two pixels, and the least fall, of full darkness."""

PALE = 0.1
"""Part of full darkness that a point on ink may be paler than the ink's edge: the sampling's own error."""

_LOT = 2000
"""Profiles that are looked at together: so many stay in the processor's cache."""

_SLICE = 30_000
"""Places a call of the sampler takes in one row, its fastest form: it addresses no more than 32 767."""


def refined(ink: Ink, branches: Sequence[Branch]) -> list[Samples]:
    """Return the samples of each branch, moved to the middle between the two edges of its ink.

    The edge is where the darkness across the smoothed skeleton first falls to the
    ink's level, by linear interpolation; the centre is the middle of the two, the
    width their distance. Where an edge is missing (inside junctions), or the width
    is not what is usual round about, the sample keeps its place on the smoothed
    skeleton, has the usual width and is marked as not clean.
    """
    if not branches:
        return []
    pixels = bundled([branch.points for branch in branches], [branch.a == LOOP for branch in branches])
    rough = evenly(smoothed(pixels, max(1.5, 0.18 * ink.line_width)), SPACING)
    reach = max(2, round(0.2 * ink.line_width))
    normals = rough.normals(reach)
    depth = depth_at(ink.radius, rough.points)
    left, right = (_edge_distances(ink, rough.points, side * normals, depth) for side in (-1.0, 1.0))
    return _settled(rough, normals, left, right, depth)


def sample(ink: Ink, x: Array, y: Array) -> NDArray[np.float32]:
    """Return the darkness, 0 to 1, at the places x, y (m, k) in ink pixels by bilinear interpolation."""
    across, down = ((v.reshape(1, -1) * ink.grain - 0.5).astype(np.float32) for v in (x, y))
    parts = [
        cv2.remap(
            ink.darkness,
            across[:, k : k + _SLICE],
            down[:, k : k + _SLICE],
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
        for k in range(0, x.size, _SLICE)
    ]
    dark: NDArray[np.float32] = np.concatenate(parts, axis=1).reshape(x.shape) / np.float32(255)
    return dark


def on_ink(ink: Ink, points: Array) -> NDArray[np.bool_]:
    """Say which points (m, 2) lie on ink, by a tenth of full darkness to spare for the sampling."""
    dark: NDArray[np.bool_] = sample(ink, points[:, :1], points[:, 1:])[:, 0] >= ink.level - PALE
    return dark


def edge_distance(ink: Ink, points: Array, rays: Array, farthest: float) -> Array:
    """Return the distance (m,) from `points` (m, 2) along unit `rays` (m, 2) to the edge of the ink.

    nan where the point lies on paper or there is no edge within `farthest`.
    """
    found = np.full(len(points), np.nan)
    left = np.arange(len(points))
    for part in (NEARER, 1.0):
        lots = [left[k : k + _LOT] for k in range(0, len(left), _LOT)]
        further = []
        for lot in lots:
            found[lot], open_yet = _nearest_edge(ink, points[lot], rays[lot], part * farthest)
            further.append(lot[open_yet])
        left = np.concatenate([np.zeros(0, np.intp), *further])
    return found


def _nearest_edge(ink: Ink, points: Array, rays: Array, farthest: float) -> tuple[Array, NDArray[np.bool_]]:
    """Return the edge distances of some points, see `edge_distance`, and which may change further out."""
    step = STEP / ink.grain
    along = np.arange(0.0, farthest + step, step)
    values = sample(ink, points[:, :1] + rays[:, :1] * along, points[:, 1:] + rays[:, 1:] * along)
    out = values < ink.level
    first = out.argmax(axis=1)
    rows = np.arange(len(points))
    before, after = values[rows, np.maximum(first - 1, 0)], values[rows, first]
    fraction = (before - ink.level) / np.maximum(before - after, 1e-6)
    crossing = first - 1 + fraction
    found = np.where(first > 0, _balanced(values, first, crossing) * step, np.nan)
    return found, ~out[:, 0] & ((first == 0) | (first + _AROUND >= len(along)))


def _balanced(values: NDArray[np.float32], first: Index, crossing: Array) -> Array:
    """Return where a step from ink to paper has as much ink as the profile round its crossing, in steps.

    At a sharp edge a crossing by linear interpolation depends on where the pixels happen
    to lie, the amount of ink does not. Where the edge is blurred the crossing stands.
    """
    around = first[:, None] + np.arange(-_AROUND, _AROUND + 1)
    inside = (around[:, 0] >= 0) & (around[:, -1] < values.shape[1])
    near = np.take_along_axis(values, np.clip(around, 0, values.shape[1] - 1), axis=1).astype(np.float64)
    dark, pale = near[:, :2].mean(axis=1), near[:, -2:].mean(axis=1)
    sharp = near[:, _AROUND - 2] - near[:, _AROUND + 2] > SHARP * (dark - pale)
    level = inside & sharp & (dark - pale > STEP_DOWN)
    ink = ((near - pale[:, None]) / np.maximum(dark - pale, 1e-3)[:, None]).sum(axis=1)
    balanced = first - _AROUND + ink - 0.5
    return np.where(level & (np.abs(balanced - crossing) < 1), balanced, crossing)


def _edge_distances(ink: Ink, points: Array, rays: Array, depth: Array) -> Array:
    """Return edge distances, looking about twice as far as the ink is deep where most of it lies."""
    return edge_distance(ink, points, rays, 2 * float(np.percentile(depth, 98)) + 3)


def _settled(rough: Bundle, normals: Array, left: Array, right: Array, depth: Array) -> list[Samples]:
    """Move samples to the middle of their edges where both were seen."""
    width, shift = left + right, (right - left) / 2
    seen = np.isfinite(width)
    filled = np.where(seen, width, 2 * depth)
    usual, swells = _usual(rough, filled)
    clean = seen & (np.abs(width - usual) < (1 + swells) * (WIDTH[0] * usual + WIDTH[1]))
    slope = (filled[rough.beside(_REACH)] - filled[rough.beside(-_REACH)]) / (2 * _REACH)
    clean &= (np.abs(slope) < (1 + swells) * STEEP) & (np.abs(shift) < 0.5 * usual)
    moved = rough.points + np.where(clean, shift, 0.0)[:, None] * normals
    parts = (rough.split(column) for column in (moved, np.where(clean, width, usual), clean))
    return [_samples(*columns, closed=bool(c)) for *columns, c in zip(*parts, rough.closed, strict=True)]


def _samples(points: Array, widths: Array, clean: NDArray[np.bool_], *, closed: bool) -> Samples:
    """Return one branch's samples; a closed one repeats its first at its end."""
    if closed:
        points, widths, clean = (np.concatenate([column, column[:1]]) for column in (points, widths, clean))
    return Samples(points, widths, clean, closed)


def _usual(rough: Bundle, widths: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Return the width (n,) that is usual round about, and where it swells.

    The first is a branch's median; where it swells, a local one.
    """
    median = rough.medians(widths)
    usual = median[rough.owner]
    like = np.abs(widths - usual) < WIDTH[0] * usual + WIDTH[1]
    swells = np.add.reduceat(like, rough.begins) < STEADY * rough.sizes
    for k in np.flatnonzero(swells):
        part = slice(rough.begins[k], rough.begins[k] + rough.sizes[k])
        usual[part] = _local_median(widths[part], 6 * median[k])
    return usual, (swells & (rough.sizes * SPACING > LONG * median))[rough.owner]


def _local_median(values: Array, window: float) -> Array:
    """Return the median (m,) of `values` (m,) within a window of that many samples, whole up to the ends."""
    reach = min(int(window / 2), (len(values) - 1) // 2)
    inner: Array = np.median(np.lib.stride_tricks.sliding_window_view(values, 2 * reach + 1), axis=1)
    return np.pad(inner, reach, mode="edge")
