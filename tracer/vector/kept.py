"""What keeps lines straight and arcs round while all segments of a stroke move."""

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import ARC, LINE

Array = NDArray[np.float64]
Index = NDArray[np.intp]


def kept_rows(kind: Index, numbers: Array) -> Array:
    """Return rows (s, 3, 9) that keep lines straight and arcs round; ninth what is missing."""
    kept = np.zeros((len(kind), 3, 9))
    chord = numbers[:, 5:7] - numbers[:, :2]
    size = np.maximum(np.hypot(*chord.T), 1e-9)
    cx, cy = (chord / size[:, None]).T
    off = _wrapped(numbers[:, [2, 7]] - np.arctan2(cy, cx)[:, None])  # angles from the chord
    line, arc = kind == LINE, kind == ARC
    for k, angle in ((0, 2), (1, 7)):
        kept[line, k, angle] = size[line]
        kept[line, k, 0], kept[line, k, 1], kept[line, k, 5], kept[line, k, 6] = (
            -cy[line],
            cx[line],
            cy[line],
            -cx[line],
        )
        kept[line, k, 8] = -size[line] * off[line, k]
    # Both ends of an arc leave its chord at half its turn; its handles are chord / (3 cos^2(turn / 4)).
    quarter = (off[:, 1] - off[:, 0]) / 4
    factor = 1 / (3 * np.cos(quarter) ** 2)
    kept[arc, 0, 2] = kept[arc, 0, 7] = size[arc] / 2
    kept[arc, 0, 0], kept[arc, 0, 1], kept[arc, 0, 5], kept[arc, 0, 6] = -cy[arc], cx[arc], cy[arc], -cx[arc]
    kept[arc, 0, 8] = -(size * (off[:, 0] + off[:, 1]) / 2)[arc]
    slope = (size * factor * np.tan(quarter) / 2)[arc]
    for k in (1, 2):
        kept[arc, k, 2 + k] = 1
        kept[arc, k, 2], kept[arc, k, 7] = slope, -slope
        kept[arc, k, 0], kept[arc, k, 1] = (factor * cx)[arc], (factor * cy)[arc]
        kept[arc, k, 5], kept[arc, k, 6] = -(factor * cx)[arc], -(factor * cy)[arc]
        kept[arc, k, 8] = (size * factor - numbers[:, 2 + k])[arc]
    return kept


def _wrapped(angle: Array) -> Array:
    """Return angles in -pi..pi."""
    wrapped: Array = np.mod(angle + np.pi, 2 * np.pi) - np.pi
    return wrapped
