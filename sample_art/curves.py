"""Cubic Bezier chains to draw with: through points, ellipses, splitting at covers, flattening.

A chain is an array (n, 4, 2): n cubics, each starting where the one before ended, in page mm
(x right, y down, origin at the page's top left) unless a figure says it draws in its own frame.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Chain = NDArray[np.float64]
Point = tuple[float, float]


def _read(text: str) -> tuple[list[Point], list[bool]]:
    points: list[Point] = []
    corners: list[bool] = []
    for word in text.split():
        corners.append(word.endswith("!"))
        x, y = word.rstrip("!").split(",")
        points.append((float(x), float(y)))
    return points, corners


def _hermite(points: NDArray[np.float64], slopes: NDArray[np.float64], knots: NDArray[np.float64]) -> Chain:
    reach = slopes[:-1] * (np.diff(knots)[:, None] / 3)
    back = slopes[1:] * (np.diff(knots)[:, None] / 3)
    return np.stack([points[:-1], points[:-1] + reach, points[1:] - back, points[1:]], axis=1)


def _inner_slopes(points: NDArray[np.float64], knots: NDArray[np.float64]) -> NDArray[np.float64]:
    step = np.diff(knots)[:, None]
    chord = np.diff(points, axis=0) / step
    slopes: NDArray[np.float64] = (chord[:-1] * step[1:] + chord[1:] * step[:-1]) / (step[:-1] + step[1:])
    return slopes


def through(points: Sequence[Point] | NDArray[np.float64], *, closed: bool = False) -> Chain:
    """Cubics through `points` (n, 2), tangents continuous: centripetal Catmull-Rom (Yuksel et al., 2011).

    Consecutive points must differ. Two points give a straight cubic. The end tangents are those of the
    parabola through the last three points.
    """
    place = np.asarray(points, dtype=np.float64)
    if closed:
        place = np.concatenate([place[-1:], place, place[:2]])
    knots = np.concatenate([[0.0], np.cumsum(np.sqrt(np.hypot(*np.diff(place, axis=0).T)))])
    if len(place) == 2:
        slope = (place[1] - place[0]) / knots[1]
        return _hermite(place, np.stack([slope, slope]), knots)
    inner = _inner_slopes(place, knots)
    if closed:
        return _hermite(place[1:-1], inner, knots[1:-1])
    chord = np.diff(place, axis=0) / np.diff(knots)[:, None]
    slopes = np.concatenate([[2 * chord[0] - inner[0]], inner, [2 * chord[-1] - inner[-1]]])
    return _hermite(place, slopes, knots)


def pen(text: str, *, closed: bool = False) -> Chain:
    """Chain through points written as "x,y x,y ..."; a "!" after a point makes it a corner.

    A closed chain joins its last point to its first, which may be written again at the end.
    """
    points, corners = _read(text)
    if closed and points[0] == points[-1]:
        points, corners = points[:-1], corners[:-1]
    if closed and not any(corners):
        return through(points, closed=True)
    if closed:
        first = corners.index(True)
        points = points[first:] + points[: first + 1]
        corners = [*corners[first:], *corners[: first + 1]]
    cuts = [0, *(i for i in range(1, len(points) - 1) if corners[i]), len(points) - 1]
    return np.concatenate([through(points[a : b + 1]) for a, b in pairwise(cuts)])


def arc(centre: Point, radii: Point, start_deg: float, end_deg: float, *, turn_deg: float = 0.0) -> Chain:
    """Elliptic arc from `start_deg` to `end_deg` (clockwise on the page, y down), at most 45 deg a cubic.

    The handle length 4/3 tan(angle/4) is the usual one (Goldapp, 1991): error below 1e-5 of the radius.
    """
    count = max(1, math.ceil(abs(end_deg - start_deg) / 45 - 1e-9))
    angles = np.radians(np.linspace(start_deg, end_deg, count + 1))
    handle = 4 / 3 * math.tan((angles[1] - angles[0]) / 4)
    spot = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    along = np.stack([-np.sin(angles), np.cos(angles)], axis=1) * handle
    unit = np.stack([spot[:-1], spot[:-1] + along[:-1], spot[1:] - along[1:], spot[1:]], axis=1)
    return placed(unit * np.asarray(radii), at=centre, turn_deg=turn_deg)


def ring(centre: Point, rx: float, ry: float | None = None, *, turn_deg: float = 0.0) -> Chain:
    """Whole ellipse (a circle without `ry`)."""
    chain = arc(centre, (rx, rx if ry is None else ry), 0.0, 360.0, turn_deg=turn_deg)
    chain[-1, 3] = chain[0, 0]
    return chain


def placed(
    chain: Chain, *, at: Point = (0.0, 0.0), turn_deg: float = 0.0, size: float = 1.0, flip: bool = False
) -> Chain:
    """`chain` mirrored left to right if `flip`, scaled, turned clockwise about the origin, moved to `at`."""
    angle = math.radians(turn_deg)
    cos, sin = math.cos(angle) * size, math.sin(angle) * size
    matrix = np.array([[cos, -sin], [sin, cos]])
    if flip:
        matrix = matrix @ np.diag([-1.0, 1.0])
    moved: Chain = chain @ matrix.T + np.asarray(at)
    return moved


def points_at(chain: Chain, parameters: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points (m, 2) at chain parameters in [0, n]: whole part the cubic, rest the place along it."""
    index = np.minimum(parameters.astype(int), len(chain) - 1)
    t = (parameters - index)[:, None]
    a, b, c, d = (chain[index, k] for k in range(4))
    s = 1 - t
    spots: NDArray[np.float64] = s**3 * a + 3 * s * s * t * b + 3 * s * t * t * c + t**3 * d
    return spots


def parameters(chain: Chain, step: float) -> NDArray[np.float64]:
    """Chain parameters no more than about `step` apart along the chain, both ends included."""
    spans = []
    for index, cubic in enumerate(chain):
        length = float(np.hypot(*np.diff(cubic, axis=0).T).sum())
        count = max(2, math.ceil(length / step))
        spans.append(index + np.arange(count) / count)
    return np.concatenate([*spans, [float(len(chain))]])


def flat(chain: Chain, step: float) -> NDArray[np.float64]:
    """Points (m, 2) along the chain, about `step` apart."""
    return points_at(chain, parameters(chain, step))


def cut(chain: Chain, start: float, end: float) -> Chain:
    """The part of the chain between two chain parameters, exact (de Casteljau)."""
    pieces = []
    for index in range(int(start), min(len(chain), math.ceil(end))):
        low, high = max(start - index, 0.0), min(end - index, 1.0)
        if high - low > 1e-9:
            pieces.append(_blossom(chain[index], low, high))
    return np.stack(pieces)


def _blossom(cubic: NDArray[np.float64], low: float, high: float) -> NDArray[np.float64]:
    def at(*values: float) -> NDArray[np.float64]:
        level = cubic
        for t in values:
            level = level[:-1] * (1 - t) + level[1:] * t
        spot: NDArray[np.float64] = level[0]
        return spot

    return np.stack([at(low, low, low), at(low, low, high), at(low, high, high), at(high, high, high)])
