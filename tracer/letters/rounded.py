"""Smooth cubics through the points of a coarse polyline: straights stay straight, bends get round.

Faces drawn as polylines on a coarse grid show facets when they are carved large. The curve meant lies within
half a step of the grid of each point, x and y alike; of all such curves the calmest is taken.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier

Array = NDArray[np.float64]

CORNER = np.radians(75.0)
"""A polyline that turns by more than this at a point has a corner there; bows of letters turn by less."""

STRAIGHT = 7.0
"""A side at least so long, in steps of the grid, is straight: a third of the capitals' height."""

CALM = 1.2
"""How much a calm curve counts against lying near to its points."""

_FINE = 8
"""Places to a side of the polyline on which the curve is sought."""

_FIRM = 1e6
"""Weight of what must hold, against one point."""

_OVERLAP = 6
"""Points by which a ring's curve runs on over its seam, so that none shows."""


def rounded(points: Array) -> Array:
    """Return cubics (n, 4, 2) along a polyline (m, 2), m >= 2, whose unit is the step of its grid.

    Its first and last points, corners and straight sides are kept as they are. A polyline that ends
    where it began without a corner goes on smoothly there.
    """
    ring = len(points) > 3 and np.array_equal(points[0], points[-1])
    sharp = _corners(points, ring=ring)
    if ring and not sharp[0]:
        points, sharp = _turned(points, sharp)
    chains = [
        _between_corners(points[a : b + 1], ring=ring and b - a == len(points) - 1 and not sharp[0])
        for a, b in pairwise([0, *(np.flatnonzero(sharp[1:-1]) + 1).tolist(), len(points) - 1])
    ]
    return np.concatenate(chains)


def _turns(points: Array, *, ring: bool) -> Array:
    """Return by how much the polyline turns at each point (m,), 0 at its ends unless it is a ring."""
    sides = np.diff(points, axis=0)
    angle = np.arctan2(sides[:, 1], sides[:, 0])
    inner = np.diff(angle)
    seam = angle[0] - angle[-1] if ring else 0.0
    turns = np.concatenate([[seam], inner, [seam]])
    return np.asarray((turns + np.pi) % (2 * np.pi) - np.pi)


def _corners(points: Array, *, ring: bool) -> NDArray[np.bool_]:
    """Say which points (m,) are corners."""
    corners: NDArray[np.bool_] = np.abs(_turns(points, ring=ring)) > CORNER
    return corners


def _turned(points: Array, sharp: NDArray[np.bool_]) -> tuple[Array, NDArray[np.bool_]]:
    """Return a ring begun at a corner or before a straight side, if it has any, and its corners."""
    sides = np.hypot(*np.diff(points, axis=0).T)
    first = int(sharp[:-1].argmax()) if sharp.any() else int((sides >= STRAIGHT).argmax())
    order = np.append(np.roll(np.arange(len(points) - 1), -first), first)
    return points[order], sharp[order]


def _between_corners(points: Array, *, ring: bool) -> Array:
    """Return the cubics of a stretch without corners: straight sides, and the bends between them."""
    long = np.hypot(*np.diff(points, axis=0).T) >= STRAIGHT
    if len(points) == 2 or long.all():
        return bezier.from_polyline(points)
    chains = []
    edges = np.flatnonzero(np.diff(long.astype(int))) + 1
    for a, b in pairwise([0, *edges.tolist(), len(long)]):
        stretch = points[a : b + 1]
        if long[a]:
            chains.append(bezier.from_polyline(stretch))
            continue
        before = points[a] - points[a - 1] if a else None
        after = points[b + 1] - points[b] if b < len(long) else None
        if ring and long.any():
            before = points[0] - points[-2] if not a and long[-1] else before
            after = points[1] - points[0] if b == len(long) and long[0] else after
        chains.append(_bend(stretch, before, after, ring=ring and not long.any()))
    return np.concatenate(chains)


def _bend(points: Array, before: Array | None, after: Array | None, *, ring: bool) -> Array:
    """Return the cubics of the calmest curve near the points, along `before` and `after` at its ends."""
    over = min(len(points) - 1, _OVERLAP) if ring else 0
    wide = np.concatenate([points[-1 - over : -1], points, points[1 : 1 + over]])
    along = _places(wide)
    curve = _calmest(wide, along, before, after)
    slopes = np.gradient(curve, along, axis=0, edge_order=2)
    own = _FINE * np.arange(over, over + len(points))
    curve, slopes, along = curve[own], slopes[own], along[own]
    if ring:
        curve[-1], slopes[-1] = curve[0], slopes[0]
    thirds = np.diff(along)[:, None] / 3
    start, end = curve[:-1], curve[1:]
    return np.stack([start, start + thirds * slopes[:-1], end - thirds * slopes[1:], end], axis=1)


def _places(points: Array) -> Array:
    """Return how far along the polyline (m, 2) lie the places (k,) at which its curve is sought."""
    sides = np.hypot(*np.diff(points, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(np.repeat(sides / _FINE, _FINE))])


def _calmest(points: Array, along: Array, before: Array | None, after: Array | None) -> Array:
    """Return the curve (k, 2) at places `along` (k,) that bends most evenly near the points (m, 2).

    Least squares of its distances from the points and of its third derivative. Its ends are held, and
    its directions where it leaves a straight side `before` it or comes to one `after` it.
    """
    count, own = len(along), np.arange(len(points)) * _FINE
    third = CALM * _third_derivatives(along)
    normal, right = third.T @ third, np.zeros((count, 2))
    weight = np.ones(len(points))
    weight[[0, -1]] = _FIRM
    normal[own, own] += weight
    right[own] = weight[:, None] * points
    for side, places in ((before, [0, 1, 2]), (after, [count - 1, count - 2, count - 3])):
        if side is not None:
            step = along[places[1]] - along[places[0]]
            slope = np.array([-1.5, 2.0, -0.5]) / step
            normal[np.ix_(places, places)] += _FIRM * np.outer(slope, slope)
            right[places] += _FIRM * slope[:, None] * side / np.hypot(*side)
    curve = np.asarray(np.linalg.solve(normal, right), np.float64)
    curve[[0, -1]] = points[[0, -1]]
    return curve


def _third_derivatives(along: Array) -> Array:
    """Return the rows (k - 3, k) of third derivatives between `along` (k,), times the roots of shares."""
    rows = np.eye(len(along))
    for order in range(1, 4):
        rows = order * np.diff(rows, axis=0) / (along[order:] - along[:-order])[:, None]
    return np.asarray(np.sqrt((along[3:] - along[:-3]) / 3)[:, None] * rows)
