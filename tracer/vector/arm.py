"""The clean beginning of a line that leaves a junction, a corner or an end, and where it points."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.vector.samples import SPACING, Samples

Array = NDArray[np.float64]

STRAIGHT = 0.25
"""Ink pixels within which a window of samples counts as straight."""


@dataclass(frozen=True, eq=False)
class Arm:
    """A polynomial through the clean samples nearest to a cut.

    Attributes
    ----------
    cut : index of the first clean sample that is kept, counted from the junction.
    coefficients : (3, 2); the arm's point at distance s from the cut is c0 + c1 s + c2 s^2,
        s growing away from the junction.
    width : the line's width there, ink pixels.
    """

    cut: int
    coefficients: Array
    width: float

    def at(self, s: Array) -> Array:
        """Return the points (m, 2) at distances `s` (m,); negative ones extrapolate."""
        c0, c1, c2 = self.coefficients
        s = np.asarray(s, float)[:, None]
        points: Array = c0 + c1 * s + c2 * s * s
        return points

    def heading(self, s: float = 0.0) -> Array:
        """Return the unit direction (2,) away from the junction at distance `s`."""
        slope = self.coefficients[1] + 2 * s * self.coefficients[2]
        unit: Array = slope / max(float(np.hypot(*slope)), 1e-12)
        return unit


def arm_of(samples: Samples, *, clear: float, most: int | None = None) -> Arm:
    """Return the arm at the beginning of `samples`.

    The cut is the first sample at least `clear` ink pixels along from which on a
    few are clean; where there is none, the sample at `clear`. `most` bounds it.
    """
    most = len(samples.points) - 2 if most is None else min(most, len(samples.points) - 2)
    width = samples.width
    points = samples.points[: max(most, 0) + int(4 * width / SPACING) + 4]
    along = polyline.arc_lengths(points)
    first = int(np.searchsorted(along, clear))
    run = max(2, round(0.3 * width))
    clean = np.convolve(samples.clean[: len(points)], np.ones(run), "full")[run - 1 :] >= run
    later = np.flatnonzero(clean[first:])
    cut = first + int(later[0]) if len(later) else first
    cut = max(0, min(cut, most))
    return Arm(cut, _fit(points[cut:], along[cut:] - along[cut], width), width)


def _fit(points: Array, along: Array, width: float) -> Array:
    """Fit a line over a long window, where it is not straight a parabola over a shorter one."""
    line, off = _polynomial(points, along, 3.5 * width, degree=1)
    return line if off <= STRAIGHT else _polynomial(points, along, 2.5 * width, degree=2)[0]


def _polynomial(points: Array, along: Array, reach: float, *, degree: int) -> tuple[Array, float]:
    """Return (3, 2) coefficients of the least squares polynomial over `reach`, and its largest miss."""
    m = max(int(np.searchsorted(along, reach)), 3)
    points, powers = points[:m], np.vander(along[:m], min(degree, len(along[:m]) - 1) + 1, increasing=True)
    coefficients = np.linalg.lstsq(powers, points, rcond=None)[0]
    off = float(np.abs(powers @ coefficients - points).max())
    return np.concatenate([coefficients, np.zeros((3 - len(coefficients), 2))]), off
