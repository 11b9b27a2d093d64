"""Stems: stretches of the skeleton with an edge on either side that runs along with it.

There the middle is known exactly, half way from edge to edge. What lies between stems are corners, junctions
and ends.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.middles.glyph_ink import GlyphInk
from tracer.vector.prune import depth_at

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

ALONG = np.cos(np.radians(22.0))
"""Edges that run along with a stem turn from it by no more than this."""

LEAST = 5
"""Samples of a stretch in which a stem is looked for."""

ROUND = 0.88
"""Part of half the width that the inscribed disc's radius has at the least in a stem."""

SHORTEST = 0.5
"""Widths of itself that a stem is long at the least."""

SPACING = 2.0
"""Pixels from sample to sample."""

_PASSES = 2
"""Times that the samples are put half way from edge to edge."""

_TRIM = 1
"""Samples left out where a stem goes over into something else."""

_HOLE = 2
"""Samples missing that a stem bears."""


@dataclass(frozen=True, eq=False)
class Followed:
    """A branch of the skeleton: samples (m, 2), and which of them [first, last] make stems."""

    points: Array
    half: Array
    stems: list[tuple[int, int]]
    ring: bool


def followed(pixels: Array, ink: GlyphInk, *, ring: bool) -> Followed:
    """Return a branch of pixels (m, 2) with its stems, their samples half way from edge to edge."""
    rough = pixels if not ring else np.concatenate([pixels, pixels[:1]])
    width = 2 * float(np.median(depth_at(ink.radius, rough)))
    if len(rough) < 2 * LEAST:
        return Followed(rough, depth_at(ink.radius, rough), [], ring=False)
    points = polyline.resample(smoothed(rough, max(1.5, 0.15 * width)), SPACING)
    points = points[:-1] if ring else points
    half, good = np.zeros(0), np.zeros(0, bool)
    for _ in range(_PASSES):
        points, half, good = _centred(points, ink, width, ring=ring)
    if ring and not good.all():
        first = int(np.argmin(good))
        points, half, good = (np.roll(x, -first, axis=0) for x in (points, half, good))
    return Followed(points, half, _runs(good, half), ring)


def _centred(points: Array, ink: GlyphInk, width: float, *, ring: bool) -> tuple[Array, Array, Flags]:
    """Return the samples put half way from edge to edge, half the width there, and which are a stem's."""
    reach = max(1, round(0.1 * width / SPACING))
    along = tangents(smoothed(points, max(1.0, 0.1 * width / SPACING), ring=ring), reach, ring=ring)
    normals = np.column_stack([-along[:, 1], along[:, 0]])
    (left, one), (right, other) = (ink.outline.across(points, side * normals) for side in (1.0, -1.0))
    seen = np.isfinite(left) & np.isfinite(right)
    shift, half = np.where(seen, left, 0) - np.where(seen, right, 0), np.where(seen, left + right, 1e9) / 2
    middle = points + normals * shift[:, None] / 2
    beside = np.minimum(np.abs((one * along).sum(axis=1)), np.abs((other * along).sum(axis=1))) >= ALONG
    good = seen & beside & (np.abs(shift) < half)
    good[good] = depth_at(ink.radius, middle[good]) >= ROUND * half[good]
    points = np.where(good[:, None], middle, points)
    return points, np.where(good, half, depth_at(ink.radius, points)), good


def _runs(good: Flags, half: Array) -> list[tuple[int, int]]:
    """Return the first and last samples of stems."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(int)))
    runs: list[tuple[int, int]] = []
    for a, b in zip(edges[::2].tolist(), (edges[1::2] - 1).tolist(), strict=True):
        if runs and a - runs[-1][1] <= _HOLE:
            runs[-1] = runs[-1][0], b
        else:
            runs.append((a, b))
    trimmed = [(a + (_TRIM if a else 0), b - (_TRIM if b < len(good) - 1 else 0)) for a, b in runs]
    return [
        (a, b)
        for a, b in trimmed
        if b > a + 1 and (b - a) * SPACING >= SHORTEST * 2 * float(np.median(half[a : b + 1]))
    ]


def tangents(points: Array, reach: int, *, ring: bool = False) -> Array:
    """Return the unit directions (m, 2) of a polyline, over `reach` points to each side."""
    if ring:
        ahead, behind = np.roll(points, -reach, axis=0), np.roll(points, reach, axis=0)
    else:
        index = np.arange(len(points))
        ahead, behind = (
            points[np.minimum(index + reach, len(points) - 1)],
            points[np.maximum(index - reach, 0)],
        )
    way = ahead - behind
    return np.asarray(way / np.maximum(np.hypot(*way.T), 1e-12)[:, None])


def smoothed(points: Array, sigma: float, *, ring: bool = False) -> Array:
    """Return the polyline smoothed; the ends of an open one stay."""
    reach = min(int(3 * sigma) + 1, len(points) - 1)
    if reach < 1:
        return points
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    if ring:
        wide = np.concatenate([points[-reach:], points, points[:reach]])
    else:
        before, after = 2 * points[0] - points[reach:0:-1], 2 * points[-1] - points[-2 : -reach - 2 : -1]
        wide = np.concatenate([before, points, after])
    return np.column_stack([np.convolve(wide[:, k], weights / weights.sum(), "valid") for k in (0, 1)])
