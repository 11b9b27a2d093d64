"""The border of an area that has an outline of its own ink: half the outline's width outside of its path.

That is what the picture shows, and what would be followed in a picture of it.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.art.svg_solids import nested
from tracer.geometry.joints import find_joints
from tracer.geometry.offset import polygon_of, rings_at

Array = NDArray[np.float64]

LEAST = 0.1
"""Art pixels below which half an outline moves no border."""

WITHIN = 0.05
"""Art pixels within which the border keeps its distance; round corners as a bit makes them."""


def bordered(rings: Sequence[Array], halves: Sequence[float], *, evenodd: bool) -> tuple[Array, ...]:
    """Return the borders of the area in `rings` with outlines of half width `halves` each, art pixels.

    Outer rings grow and holes shrink. Rings that cross, or lie in one another by the nonzero
    rule, are returned as they are: which side of them is outside is not one answer.
    """
    if max(halves) < LEAST or find_joints([(ring, True) for ring in rings], WITHIN):
        return tuple(rings)
    solids = nested(rings)
    holes = {k for _, inner in solids for k in inner}
    if len(rings) > 1 and not evenodd and _same_way(rings, solids):
        return tuple(rings)
    moved: list[Array] = []
    for k, (ring, half) in enumerate(zip(rings, halves, strict=True)):
        out = half if k in holes else -half
        found = rings_at([ring], polygon_of(ring, WITHIN / 10), out, WITHIN) if half >= LEAST else []
        moved += [one.curves for one in found] if half >= LEAST else [ring]
    return tuple(moved)


def _same_way(rings: Sequence[Array], solids: Sequence[tuple[int, list[int]]]) -> bool:
    """Say whether a ring runs the same way round as the one it lies in: by the nonzero rule no hole."""
    turns = [np.sign(_turning(ring)) for ring in rings]
    return any(turns[k] == turns[outer] for outer, inner in solids for k in inner)


def _turning(ring: Array) -> float:
    """Return twice the signed area inside the corners of a ring's handles: its sign is the way it runs."""
    x, y = ring[:, :3].reshape(-1, 2).T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
