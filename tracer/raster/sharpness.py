"""How good a picture is: pixels across its lines, contrast, blur."""

import math

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.model.quality import Quality

Grey = NDArray[np.uint8]

ROWS = 256
"""Rows of the picture, evenly spaced, that are looked at."""

ENOUGH = 4000
"""Places at which edges are looked at."""


def quality_of(ink: Ink, grey: Grey) -> Quality:
    """Return how good the picture `grey` (H, W; art pixels, dark lines) was for its `ink`."""
    return Quality(ink.line_width / ink.zoom, _contrast(ink, grey), _blur(ink))


def _contrast(ink: Ink, grey: Grey) -> float:
    """Return how much darker the middles of lines are than the paper, in parts of the paper's grey."""
    middles = ink.skeleton if ink.skeleton.any() else ink.solid
    step = max(1, middles.shape[0] // ROWS)
    rows, columns = np.nonzero(middles[::step])
    if not len(rows):
        rows, columns = np.nonzero(middles)
        step = 1
    y = np.minimum((step * rows + 0.5) / ink.zoom, grey.shape[0] - 1).astype(np.intp)
    x = np.minimum((columns + 0.5) / ink.zoom, grey.shape[1] - 1).astype(np.intp)
    paper = max(1.0, float(np.median(grey[::16, ::16])))
    return float(np.clip(1 - np.median(grey[y, x]) / paper, 0, 1))


def _blur(ink: Ink) -> float:
    """Return the standard deviation of the edges' blur, art pixels.

    A step of height h under a Gaussian blur is steepest at its middle: h / (sigma sqrt(2 pi)).
    """
    d = ink.darkness
    step = max(1, d.shape[0] // ROWS)
    rows = d[2:-2:step]
    crossing = np.nonzero((rows[:, 2:-3] < 255 * ink.level) != (rows[:, 3:-2] < 255 * ink.level))
    some = slice(None, None, max(1, len(crossing[0]) // ENOUGH))
    y, x = 2 + step * crossing[0][some], 2 + crossing[1][some]
    if not len(x):
        return 0.0
    above, here, below = (d[y + k, x].astype(float) + d[y + k, x + 1] for k in (-1, 0, 1))
    across = 2 * d[y, x + 1].astype(float) - here
    down = (below - above) / 4
    slope = np.median(np.hypot(across, down))
    sigma = 255 / (max(slope, 1.0) * math.sqrt(2 * math.pi))
    return float(sigma / (ink.grain * ink.zoom))
