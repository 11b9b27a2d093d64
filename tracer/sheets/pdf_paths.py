"""Paths in the operators of a PDF's content (ISO 32000-1, 8.5.2): points of 1/72 in, y up."""

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_K = 4 / 3 * math.tan(math.pi / 8)

CIRCLE: Array = np.array(
    [
        [[x, y], [x - _K * y, y + _K * x], [-y + _K * x, x + _K * y], [-y, x]]
        for x, y in ((1, 0), (0, 1), (-1, 0), (0, -1))
    ]
).reshape(-1, 2)
"""Four cubics (16, 2) round the origin, within 0.03 % of a circle of radius 1."""


def polygons(points: Array, *, closed: bool) -> list[str]:
    """Return the path through points (n, 2), or the paths each through n of (k, n, 2), to a thousandth."""
    count = points.shape[-2]
    path = "%.3f %.3f m" + " %.3f %.3f l" * (count - 1) + (" h" if closed else "")
    return [path % tuple(one) for one in points.reshape(-1, 2 * count).tolist()]


def chain(curves: Array, *, closed: bool) -> str:
    """Return the path along cubics (n, 4, 2), one beginning where the other ends, to a thousandth."""
    start, rest = curves[0, 0].tolist(), curves[:, 1:].ravel().tolist()
    path = "%.3f %.3f m" + " %.3f %.3f %.3f %.3f %.3f %.3f c" * len(curves) + (" h" if closed else "")
    return path % (*start, *rest)
