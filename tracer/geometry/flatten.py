"""Chains of cubics as polylines, within a tolerance."""

from collections.abc import Sequence
from itertools import pairwise

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


def flatten_all(chains: Sequence[Array], tolerance: float) -> list[Array]:
    """Return the polyline (m, 2) of each chain as `flatten` does: quicker for many short ones."""
    if not chains:
        return []
    curves = np.concatenate(chains)
    pieces = _pieces(curves, tolerance)
    last = np.cumsum([len(chain) for chain in chains]) - 1
    count = pieces.copy()
    count[last] += 1  # each chain's end
    index = np.repeat(np.arange(len(curves)), count)
    step = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
    points = bezier.evaluate(curves[index], step / pieces[index])
    return [points[start:end] for start, end in pairwise([0, *np.cumsum(count)[last].tolist()])]


def places(curves: Array, tolerance: float) -> Array:
    """Return the places t (m,) in 0..n at which `flatten` takes its points."""
    pieces = _pieces(curves, tolerance)
    index = np.repeat(np.arange(len(curves)), pieces)
    step = np.arange(len(index)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    return np.append(index + step / pieces[index], float(len(curves)))


def _pieces(curves: Array, tolerance: float) -> NDArray[np.intp]:
    """Return into how many pieces each cubic is cut."""
    bend = np.abs(np.diff(curves, n=2, axis=1)).reshape(len(curves), -1)
    worst = np.hypot(bend[:, 0::2].max(axis=1), bend[:, 1::2].max(axis=1))
    pieces: NDArray[np.intp] = np.clip(np.ceil(np.sqrt(0.75 * worst / tolerance)), 1, _MOST).astype(np.intp)
    return pieces
