"""The drawing of a border: one closed line, its corners square or rounded."""

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.model.drawing import Drawing, Stroke

Array = NDArray[np.float64]


@lru_cache(maxsize=32)
def border_drawing(width: float, height: float, radius: float) -> Drawing:
    """Return a border of this size, mm, between the groove's middles; its unit is the mm on the wood.

    It begins in the middle of the lower side, where a lift shows least among four corners, and goes round
    clockwise as seen. Asked again it is the same drawing.
    """
    stroke = Stroke(1, _round(width, height, radius), closed=True, kind="line")
    return Drawing(
        strokes=(stroke,),
        joints=(),
        size_px=(math.ceil(width), math.ceil(height)),
        mm_per_px=1.0,
        scale_source="its place on the board",
        name="border",
    )


def _round(width: float, height: float, radius: float) -> Array:
    """Return the chain (n, 4, 2): straight sides, and two cubics a corner, within 5e-6 of its radius."""
    start = np.array([width / 2, height])
    chain, at = [], start
    for k, corner in enumerate(((0.0, height), (0.0, 0.0), (width, 0.0), (width, height))):
        arc = _corner(np.array(corner), k, radius)
        chain += [_straight(at, arc[0, 0]), arc] if radius else [_straight(at, np.array(corner))]
        at = arc[-1, 3] if radius else np.array(corner)
    return np.concatenate([one for one in (*chain, _straight(at, start)) if np.ptp(one, axis=(0, 1)).any()])


def _straight(a: Array, b: Array) -> Array:
    return bezier.from_polyline(np.array([a, b]))


def _corner(corner: Array, k: int, radius: float) -> Array:
    """Return the two cubics (2, 4, 2) round a corner, the `k`th from the lower left on, clockwise."""
    inward = np.array([1.0 if corner[0] == 0 else -1.0, 1.0 if corner[1] == 0 else -1.0])
    angles = np.radians(90.0 * (k + 1) + np.array([[0.0, 45.0], [45.0, 90.0]]))
    points = np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    ahead = np.stack([-np.sin(angles), np.cos(angles)], axis=-1)
    handle = 4 / 3 * math.tan(math.radians(45.0) / 4)
    out, back = points[:, 0] + handle * ahead[:, 0], points[:, 1] - handle * ahead[:, 1]
    arcs = np.stack([points[:, 0], out, back, points[:, 1]], axis=1)
    cubics: Array = corner + radius * inward + radius * arcs
    return cubics
