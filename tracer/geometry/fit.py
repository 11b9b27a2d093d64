"""Few smooth cubics through many points of a curve whose directions are known."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_LOOKS = 32
"""Points of a stretch that one cubic is fitted to, evenly chosen."""

_STEPS = 3
"""Times that the handles are moved."""

_DAMPING = 1e-9
"""Keeps the handles of straight stretches where they are: along itself a line may be as fast as it likes."""

_LONGEST = 3.0
"""Handles are no longer than this times the chord, and no shorter than a hundredth of it."""


def fit_cubics(points: Array, tangents: Array, tolerance: float) -> Array:
    """Return cubics (n, 4, 2) within `tolerance` of `points` (m, 2), m >= 2, from the first to the last.

    They run in the unit directions `tangents` (m, 2) wherever one goes over into the next, so that the
    chain is smooth. A stretch that no cubic fits is cut in two where it departs most (Schneider 1990).
    """
    chain: list[Array] = []
    stretches = [(0, len(points) - 1)]
    while stretches:
        first, last = stretches.pop()
        look = np.unique(np.linspace(first, last, _LOOKS).round().astype(int))
        cubic, off = _fitted(points[look], tangents[first], tangents[last])
        if last - first == 1 or off.max() <= tolerance:
            chain.append(cubic)
        else:
            middle = int(np.clip(look[off.argmax()], first + 1, last - 1))
            stretches += [(middle, last), (first, middle)]
    return np.array(chain)


def _fitted(points: Array, leaves: Array, comes: Array) -> tuple[Array, Array]:
    """Return the cubic (4, 2) of least squares between two directions, and the points' distances (m,).

    Its handles take Gauss-Newton steps on the distances along its normals.
    """
    start, end = points[0], points[-1]
    chord = float(np.hypot(*(end - start)))
    steps = np.hypot(*np.diff(points, axis=0).T)
    u = np.concatenate([[0.0], np.cumsum(steps)]) / max(float(steps.sum()), 1e-12)
    handles = np.full(2, chord / 3)
    for step in range(_STEPS + 1):
        cubic = np.array([start, start + handles[0] * leaves, end - handles[1] * comes, end])
        u, off, across = _nearer(cubic, points, u)
        if step < _STEPS:
            b = _weights(u)
            a0, a1 = b[:, 1] * (across @ leaves), -b[:, 2] * (across @ comes)
            handles = np.clip(handles + _solved(a0, a1, off), chord / 100, _LONGEST * chord)
    gap = points - _weights(u) @ cubic
    return cubic, np.hypot(gap[:, 0], gap[:, 1])


def _solved(a: Array, b: Array, wanted: Array) -> Array:
    """Return the two numbers (2,) by which a and b (m,) come nearest to `wanted` (m,), small where any do."""
    aa, bb, ab = a @ a + _DAMPING * len(a), b @ b + _DAMPING * len(b), a @ b
    determinant = aa * bb - ab * ab
    found = np.array([bb * (a @ wanted) - ab * (b @ wanted), aa * (b @ wanted) - ab * (a @ wanted)])
    return np.asarray(found / determinant)


def _weights(u: Array) -> Array:
    """Return how much each control point counts (m, 4) at parameters u (m,)."""
    v = 1 - u
    return np.stack([v * v * v, 3 * v * v * u, 3 * v * u * u, u * u * u], axis=1)


def _nearer(cubic: Array, points: Array, u: Array) -> tuple[Array, Array, Array]:
    """Return parameters (m,) two Newton steps nearer to the feet of points (m, 2) on a cubic.

    And how far off they are along its normals there (m,), and these (m, 2).
    """
    slopes, bends = 3 * np.diff(cubic, axis=0), 6 * np.diff(cubic, n=2, axis=0)
    for _ in range(2):
        v = 1 - u
        gap = _weights(u) @ cubic - points
        slope = np.stack([v * v, 2 * v * u, u * u], axis=1) @ slopes
        bend = np.stack([v, u], axis=1) @ bends
        speed = (slope * slope).sum(axis=1)
        below = np.maximum(speed + (gap * bend).sum(axis=1), 0.3 * speed)
        u = np.clip(u - (gap * slope).sum(axis=1) / np.maximum(below, 1e-12), 0.0, 1.0)
    v = 1 - u
    slope = np.stack([v * v, 2 * v * u, u * u], axis=1) @ slopes
    size = np.maximum(np.hypot(slope[:, 0], slope[:, 1]), 1e-12)
    across = np.column_stack([-slope[:, 1], slope[:, 0]]) / size[:, None]
    off = ((points - _weights(u) @ cubic) * across).sum(axis=1)
    return u, off, across
