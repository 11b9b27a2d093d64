"""Dots: marks where the pen went down and did not move."""

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.model.ink import Ink
from tracer.vector.samples import Samples

Array = NDArray[np.float64]

LONGEST = 0.35
"""A free line shorter than this part of its width is a dot."""


def is_dot(samples: Samples) -> bool:
    """Say whether a stroke with two free ends is no longer than a dot."""
    return float(polyline.arc_lengths(samples.points)[-1]) < LONGEST * samples.width


def dot_at(ink: Ink, point: Array) -> tuple[Array, float]:
    """Return the middle (2,) and the width of the dot round `point`, ink pixels.

    The middle is the ink's centre of gravity, weighted by darkness; the width is
    that of the disc of the same weight.
    """
    reach = int(2 * ink.line_width) + 2
    height, width = ink.line.shape
    x, y = (int(v) for v in point)
    x0, y0 = max(0, x - reach), max(0, y - reach)
    y1, x1 = min(height, y + reach + 1), min(width, x + reach + 1)
    grain = ink.grain
    alone = _alone(ink.line[y0:y1, x0:x1], x - x0, y - y0)
    fine = ink.darkness[y0 * grain : y1 * grain, x0 * grain : x1 * grain]
    weight = alone.repeat(grain, axis=0).repeat(grain, axis=1) * fine / 255
    total = float(weight.sum())
    if total == 0:
        return point, ink.line_width
    rows, columns = np.indices(weight.shape)
    middle = np.array([(weight * columns).sum(), (weight * rows).sum()]) / total + 0.5
    return middle / grain + (x0, y0), 2 * float(np.sqrt(total / np.pi)) / grain


def _alone(mask: NDArray[np.bool_], x: int, y: int) -> NDArray[np.bool_]:
    """Return the connected ink at or next to pixel (x, y) of a mask."""
    import cv2

    _, label = cv2.connectedComponents(mask.astype(np.uint8), connectivity=8)
    near = label[max(0, y - 1) : y + 2, max(0, x - 1) : x + 2]
    return np.asarray(label == near.max())
