"""Affine maps of the plane as (2, 3) matrices: [linear part | shift]."""

import math

import numpy as np
from numpy.typing import NDArray

Affine = NDArray[np.float64]


def scaling(factor: float) -> Affine:
    """Scale about the origin by `factor`."""
    return np.array([[factor, 0.0, 0.0], [0.0, factor, 0.0]])


def rotation(angle: float) -> Affine:
    """Turn about the origin by `angle` radians, x towards y (clockwise where y points down)."""
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0]])


def translation(x: float, y: float) -> Affine:
    """Shift by (x, y)."""
    return np.array([[1.0, 0.0, x], [0.0, 1.0, y]])


def compose(*maps: Affine) -> Affine:
    """Return the map that applies `maps` from the last to the first."""
    result = np.eye(3)
    for one in maps:
        result = result @ np.vstack([one, [0.0, 0.0, 1.0]])
    return result[:2]


def apply(affine: Affine, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Map `points` (..., 2) from the frame of the map's source to that of its target."""
    mapped: NDArray[np.float64] = points @ affine[:, :2].T + affine[:, 2]
    return mapped


def scale_of(affine: Affine) -> float:
    """Return by how much lengths grow: the root of the area factor."""
    return math.sqrt(abs(float(np.linalg.det(affine[:, :2]))))
