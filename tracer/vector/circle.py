"""Whole circles recognised."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_KAPPA = 4 / 3 * (np.sqrt(2) - 1)
"""Handle of a cubic quarter circle of radius one; it departs from the circle by 2.7e-4 of the radius."""


def circle_of(points: Array, tolerance: float) -> Array | None:
    """Return four cubics (4, 4, 2) where `points` (m, 2) lie all round within `tolerance` of a circle.

    The circle is the algebraic least squares one (Kasa 1976), which is exact for
    samples all round. Its seam is at the right, and it runs the way the points do.
    """
    if len(points) < 8:
        return None
    mean = points.mean(axis=0)
    rows = np.column_stack([2 * (points - mean), np.ones(len(points))])
    solution = np.linalg.lstsq(rows, ((points - mean) ** 2).sum(axis=1), rcond=None)[0]
    centre = solution[:2]
    radius = float(np.sqrt(max(solution[2] + centre @ centre, 0.0)))
    if np.abs(np.hypot(*(points - mean - centre).T) - radius).max() > tolerance:
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


def _area(points: Array) -> float:
    """Return the signed area of a closed polygon, positive from x towards y."""
    x, y = points.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
