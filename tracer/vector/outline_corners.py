"""Corners of the edges of solids: sharp again where a scan or a screen rounded them."""

import numpy as np
from numpy.typing import NDArray

from tracer.vector.samples import Samples

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

LEAST_TURN = np.radians(30)
"""Turn within the reach of a blur below which an edge has no corner."""

PLAIN = np.radians(42)
"""Turn from which on a corner may have another one next to it, at one side."""

SHARPER = 2.2
"""A corner turns this many times as much as the edge does to the sides of it; a bow does not."""

BLUR = 2.0
"""Art pixels to either side within which a scan or a screen rounds a corner."""

TIP = 0.4
"""Part of the reach that a blur takes off a tip at the most."""

LEAST_REACH = 3
"""Samples to either side that it takes to see a turn at all."""


def cornered(edge: Samples, zoom: float) -> tuple[Samples, list[int]]:
    """Return a closed edge with its corners made sharp, and their indices in order.

    `zoom` is ink pixels to an art pixel. At a corner both sides are prolonged as straight
    lines until they meet, but not far beyond the samples. The seam comes to lie between two corners.
    """
    reach = max(LEAST_REACH, round(BLUR * zoom))
    ring, places = _seamed(edge.points[:-1], _corners(edge.points[:-1], reach))
    parts: list[Array] = []
    corners: list[int] = []
    kept = 0
    for at in places:
        start, stop = at - reach + 1, at + reach
        if start < kept or stop > len(ring):
            continue
        meeting = _meeting(ring, at, reach)
        legs = ring[start:stop] if meeting is None else _legs(ring[start], meeting, ring[stop - 1])
        parts += [ring[kept:start], legs]
        corners.append(sum(map(len, parts)) - len(legs) + len(legs) // 2)
        kept = stop
    points = np.concatenate([*parts, ring[kept:], ring[:1]])
    return Samples(points, np.zeros(len(points)), np.ones(len(points), bool), closed=True), corners


def _seamed(ring: Array, corners: list[int]) -> tuple[Array, list[int]]:
    """Return a ring (m, 2) from the middle of the longest stretch between corners on, and its corners."""
    if not corners:
        return ring, corners
    gaps = np.diff([*corners, corners[0] + len(ring)])
    longest = int(gaps.argmax())
    seam = corners[longest] + int(gaps[longest]) // 2
    return np.roll(ring, -seam, axis=0), sorted((k - seam) % len(ring) for k in corners)


def _corners(ring: Array, reach: int) -> list[int]:
    """Return the samples (indices, in order) where a ring (m, 2) turns more than round about."""
    into, out = ring - np.roll(ring, reach, axis=0), np.roll(ring, -reach, axis=0) - ring
    turn = np.abs(np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1)))
    before, after = np.roll(turn, 2 * reach), np.roll(turn, -2 * reach)
    beside = np.where(turn > PLAIN, np.minimum(before, after), np.maximum(before, after))
    likely: Indices = np.flatnonzero((turn > LEAST_TURN) & (turn > SHARPER * beside))
    chosen: list[int] = []
    m = len(ring)
    for k in likely[np.argsort(-turn[likely], kind="stable")].tolist():
        if all(abs((k - other + m // 2) % m - m // 2) >= 2 * reach - 1 for other in chosen):
            chosen.append(k)
    return sorted(chosen)


def _meeting(ring: Array, at: int, reach: int) -> Array | None:
    """Return where the sides of a corner meet, no farther from sample `at` than a blur takes off it.

    None where they run nearly alongside.
    """
    away = np.arange(max(2, round(0.7 * reach)), round(2 * reach) + 1)
    (p, u), (q, v) = (_line(ring[(at + side * away) % len(ring)]) for side in (-1, 1))
    cross = u[0] * v[1] - u[1] * v[0]
    if abs(cross) < 0.2:
        return None
    point: Array = p + u * ((q - p)[0] * v[1] - (q - p)[1] * v[0]) / cross
    off = point - ring[at]
    tip: Array = ring[at] + off * min(1.0, TIP * reach / max(float(np.hypot(*off)), 1e-9))
    return tip


def _line(points: Array) -> tuple[Array, Array]:
    """Return the middle of points (m, 2) and the unit direction of the straight line nearest to them."""
    middle = points.mean(axis=0)
    direction: Array = np.linalg.svd(points - middle, full_matrices=False)[2][0]
    return middle, direction


def _legs(start: Array, corner: Array, end: Array) -> Array:
    """Return points about a sample apart from `start` to `corner` to `end`, as many on both legs."""
    count = max(2, round(max(np.hypot(*(corner - start)), np.hypot(*(end - corner)))))
    t = np.linspace(0, 1, count + 1)[:, None]
    return np.concatenate([start + t[:-1] * (corner - start), corner + t * (end - corner)])
