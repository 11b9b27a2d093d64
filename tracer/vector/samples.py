"""Polylines of dense samples along the middle of ink, smoothed and resampled."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.vector import bundle

Array = NDArray[np.float64]

SPACING = 1.0
"""Distance between samples in ink pixels."""


@dataclass(frozen=True, eq=False)
class Samples:
    """Samples along one branch or stroke, ink pixels.

    Attributes
    ----------
    points : (m, 2), about SPACING apart; a closed one repeats its first point at its end.
    widths : (m,) measured width of the ink.
    clean : (m,) bool, both edges were seen and the width is the branch's own.
    closed : bool.
    """

    points: Array
    widths: Array
    clean: NDArray[np.bool_]
    closed: bool

    def part(self, start: int, stop: int) -> "Samples":
        """Return the open samples from index `start` to before `stop`."""
        return Samples(self.points[start:stop], self.widths[start:stop], self.clean[start:stop], closed=False)

    def reversed(self) -> "Samples":
        """Return the same samples from the other end."""
        return Samples(self.points[::-1], self.widths[::-1], self.clean[::-1], self.closed)

    @cached_property
    def width(self) -> float:
        """Median width of the clean samples, of all where none is clean."""
        return median(self.widths[self.clean] if self.clean.any() else self.widths)


def median(values: Array) -> float:
    """Return the median of some numbers (m,), as numpy's own does, which takes five times as long for few."""
    ordered, middle = np.sort(values), len(values) // 2
    if len(values) % 2:
        return float(ordered[middle])
    return float((ordered[middle - 1] + ordered[middle]) / 2)


def smoothed(points: Array, sigma: float, *, closed: bool) -> Array:
    """Return `points` (m, 2) after a Gaussian of `sigma` samples; the ends of an open one stay in place."""
    if len(points) < 3 or sigma <= 0:
        return points
    if not closed:
        return bundle.smoothed(bundle.bundled([points], [False]), sigma).points
    ring = bundle.smoothed(bundle.bundled([points[:-1]], [True]), sigma).points
    return np.concatenate([ring, ring[:1]])


def waver(lines: Sequence[Array], step: int) -> float:
    """Return the standard deviation of the samples of `lines` (each (m, 2)) about smooth curves.

    Third differences over `step` samples leave only noise: a line, an arc and a steady
    change of bend have none. Independent noise makes them sqrt(20) times as large; the
    median over all lines, scaled as for a normal distribution, leaves corners aside.
    """
    a = step
    thirds = [(p[3 * a :] - 3 * p[2 * a : -a] + 3 * p[a : -2 * a] - p[: -3 * a]).ravel() for p in lines]
    sizes = np.abs(np.concatenate([*thirds, np.zeros(0)]))
    return float(np.median(sizes) / (0.6745 * np.sqrt(20))) if len(sizes) else 0.0


def directions(points: Array, reach: int, *, closed: bool) -> Array:
    """Return unit tangents (m, 2) by central differences over `reach` samples to each side."""
    m = len(points)
    index = np.arange(m)
    if closed and m > 2:
        ahead, behind = points[(index + reach) % (m - 1)], points[(index - reach) % (m - 1)]
    else:
        ahead, behind = points[np.minimum(index + reach, m - 1)], points[np.maximum(index - reach, 0)]
    step = ahead - behind
    size = np.hypot(*step.T)
    unit: Array = step / np.where(size > 0, size, 1.0)[:, None]
    return unit


def evenly(points: Array) -> Array:
    """Return the polyline resampled about SPACING apart, with two points at least."""
    return polyline.resample(points, SPACING) if len(points) > 1 else np.repeat(points, 2, axis=0)
