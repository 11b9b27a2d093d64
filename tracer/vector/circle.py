"""Whole circles recognised."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_KAPPA = 0.551915
"""Handle of a cubic quarter circle of radius one that departs least, 2e-4 of the radius, to both sides."""

_DEPARTS = 2e-4

_PARTS = 8
"""Parts of the turn in which the mean distance from the circle is looked at."""

_SURE = 4.0
"""Standard deviations of such a mean beyond which the shape is not a circle."""


def circle_of(points: Array, tolerance: float, spread: float) -> Array | None:
    """Return four cubics (4, 4, 2) where `points` (m, 2) lie all round within `tolerance` of a circle.

    `spread` is the variance of a mean of samples times their number: means over eighths of the turn differ by
    no more than that allows, so an ellipse or a rounded square within the tolerance is no circle. The circle
    is the algebraic least squares one (Kasa 1976), which is exact for samples all round. Its seam is at the
    right, and it runs the way the points do.
    """
    if len(points) < 2 * _PARTS:
        return None
    mean = points.mean(axis=0)
    rows = np.column_stack([2 * (points - mean), np.ones(len(points))])
    solution = np.linalg.lstsq(rows, ((points - mean) ** 2).sum(axis=1), rcond=None)[0]
    centre = solution[:2]
    radius = float(np.sqrt(max(solution[2] + centre @ centre, 0.0)))
    off = np.hypot(*(points - mean - centre).T) - radius
    limit = min(tolerance - _DEPARTS * radius, tolerance)
    if np.abs(off).max() > limit or not _evenly_round(points - mean - centre, off, spread):
        return None
    quarter = np.array([[1, 0], [1, _KAPPA], [_KAPPA, 1], [0, 1]])
    turn = np.array([[0, 1], [-1, 0]])
    quarters = [quarter]
    for _ in range(3):
        quarters.append(quarters[-1] @ turn)
    curves = np.array(quarters)
    if _area(points) < 0:
        curves = curves * [1, -1]
    circle: Array = mean + centre + radius * curves
    return circle


def _evenly_round(spokes: Array, off: Array, spread: float) -> bool:
    """Say whether the means of distances `off` (m,) over eighths of the turn are nought, for all we know."""
    part = np.floor(np.arctan2(spokes[:, 1], spokes[:, 0]) / (2 * np.pi) * _PARTS).astype(int) % _PARTS
    count = np.bincount(part, minlength=_PARTS)
    means = np.bincount(part, off, _PARTS) / np.maximum(count, 1)
    return bool((count > 0).all() and (means**2 * count <= _SURE**2 * spread).all())


def _area(points: Array) -> float:
    """Return the signed area of a closed polygon, positive from x towards y."""
    x, y = points.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
