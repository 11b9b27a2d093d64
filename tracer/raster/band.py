"""Lines as wide as their pen between edges sound only in part: where one bulges the other one counts."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_NEAR, _WAVERS = 0.05, 0.06
"""Pens that an edge is off, and that it wavers, and still counts half: wax wavers more than a pen does."""

_STIFF = 0.9
"""Pens over which a line is straightened where its edges say nothing."""

_ROUNDS = 4
"""Times that the edges are weighed by how far they are off."""

_FAINT = 1e-3
"""Weight of an edge whose width says nothing, to begin with."""

_TELLING = 2.0
"""Greys by which what is too wide is lighter at one edge than at the other for that edge to count half."""


@dataclass(frozen=True, eq=False)
class Ways:
    """Where lines go: n points of all of them, `pitch` pixels apart.

    Attributes
    ----------
    points : (n, 2) art px.
    starts : (m + 1,) where each line's points start, and their number.
    """

    points: Array
    starts: Index
    pitch: float

    @property
    def of(self) -> Index:
        """Return which line each point (n,) belongs to."""
        return np.repeat(np.arange(len(self.starts) - 1), np.diff(self.starts))

    def moved(self, by: int) -> Index:
        """Return which point (n,) lies so many points further along the same line, or its end."""
        of = self.of
        return np.clip(np.arange(len(of)) + by, self.starts[of], self.starts[of + 1] - 1)

    def smooth(self, values: Array, pixels: float) -> Array:
        """Return values (n, k) smoothed over so many pixels along each line; straight on beyond its ends."""
        sigma = max(pixels / self.pitch, 0.3)
        reach = int(3 * sigma) + 1
        counts = np.diff(self.starts)
        last = np.repeat(counts, counts + 2 * reach) - 1
        first = np.repeat(self.starts[:-1], counts + 2 * reach)
        wide = np.concatenate([[0], np.cumsum(counts + 2 * reach)])
        at = np.arange(len(last)) - np.repeat(wide[:-1], counts + 2 * reach) - reach
        inside = np.clip(at, 0, last)
        mirrored = np.clip(2 * inside - at, 0, last)
        padded = np.where((at == inside)[:, None], 1, 2) * values[first + inside]
        padded -= np.where(at == inside, 0, 1)[:, None] * values[first + mirrored]
        kernel = np.exp(-((np.arange(-reach, reach + 1) / sigma) ** 2) / 2)
        kept = np.flatnonzero(at == inside) - reach
        return np.column_stack([np.convolve(c, kernel / kernel.sum(), "valid")[kept] for c in padded.T])


@dataclass(frozen=True, eq=False)
class Edges:
    """What was measured across lines, at n points of their ways.

    Attributes
    ----------
    normals : (n, 2) to the right.
    away : (n, 2) pixels from the point to the left edge and to the right one; nan where there is none.
    paler : (n,) greys by which what is too wide is lighter on the left than on the right.
    """

    ways: Ways
    normals: Array
    away: Array
    paler: Array


def middles_of(edges: Edges, width: Array, pen: float) -> Array:
    """Return the middles (n, 2) of lines `width` (n,) pixels wide: by least squares, bent little.

    An edge counts less the more it wavers, and the farther it is from where the width puts it: at first
    both count where they are as far apart as the pen, usually `pen`, is wide (reweighted with Cauchy's
    weights, squared: Holland & Welsch 1977).
    """
    known = np.isfinite(edges.away)
    inward = np.where(known, edges.away, width[:, None] / 2) - width[:, None] / 2
    points = edges.ways.points
    sides = [points + sign * inward[:, k : k + 1] * edges.normals for k, sign in ((0, -1), (1, 1))]
    trust = [
        seen * _half(_wavering(edges.ways, side, pen), _WAVERS * pen) * _half(np.maximum(paler, 0), _TELLING)
        for side, seen, paler in zip(sides, known.T, (edges.paler, -edges.paler), strict=True)
    ]
    wide = np.where(known.all(axis=1), edges.away.sum(axis=1), np.inf)
    agreed = _half(wide - width, _NEAR * pen) ** 2
    weights = [agreed + _FAINT * own for own in trust]
    for _ in range(_ROUNDS):
        middle = _bent(edges.ways, sides, weights, pen)
        off = [((middle - side) * edges.normals).sum(axis=1) for side in sides]
        weights = [own * _half(far, _NEAR * pen) ** 2 for own, far in zip(trust, off, strict=True)]
    return _bent(edges.ways, sides, weights, pen)


def _half(value: Array, at: float) -> Array:
    """Return a weight (n,): 1 where a value is 0, half `at` another, less beyond."""
    return np.asarray(1 / (1 + (value / at) ** 2))


def _wavering(ways: Ways, line: Array, pen: float) -> Array:
    """Return by how many pixels an edge's line (n, 2) wavers about its own course (n,)."""
    off = line - ways.smooth(line, pen / 2)
    square = ways.smooth((off**2).sum(axis=1)[:, None], 0.3 * pen)[:, 0]
    return np.sqrt(np.maximum(square, 0))


def _bent(ways: Ways, sides: list[Array], weights: list[Array], pen: float) -> Array:
    """Return the lines (n, 2) nearest to both sides by their weights (n,), that bend little."""
    from scipy.linalg import solveh_banded

    of = ways.of
    stiff = np.where(of[2:] == of[:-2], (_STIFF * pen / ways.pitch) ** 4 / 50, 0.0)
    left, right = weights[0] + 1e-6, weights[1] + 1e-6
    bands = np.zeros((3, len(of)))
    bands[2] = left + right
    bands[2, :-2] += stiff
    bands[2, 1:-1] += 4 * stiff
    bands[2, 2:] += stiff
    bands[1, 1:-1] -= 2 * stiff
    bands[1, 2:] -= 2 * stiff
    bands[0, 2:] += stiff
    pulled = left[:, None] * sides[0] + right[:, None] * sides[1]
    return np.asarray(solveh_banded(bands, pulled, check_finite=False))
