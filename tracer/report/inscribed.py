"""The circle that touches three grooves, from where it touches samples of them."""

import numpy as np
from numpy.typing import NDArray

from tracer.report.samples import Samples

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

_ROUNDS = 2
"""Of finding where the circle touches and drawing it again; each squares the error."""


def touching_circles(centres: Array, touched: Ints, samples: Samples, radius: Array) -> tuple[Array, Array]:
    """Return the centres (n, 2) and radii (n,) of circles that touch three grooves each, mm.

    Samples lie a little farther from the middle of the wood than the grooves between them.

    Parameters
    ----------
    centres : (n, 2) about which the circles lie, wood mm.
    touched : (n, 3) the samples nearest to them.
    radius : (k,) half widths of the grooves.
    """
    out = radius[samples.stroke[touched]]
    for _ in range(_ROUNDS):
        feet = _feet(centres, touched, samples)
        centres = _about(feet, out, centres)
    feet = _feet(centres, touched, samples)
    d = feet - centres[:, None]
    clear: Array = (np.hypot(d[..., 0], d[..., 1]) - out).min(axis=1)
    return centres, clear


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


def _about(feet: Array, out: Array, centres: Array) -> Array:
    """Return the points (n, 2) of equal power to three feet each; the old centres where none is near."""
    p, q = feet[:, 1] - feet[:, 0], feet[:, 2] - feet[:, 0]
    double = 2 * (p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0])
    sound = np.abs(double) > 1e-6
    double = np.where(sound, double, 1.0)
    squared = out**2
    pp = (p**2).sum(axis=1) + squared[:, 0] - squared[:, 1]
    qq = (q**2).sum(axis=1) + squared[:, 0] - squared[:, 2]
    x, y = (pp * q[:, 1] - qq * p[:, 1]) / double, (qq * p[:, 0] - pp * q[:, 0]) / double
    new = feet[:, 0] + np.column_stack([x, y])
    moved = np.hypot(*(new - centres).T)
    near = sound & (moved < np.hypot(*(feet[:, 0] - centres).T))
    about: Array = np.where(near[:, None], new, centres)
    return about
