"""Stems in pieces: straight ones exactly straight, the bows between them as samples."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier, polyline
from tracer.geometry.fit import fit_cubics
from tracer.middles.stems import SPACING, smoothed, tangents

Array = NDArray[np.float64]

STRAIGHT = 8e-4
"""Capital heights that the samples of a straight stem stray from it at the most: 0.04 mm of 50."""

LONG = 0.15
"""Capital heights that a straight part of a bowed stem is long at the least."""

TOLERANCE = 6e-4
"""Capital heights from the samples of a bow to its cubics."""

_EVERY = 3
"""Samples between those at which straights are looked for to begin."""


@dataclass(frozen=True, eq=False)
class Piece:
    """Points of a straight line (two) or samples of a bow."""

    points: Array
    straight: bool


def pieces_of(points: Array, cap: float) -> list[Piece]:
    """Return a stem's samples (m, 2), `SPACING` apart, as straights and bows, end to end."""
    if _stray(points) <= STRAIGHT * cap:
        return [Piece(_line(points), straight=True)]
    found = _longest(points, STRAIGHT * cap, LONG * cap / SPACING)
    if found is None:
        return [Piece(points, straight=False)]
    a, b = found
    line = _line(points[a : b + 1])
    before = pieces_of(points[: a + 1], cap) if a >= 2 else []
    after = pieces_of(points[b:], cap) if b <= len(points) - 3 else []
    return [*_ending(before, line[0]), Piece(line, straight=True), *_beginning(after, line[1])]


def end_of(pieces: list[Piece], end: int, reach: int) -> tuple[Array, Array]:
    """Return the point (2,) at an end, 0 or 1, and the unit direction (2,) in which it leads out."""
    points = pieces[-1 if end else 0].points
    if not end:
        points = points[::-1]
    if pieces[-1 if end else 0].straight:
        way = points[-1] - points[0]
    else:
        near = points[-min(len(points), reach + 1) :]
        u = np.arange(len(near)) - (len(near) - 1.0)
        way = np.array([np.polyfit(u, near[:, k], min(2, len(near) - 1))[-2] for k in (0, 1)])
    return points[-1], way / np.hypot(*way)


def cubics_of(pieces: list[Piece], cap: float) -> Array:
    """Return the chain (n, 4, 2) of pieces end to end; a bow leaves a straight along it."""
    chain = []
    for k, piece in enumerate(pieces):
        if piece.straight or len(piece.points) < 3:
            chain.append(bezier.from_polyline(piece.points[[0, -1]]))
            continue
        points = polyline.resample(smoothed(piece.points, 1.5), 2.0)
        points[0], points[-1] = piece.points[0], piece.points[-1]
        directions = tangents(points, 2)
        for at, other, sign in ((0, k - 1, 1), (-1, k + 1, 1)):
            if 0 <= other < len(pieces) and pieces[other].straight:
                way = pieces[other].points[1] - pieces[other].points[0]
                if (way @ directions[at]) > 0.9 * np.hypot(*way):
                    directions[at] = sign * way / np.hypot(*way)
        chain.append(fit_cubics(points, directions, TOLERANCE * cap))
    return np.concatenate(chain)


def _line(points: Array) -> Array:
    """Return the ends (2, 2) of the straight line of least squares along points."""
    middle = points.mean(axis=0)
    way = np.linalg.svd(points - middle, full_matrices=False)[2][0]
    along = (points[[0, -1]] - middle) @ way
    return np.asarray(middle + along[:, None] * way)


def merged(one: Array, other: Array) -> Array:
    """Return the straight line (2, 2) through two others (2, 2) one after the other, by their lengths."""
    samples = [
        a + np.linspace(0, 1, max(2, round(np.hypot(*(b - a)))))[:, None] * (b - a) for a, b in (one, other)
    ]
    return _line(np.concatenate(samples))


def _stray(points: Array) -> float:
    """Return how far points stray from the straight line of least squares."""
    a, b = _line(points)
    way = (b - a) / max(float(np.hypot(*(b - a))), 1e-12)
    gap = points - a
    return float(np.abs(gap[:, 0] * way[1] - gap[:, 1] * way[0]).max())


def _longest(points: Array, tolerance: float, least: float) -> tuple[int, int] | None:
    """Return the first and last sample of the longest straight part, if it is long enough."""
    best = None
    most = int(least)
    for a in range(0, len(points) - most, _EVERY):
        if a + most >= len(points) or _stray(points[a : a + most + 1]) > tolerance:
            continue
        low, high = a + most, len(points) - 1
        while low < high:
            middle = (low + high + 1) // 2
            if _stray(points[a : middle + 1]) <= tolerance:
                low = middle
            else:
                high = middle - 1
        best, most = (a, low), max(most, low - a + 1)
    return best


def _ending(pieces: list[Piece], point: Array) -> list[Piece]:
    """Return pieces whose last point is moved."""
    if pieces:
        points = pieces[-1].points.copy()
        points[-1] = point
        pieces[-1] = Piece(points, pieces[-1].straight)
    return pieces


def _beginning(pieces: list[Piece], point: Array) -> list[Piece]:
    """Return pieces whose first point is moved."""
    if pieces:
        points = pieces[0].points.copy()
        points[0] = point
        pieces[0] = Piece(points, pieces[0].straight)
    return pieces
