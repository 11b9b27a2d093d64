"""Chains of cubics as polylines, within a tolerance."""

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier

Array = NDArray[np.float64]

_MOST = 4096
"""Pieces one cubic may be cut into, whatever the tolerance: bounds memory on absurd input."""


def flatten(curves: Array, tolerance: float) -> Array:
    """Return points (m, 2) of a polyline within `tolerance` (the frame's unit) of the chain.

    The number of pieces comes from the second difference of the handles: a cubic
    cut into k equal steps of its parameter stays within sqrt(3)/18 (which is
    under 1/8) x 6 x max |second difference| / k^2 of its chords (Wang 1984).
    """
    return bezier.points_at(curves, places(curves, tolerance))


def places(curves: Array, tolerance: float) -> Array:
    """Return the places t (m,) in 0..n at which `flatten` takes its points."""
    bend = np.abs(np.diff(curves, n=2, axis=1)).reshape(len(curves), -1)
    worst = np.hypot(bend[:, 0::2].max(axis=1), bend[:, 1::2].max(axis=1))
    pieces = np.clip(np.ceil(np.sqrt(0.75 * worst / tolerance)), 1, _MOST).astype(int)
    index = np.repeat(np.arange(len(curves)), pieces)
    step = np.arange(len(index)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    return np.append(index + step / pieces[index], float(len(curves)))
