"""A flat sheet in perspective: four corners to four corners."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def homography(points: Array, to: Array) -> Array:
    """Return the 3 x 3 matrix that leads four points (4, 2) to four others, its last entry 1.

    Four corners give eight equations for eight unknowns (Hartley and Zisserman 2004, 4.1).
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(points, to, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.append(np.linalg.solve(np.array(rows, float), np.array(right, float)), 1.0).reshape(3, 3)


def led_through(matrix: Array, points: Array) -> Array:
    """Return points (n, 2) where a 3 x 3 matrix leads them."""
    led = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(led[:, :2] / led[:, 2:])


def area_of(corners: Array) -> float:
    """Return the area of a quad (4, 2)."""
    (ax, ay), (bx, by) = corners[2] - corners[0], corners[3] - corners[1]
    return float(abs(ax * by - ay * bx)) / 2
