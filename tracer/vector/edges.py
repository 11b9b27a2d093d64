"""Edges of solids, to a fraction of a pixel."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector import bundle
from tracer.vector.bundle import Bundle, bundled
from tracer.vector.centre import sample
from tracer.vector.samples import Samples, directions, evenly, smoothed

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

WITHIN = 3.0
"""Ink pixels to either side of the mask's border within which the darkness is looked at."""

CLOSE = 1.0
"""Ink pixels within which nearly all edges lie."""

STEP = 0.5
"""Pixels of darkness from one look to the next."""

BORDER = 0.5
"""The border of a mask lies this many ink pixels outside its border pixels' centres."""

ROOT = 8.0
"""Line widths up to which the edge is drawn straight on over the root of a line."""

HOLE = 0.12
"""Squared line widths below which a hole is a flaw."""

_LOT = 4000
"""Samples whose edges are looked at together: their profiles stay in the processor's cache."""

_SHORTEST = 8
"""Border pixels below which an outline encloses nothing."""


@dataclass(frozen=True, eq=False)
class Outline:
    """The outline of one solid: samples of its outer edge, then of its holes."""

    outer: Samples
    inner: tuple[Samples, ...]


def outlines(ink: Ink) -> list[Outline]:
    """Return the outlines of all solids, where the darkness crosses the ink's level (ink pixels).

    Border pixels of the mask tell the way; each sample is then moved along its normal to
    the level. Where a line runs into a solid the edge goes on over its root. Holes smaller
    than HOLE are left out.
    """
    if not ink.solid.any():
        return []
    rings, tree = cv2.findContours(ink.solid.view(np.uint8), cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    least = HOLE * ink.line_width**2
    long = {k for k, ring in enumerate(rings) if len(ring) > _SHORTEST}
    outer = [k for k in sorted(long) if tree[0][k][3] < 0]
    inner: dict[int, list[int]] = {k: [] for k in outer}
    for k in sorted(long):
        if tree[0][k][3] in inner and cv2.contourArea(rings[k]) > least:
            inner[tree[0][k][3]].append(k)
    return [Outline(_edge(ink, rings[k]), tuple(_edge(ink, rings[hole]) for hole in inner[k])) for k in outer]


def _edge(ink: Ink, ring: NDArray[Any]) -> Samples:
    """Return the edge along a ring (m, 1, 2) of border pixels as cv2 lists them.

    Round solids and round holes alike it has the ink on the same hand.
    """
    way, normals = _border(ring)
    root = _on_line(ink, way + 2.0 * normals) | _on_line(ink, way + 1.2 * normals)
    out = _level_crossings(ink, way, normals)
    points = way + np.where(np.isfinite(out), out, BORDER)[:, None] * normals
    points = _over_roots(points[:-1], root[:-1], int(ROOT * ink.line_width))
    points = evenly(np.concatenate([points, points[:1]]))
    points = smoothed(points, 0.7, closed=True)
    return Samples(points, np.zeros(len(points)), np.ones(len(points), bool), closed=True)


def level_edges(ink: Ink, rings: Sequence[NDArray[Any]]) -> Bundle:
    """Return the edges of the ink along rings (k, 1, 2) of a mask's border pixels, all closed.

    Samples are about an ink pixel apart; the ink lies to the same hand of all.
    """
    way = _evenly(bundle.smoothed(_rings([ring[:, 0] + 0.5 for ring in rings]), 1.5))
    normals = way.normals(2)
    out = _level_crossings(ink, way.points, normals)
    points = way.points + np.where(np.isfinite(out), out, BORDER)[:, None] * normals
    return bundle.smoothed(_evenly(replace(way, points=points)), 0.7)


def _rings(points: Sequence[Array]) -> Bundle:
    """Return closed polylines (m, 2) as a Bundle."""
    return bundled(points, [True] * len(points))


def _evenly(rings: Bundle) -> Bundle:
    """Return closed polylines with points about an ink pixel apart."""
    return _rings([evenly(np.concatenate([ring, ring[:1]]))[:-1] for ring in rings.split(rings.points)])


def _border(ring: NDArray[Any]) -> tuple[Array, Array]:
    """Return samples (m, 2) along a ring of border pixels, its first repeated, and the normals to paper."""
    border = ring[:, 0] + 0.5
    way = evenly(smoothed(np.concatenate([border, border[:1]]), 1.5, closed=True))
    tangents = directions(way, 2, closed=True)
    return way, np.column_stack([-tangents[:, 1], tangents[:, 0]])


def _level_crossings(ink: Ink, points: Array, normals: Array) -> Array:
    """Return how far out (m,) the darkness falls through the level nearest to the mask's border, or nan.

    Most fall within a pixel of it: the others alone are looked at further out.
    """
    found = np.full(len(points), np.nan)
    for within in (CLOSE, WITHIN):
        left = np.flatnonzero(np.isnan(found))
        for k in range(0, len(left), _LOT):
            lot = left[k : k + _LOT]
            found[lot] = _falls(ink, points[lot], normals[lot], within)
    return found


def _falls(ink: Ink, points: Array, normals: Array, within: float) -> Array:
    """Return the level crossings nearest to the mask's border, nan where there is none `within` reach."""
    step = STEP / ink.grain
    along = BORDER + np.arange(-within, within + step / 2, step)
    x, y = (points[:, k, None] + normals[:, k, None] * along for k in (0, 1))
    values = sample(ink, x, y)
    before, after = values[:, :-1], values[:, 1:]
    falls = (before >= ink.level) & (after < ink.level)
    fraction = (before - ink.level) / np.maximum(before - after, 1e-6)
    places = along[:-1] + fraction * step
    away = np.where(falls, np.abs(places - BORDER), np.inf)
    best = away.argmin(axis=1)[:, None]
    found = np.take_along_axis(places, best, axis=1)[:, 0]
    return np.where(falls.any(axis=1), found, np.nan)


def _on_line(ink: Ink, points: Array) -> Flags:
    """Say which points (m, 2) lie on the ink of lines."""
    height, width = ink.line.shape
    x, y = np.floor(points).astype(int).T
    inside = (x >= 0) & (y >= 0) & (x < width) & (y < height)
    found: Flags = inside & ink.line[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)]
    return found


def _over_roots(points: Array, root: Flags, longest: int) -> Array:
    """Return a ring (m, 2) with each `root` of up to `longest` samples made a cubic between its sides."""
    m = len(points)
    if not root.any() or root.all():
        return points
    first = int(np.flatnonzero(~root)[0])
    points, root = np.roll(points, -first, axis=0), np.roll(root, -first)
    steps = np.diff(np.concatenate([[0], root.astype(int), [0]]))
    points = points.copy()
    for a, b in zip(np.flatnonzero(steps > 0).tolist(), np.flatnonzero(steps < 0).tolist(), strict=True):
        if b - a <= longest:
            places = np.arange(a - 2, b + 2)
            points[places % m] = _bridge(points, a - 3, b + 2, len(places))
    return points


def _bridge(points: Array, a: int, b: int, count: int) -> Array:
    """Return `count` points of the cubic from index `a` to `b` of a ring, in the directions it has there."""
    m = len(points)
    start, end = points[a % m], points[b % m]
    size = float(np.hypot(*(end - start)))
    into, out = start - points[(a - 4) % m], points[(b + 4) % m] - end
    into, out = (v * size / max(float(np.hypot(*v)), 1e-9) for v in (into, out))
    t = np.arange(1, count + 1)[:, None] / (count + 1)
    bridge: Array = (
        (1 + 2 * t) * (1 - t) ** 2 * start
        + t * (1 - t) ** 2 * into
        + t**2 * (3 - 2 * t) * end
        - t**2 * (1 - t) * out
    )
    return bridge
