"""Solids of an SVG file: which edge lies in which, which are dots, and which as thin as lines."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.inside import Area, Inside
from tracer.model.drawing import Region, Stroke

Array = NDArray[np.float64]

WITHIN = 0.002
"""Art pixels within which edges are flattened to see which lies in which."""

DOT = 1.5
"""A filled circle up to this many typical line widths across is a dot."""

ROUND = 0.95
"""A ring is a circle where 4 pi area / length^2 is above this: 1 for a circle, .948 for an octagon."""

THIN = 0.02
"""Where no line is drawn, an area is as thin as one below this part of the figure's longer side."""

LONG = 20.0
"""An area is long where its edge is this many times its mean width; round a square it is 8."""


def nested(rings: Sequence[Array]) -> list[tuple[int, list[int]]]:
    """Return (outer, inner ones) by indices of rings that do not cross: every second one inward is a hole."""
    if not rings:
        return []
    points = np.array([bezier.points_at(ring, np.array([0.5]))[0] for ring in rings])
    point, around = Inside([Area((ring,)) for ring in rings], WITHIN).of(points)
    pairs = [(p, a) for p, a in zip(point.tolist(), around.tolist(), strict=True) if p != a]
    depth = np.bincount([p for p, _ in pairs], minlength=len(rings))
    inner: dict[int, list[int]] = {k: [] for k in range(len(rings)) if depth[k] % 2 == 0}
    for p, a in pairs:
        if depth[p] % 2 == 1 and depth[a] == depth[p] - 1:
            inner[a].append(p)
    return list(inner.items())


def line_width(strokes: Sequence[Stroke]) -> float:
    """Return the width that half of the lines' length exceeds, 0 where there is no line."""
    lines = sorted((s.width, s.length) for s in strokes if s.kind == "line" and s.width)
    if not lines:
        return 0.0
    along = np.cumsum([length for _, length in lines])
    return lines[int(np.searchsorted(along, along[-1] / 2))][0]


def dotted(strokes: Sequence[Stroke]) -> list[Stroke]:
    """Return the strokes with small filled circles as dots: one plunge, not a tour round a speck."""
    width = line_width(strokes)
    edges = [k for k, stroke in enumerate(strokes) if stroke.kind == "edge" and stroke.closed]
    solids = nested([strokes[k].curves for k in edges]) if width else []
    specks = {
        edges[outer] for outer, inner in solids if not inner and _is_speck(strokes[edges[outer]], width)
    }
    return [_dot(stroke) if k in specks else stroke for k, stroke in enumerate(strokes)]


def _is_speck(ring: Stroke, width: float) -> bool:
    """Say whether a ring is a circle not much wider than the lines."""
    area = area_of(ring.curves)
    return 4 * math.pi * area > ROUND * ring.length**2 and 2 * math.sqrt(area / math.pi) <= DOT * width


def _dot(ring: Stroke) -> Stroke:
    """Return the dot as wide as a ring is, at its middle."""
    x0, y0, x1, y1 = ring.bounds
    middle = bezier.dot(np.array([(x0 + x1) / 2, (y0 + y1) / 2]))
    across = np.array([2 * math.sqrt(area_of(ring.curves) / math.pi)])
    return replace(ring, curves=middle, closed=False, kind="dot", widths=across)


def thin_areas(strokes: Sequence[Stroke], regions: Sequence[Region], side: float) -> int:
    """Return how many solids are as thin as lines; `side` is the figure's longer side.

    The mean width of a long thin area is twice its area over the length of its edges.
    """
    edges = {stroke.number: stroke for stroke in strokes}
    most = DOT * line_width(strokes) or THIN * side
    count = 0
    for region in regions:
        length = sum(edges[n].length for n in (region.outer, *region.inner))
        area = area_of(edges[region.outer].curves) - sum(area_of(edges[n].curves) for n in region.inner)
        mean = 2 * area / length
        count += mean <= most and length >= LONG * mean
    return count


def area_of(ring: Array) -> float:
    """Return the area that a ring goes round, exactly, whichever way it runs.

    Of one cubic it is 3/20 of cross products of its points (Green's theorem).
    """
    a, b, c, d = (ring[:, k] - ring[0, 0] for k in range(4))

    def cross(p: Array, q: Array) -> Array:
        return np.asarray(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0])

    parts = (
        6 * cross(a, b) + 3 * cross(a, c) + cross(a, d) + 3 * cross(b, c) + 3 * cross(b, d) + 6 * cross(c, d)
    )
    return abs(float(parts.sum())) / 20
