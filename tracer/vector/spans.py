"""Straight lines and arcs through spans of samples, from running sums: the work does not grow with the span.

A line is that of total least squares. A circle is that of algebraic least squares (Kasa 1976): the
regression of x^2 + y^2 on x and y; its residual over 4 R^2 is that of the distances, to first order.
"""

from dataclasses import dataclass
from itertools import starmap

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Primitives:
    """The line and the circle of each of n spans.

    Attributes
    ----------
    middle, along : (n, 2) a point of the line, and its unit direction, the way the samples go.
    off_line, off_arc : (n,) sums of squared distances; infinite for an arc that cannot be told from its line.
    centre, radius : (n, 2), (n,) of the circle.
    length : (n,) of the samples' polyline.
    way : (n,) +1 where the arc turns from x towards y, else -1.
    """

    middle: Array
    along: Array
    off_line: Array
    centre: Array
    radius: Array
    off_arc: Array
    length: Array
    way: Array

    @property
    def turn(self) -> Array:
        """Angle (n,) that each arc sweeps."""
        return self.length / self.radius

    def feet(self, points: Array, straight: Flags) -> tuple[Array, Array]:
        """Return the feet (n, 2) of `points` (n, 2) and tangents there, on the lines where `straight`."""
        away = ((points - self.middle) * self.along).sum(axis=1)
        on_line = self.middle + away[:, None] * self.along
        spoke = points - self.centre
        spoke = spoke / np.maximum(np.hypot(*spoke.T), 1e-12)[:, None]
        on_arc = self.centre + self.radius[:, None] * spoke
        tangent = np.column_stack([-spoke[:, 1], spoke[:, 0]]) * self.way[:, None]
        line = straight[:, None]
        return np.where(line, on_line, on_arc), np.where(line, self.along, tangent)


class RunningSums:
    """Sums over any span of samples `points` (m, 2), each section (first, last) about its own middle.

    Samples count by their `weights` (m,).
    """

    def __init__(self, points: Array, first: Index, last: Index, weights: Array | None = None):
        self.points = points
        self.weights = np.ones(len(points)) if weights is None else weights
        sizes = last - first + 1
        middle = np.add.reduceat(points, first) / sizes[:, None]
        local = points - np.repeat(middle, sizes, axis=0)
        x, y = local.T
        w = x * x + y * y
        values = np.column_stack([np.ones(len(x)), x, y, x * x, x * y, y * y, w * x, w * y, w, w * w])
        values *= self.weights[:, None]
        sections = starmap(slice, zip(first, last + 1, strict=True))
        self.upto = np.concatenate([np.cumsum(values[s], axis=0) for s in sections])
        self.before = self.upto - values
        self.shift = np.repeat(middle, sizes, axis=0)
        steps = np.hypot(*np.diff(points, axis=0, prepend=points[:1]).T)
        steps[first] = 0
        self.along = np.cumsum(steps)
        """Arc length at each sample; only differences within a section mean anything."""

    def offs(self, a: Index, b: Index, finest: float) -> tuple[Array, Array, Array]:
        """Return each span's sums of squared distances from line and circle, and the arc's turn."""
        fit = self._fit(a, b, finest)
        return fit.off_line, fit.off_arc, fit.length / fit.radius

    def primitives(self, a: Index, b: Index, finest: float) -> Primitives:
        """Return the line and the circle of each span of samples a..b, both included.

        An arc whose height is less than `finest` is none.
        """
        fit, shift = self._fit(a, b, finest), self.shift[a]
        angle = np.arctan2(fit.skew, fit.half) / 2
        along = np.column_stack([np.cos(angle), np.sin(angle)])
        along *= np.where((along * (self.points[b] - self.points[a])).sum(axis=1) < 0, -1.0, 1.0)[:, None]
        to_start = self.points[a] - shift - fit.centre
        third = self.points[a + (b - a) // 3] - self.points[a]
        way = np.where(to_start[:, 0] * third[:, 1] - to_start[:, 1] * third[:, 0] < 0, -1.0, 1.0)
        return Primitives(
            middle=fit.middle + shift,
            along=along,
            off_line=fit.off_line,
            centre=fit.centre + shift,
            radius=fit.radius,
            off_arc=fit.off_arc,
            length=fit.length,
            way=way,
        )

    def _fit(self, a: Index, b: Index, finest: float) -> "_Fit":
        """Return what the sums tell of spans a..b."""
        n, x, y, xx, xy, yy, wx, wy, w, ww = np.ascontiguousarray((self.upto[b] - self.before[a]).T)
        x, y, w = x / n, y / n, w / n
        xx, xy, yy = xx - n * x * x, xy - n * x * y, yy - n * y * y
        wx, wy, ww = wx - n * w * x, wy - n * w * y, ww - n * w * w
        half, spread = (xx - yy) / 2, (xx + yy) / 2
        length = self.along[b] - self.along[a]
        determinant = np.maximum(xx * yy - xy * xy, 1e-12 * spread * spread + 1e-300)
        p, q = (yy * wx - xy * wy) / determinant, (xx * wy - xy * wx) / determinant
        radius = np.sqrt(np.maximum(w + p * (p / 4 - x) + q * (q / 4 - y), 1e-12))
        off_arc = np.maximum(ww - p * wx - q * wy, 0) / (4 * radius * radius)
        is_arc = (length * length > 8 * finest * radius) & (length < 6.6 * radius) & (b - a > 2)
        return _Fit(
            middle=np.column_stack([x, y]),
            half=half,
            skew=xy,
            off_line=np.maximum(spread - np.hypot(half, xy), 0),
            centre=np.column_stack([p, q]) / 2,
            radius=radius,
            off_arc=np.where(is_arc, off_arc, np.inf),
            length=length,
        )


@dataclass(frozen=True, eq=False)
class _Fit:
    """Line and circle of spans, about their section's middle; half of (half, skew)'s angle is the line's."""

    middle: Array
    half: Array
    skew: Array
    off_line: Array
    centre: Array
    radius: Array
    off_arc: Array
    length: Array
