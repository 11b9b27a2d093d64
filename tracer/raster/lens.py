"""A lens that bends straight edges, told by the bow of a sheet's four edges, and taken out."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_BENT = 5e-4
"""Part of an edge's length that it bows by before a lens is thought of: less is in the measuring."""

_EXPLAINED = 0.35
"""Part of the bows that may be left when a lens explains them: it bends all edges alike, a curl does not."""

_TRIED = 0.01
"""Strength of the lens by which is told how the bows change with it."""

_ROUNDS = 8
"""Rounds to undo the bending: each leaves about a tenth of the error of the one before."""


@dataclass(frozen=True, eq=False)
class Lens:
    """A lens that draws points nearer to the picture's middle, or farther, the more so the farther they lie.

    Attributes
    ----------
    middle : (2,) art px.
    reach : art px from there to the picture's corners.
    strength : part of a corner's distance by which it is to be moved outwards.
    """

    middle: Array
    reach: float
    strength: float

    def unbent(self, points: Array) -> Array:
        """Return where points (n, 2) of the picture would lie without the lens (Brown 1971, first term)."""
        apart = (points - self.middle) / self.reach
        return np.asarray(
            points + (points - self.middle) * self.strength * (apart**2).sum(axis=-1, keepdims=True)
        )

    def bent(self, points: Array) -> Array:
        """Return where the picture shows points (n, 2) that are told without the lens."""
        shown = points
        for _ in range(_ROUNDS):
            apart = ((shown - self.middle) / self.reach) ** 2
            shown = self.middle + (points - self.middle) / (
                1 + self.strength * apart.sum(axis=-1, keepdims=True)
            )
        return np.asarray(shown)


def lens_of(edges: list[Array], size: tuple[int, int]) -> Lens | None:
    """Return the lens that bent edges, each points (m, 2) evenly along it, in a picture of `size` px.

    The strength is that with which the edges become straightest (the plumb-line method of Brown
    1971), or None where they are straight already, or no lens explains how they bow.
    """
    if len(edges) < 3:
        return None
    middle = np.array(size) / 2
    reach = math.hypot(*size) / 2
    strength = 0.0
    first = _bows(edges, Lens(middle, reach, 0.0))
    for _ in range(3):
        now = _bows(edges, Lens(middle, reach, strength))
        change = (_bows(edges, Lens(middle, reach, strength + _TRIED)) - now) / _TRIED
        strength -= float(change @ now) / max(float(change @ change), 1e-12)
    left = _bows(edges, Lens(middle, reach, strength))
    if np.abs(first).max() < _BENT or abs(strength) > 0.5:
        return None
    return Lens(middle, reach, strength) if left @ left < _EXPLAINED**2 * (first @ first) else None


def bow_of(points: Array) -> float:
    """Return by what part of its length the middle of an edge, points (m, 2) along it, lies off its chord.

    Positive to the right of the way along it as seen (y down).
    """
    along = points[-1] - points[0]
    length = math.hypot(*along)
    off = ((points - points[0]) @ np.array([-along[1], along[0]])) / length
    unit = np.linspace(-1, 1, len(points))
    bend = np.polyfit(unit, off, 2)[0]
    return -float(bend) / length


def _bows(edges: list[Array], lens: Lens) -> Array:
    """Return the bows (n,) of edges with a lens taken out."""
    return np.array([bow_of(lens.unbent(points)) for points in edges])
