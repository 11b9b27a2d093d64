"""Height of a font's capitals and width of their stems."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.flatten import places

Array = NDArray[np.float64]

BELIEVED = 0.0002
"""em; what the font says of its capitals is believed where its own H is as high within that: a tenth of a
millimetre for capitals of 350 mm."""

ROUND_END = 0.03
"""em; round stems reach so far below the baseline at most: it is part of what is measured on the wood."""

WITHOUT_H = 0.7
"""em; capitals where there is no H and nothing is said: faces commonly have 0.65 to 0.73 (from memory)."""


def cap_height_of(said: float, h: Sequence[Array], em: float) -> float:
    """Return the height of capitals, font units: what a rule measures from end to end of an H's stem.

    Parameters
    ----------
    said : what the font says (OS/2 sCapHeight), 0 where it says nothing.
    h : the outline of H, empty where the font has none.
    em : the font's units of an em.
    """
    boxes = [bezier.bounds(ring) for ring in h]
    top, bottom = max((box[3] for box in boxes), default=0.0), min((box[1] for box in boxes), default=0.0)
    high = top - (bottom if abs(bottom) <= ROUND_END * em else 0.0)
    if high > 0.05 * em:
        return said if abs(said - high) <= BELIEVED * em else high
    return said if 0.2 * em <= said <= 1.5 * em else WITHOUT_H * em


def stem_of(i: Sequence[Array], height: float) -> float:
    """Return the width of the one stem that the outline of I has at half of `height`; else 0."""
    crossings: list[float] = []
    for ring in i:
        points = bezier.points_at(ring, places(ring, height / 1e4))
        (x0, y0), (x1, y1) = points[:-1].T, points[1:].T
        over = (y0 <= height / 2) != (y1 <= height / 2)
        share = (height / 2 - y0[over]) / (y1[over] - y0[over])
        crossings += (x0[over] + share * (x1[over] - x0[over])).tolist()
    return max(crossings) - min(crossings) if len(crossings) == 2 else 0.0
