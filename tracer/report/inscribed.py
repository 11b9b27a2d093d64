"""How wide the circle in the wood is, measured to the grooves themselves and not to their samples."""

import numpy as np
from numpy.typing import NDArray

from tracer.report.samples import Samples

Array = NDArray[np.float64]
Ints = NDArray[np.intp]


def clearances(centres: Array, touched: Ints, samples: Samples, radius: Array) -> Array:
    """Return how far points (n, 2) in the wood are from the edges of the grooves about them (n,), mm.

    Samples lie a little farther from the middle of the wood than the grooves between them.

    Parameters
    ----------
    centres : (n, 2) the points, wood mm.
    touched : (n, 3) the samples nearest to each.
    radius : (k,) half widths of the grooves by stroke index, mm.
    """
    d = _feet(centres, touched, samples) - centres[:, None]
    clear: Array = (np.hypot(d[..., 0], d[..., 1]) - radius[samples.stroke[touched]]).min(axis=1)
    return clear


def _feet(centres: Array, touched: Ints, samples: Samples) -> Array:
    """Return the points (n, 3, 2) nearest to the centres on the stretches on either side of the samples.

    A stretch is taken for a parabola that lies as far off its chord as the stroke does on the whole.
    """
    here = samples.points[touched]
    best, least = here, ((here - centres[:, None]) ** 2).sum(axis=2)
    for step in (-1, 1):
        beside = np.clip(touched + step, 0, len(samples.stroke) - 1)
        beside = np.where(samples.stroke[beside] == samples.stroke[touched], beside, touched)
        way = samples.points[beside] - here
        squared = np.maximum((way**2).sum(axis=2), 1e-12)
        share = ((centres[:, None] - here) * way).sum(axis=2) / squared
        share = np.clip(share, 0, 1)[..., None]
        off = samples.swept[beside] - samples.swept[touched] - _cross(here, samples.points[beside]) / 2
        right = np.stack([way[..., 1], -way[..., 0]], axis=-1)
        foot = here + share * way + (6 * off / squared)[..., None] * right * share * (1 - share)
        distance = ((foot - centres[:, None]) ** 2).sum(axis=2)
        nearer = distance < least
        best, least = np.where(nearer[..., None], foot, best), np.where(nearer, distance, least)
    return best


def _cross(p: Array, q: Array) -> Array:
    cross: Array = p[..., 0] * q[..., 1] - p[..., 1] * q[..., 0]
    return cross
