"""Few smooth cubics through many points of a curve whose directions are known."""

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier

Array = NDArray[np.float64]

_LOOKS = 32
"""Points of a stretch that one cubic is fitted to, evenly chosen."""

_STEPS = 3
"""Times that the points' parameters are moved to their feet on the cubic."""

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
    """Return the cubic (4, 2) of least squares between two directions, and the points' distances (m,)."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    u = np.concatenate([[0.0], np.cumsum(steps)]) / max(float(steps.sum()), 1e-12)
    cubic = _with_handles(points, u, leaves, comes)
    for _ in range(_STEPS):
        u = _nearer(cubic, points, u)
        cubic = _with_handles(points, u, leaves, comes)
    off = points - bezier.evaluate(np.repeat(cubic[None], len(u), axis=0), _nearer(cubic, points, u))
    return cubic, np.hypot(off[:, 0], off[:, 1])


def _with_handles(points: Array, u: Array, leaves: Array, comes: Array) -> Array:
    """Return the cubic whose handles along both directions are of least squares at parameters u (m,)."""
    start, end = points[0], points[-1]
    chord = float(np.hypot(*(end - start)))
    v = 1 - u
    b1, b2 = 3 * v * v * u, 3 * v * u * u
    gap = points - (v**3 + b1)[:, None] * start - (b2 + u**3)[:, None] * end
    a, b = b1[:, None] * leaves, -b2[:, None] * comes
    normal = np.array([[(a * a).sum(), (a * b).sum()], [(a * b).sum(), (b * b).sum()]])
    right = np.array([(a * gap).sum(), (b * gap).sum()])
    sound = abs(np.linalg.det(normal)) > 1e-9 * max(normal[0, 0] * normal[1, 1], 1e-300)
    handles = np.linalg.solve(normal, right) if sound else np.full(2, chord / 3)
    h0, h1 = np.clip(handles, chord / 100, _LONGEST * chord)
    return np.array([start, start + h0 * leaves, end - h1 * comes, end])


def _nearer(cubic: Array, points: Array, u: Array) -> Array:
    """Return parameters (m,) a Newton step nearer to the feet of the points (m, 2) on one cubic."""
    curves = np.repeat(cubic[None], len(u), axis=0)
    gap = bezier.evaluate(curves, u) - points
    slope, bend = bezier.derivative(curves, u), bezier.second_derivative(curves, u)
    speed = (slope * slope).sum(axis=1)
    below = np.maximum(speed + (gap * bend).sum(axis=1), 0.3 * speed)
    nearer: Array = np.clip(u - (gap * slope).sum(axis=1) / np.maximum(below, 1e-12), 0.0, 1.0)
    return nearer
