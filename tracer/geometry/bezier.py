"""Chains of cubic Beziers: arrays (n, 4, 2), each cubic beginning where the one before ends.

A place on a chain is one number: t in 0..n, whole part the cubic, fraction the
parameter within it.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Gauss-Legendre on 0..1; 12 nodes give lengths of cubics fitted to drawn lines to about 1e-9 relative.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_NODES, _WEIGHTS = (_NODES + 1) / 2, _WEIGHTS / 2


def from_polyline(points: Array) -> Array:
    """Return the straight cubics (n - 1, 4, 2) through `points` (n, 2)."""
    start, end = points[:-1], points[1:]
    step = (end - start) / 3
    return np.stack([start, start + step, end - step, end], axis=1)


def dot(point: Array) -> Array:
    """Return the chain (1, 4, 2) that stands for a single point (2,)."""
    return np.repeat(np.asarray(point, float)[None, None, :], 4, axis=1)


def locate(curves: Array, t: Array) -> tuple[NDArray[np.intp], Array]:
    """Split places `t` (m,) in 0..n into cubic index (m,) and parameter (m,) in 0..1."""
    index = np.clip(np.floor(t).astype(np.intp), 0, len(curves) - 1)
    return index, np.asarray(t, float) - index


def points_at(curves: Array, t: Array) -> Array:
    """Return the points (m, 2) at places `t` (m,) of the chain."""
    index, u = locate(curves, np.atleast_1d(t))
    return evaluate(curves[index], u)


def tangents_at(curves: Array, t: Array) -> Array:
    """Return unit tangents (m, 2) at places `t` (m,); zero where the chain is a single point.

    Where the derivative vanishes (a handle on its end) the direction of the
    cubic just inside is used.
    """
    index, u = locate(curves, np.atleast_1d(t))
    c = curves[index]
    d = derivative(c, u)
    still = np.hypot(d[:, 0], d[:, 1]) < 1e-9 * (1e-9 + np.abs(c).max(initial=0.0))
    if still.any():
        d[still] = derivative(c[still], np.clip(u[still], 1e-3, 1 - 1e-3))
    size = np.hypot(d[:, 0], d[:, 1])
    unit: Array = d / np.where(size > 0, size, 1.0)[:, None]
    return unit


def lengths(curves: Array) -> Array:
    """Return the arc length (n,) of each cubic."""
    c = np.repeat(curves, len(_NODES), axis=0)
    d = derivative(c, np.tile(_NODES, len(curves)))
    speed = np.hypot(d[:, 0], d[:, 1]).reshape(len(curves), -1)
    total: Array = speed @ _WEIGHTS
    return total


def length(curves: Array) -> float:
    """Return the arc length of the whole chain."""
    return float(lengths(curves).sum())


def lengths_to(curves: Array, t: Array) -> Array:
    """Return the arc length (m,) from the chain's start to each place `t` (m,).

    The chain may have gaps: differences within a stretch that has none are right.
    """
    index, u = locate(curves, np.atleast_1d(t))
    before = np.concatenate([[0.0], np.cumsum(lengths(curves))])
    c = np.repeat(curves[index], len(_NODES), axis=0)
    d = derivative(c, (u[:, None] * _NODES).ravel())
    within: Array = before[index] + u * (np.hypot(d[:, 0], d[:, 1]).reshape(len(u), -1) @ _WEIGHTS)
    return within


def bounds(curves: Array) -> tuple[float, float, float, float]:
    """Return the exact extent (x0, y0, x1, y1) of the chain (not of its handles)."""
    a, b, c, d = (curves[:, i] for i in range(4))
    k2, k1, k0 = d - 3 * c + 3 * b - a, 2 * (a - 2 * b + c), b - a
    candidates = [a, d]
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(k1 * k1 - 4 * k2 * k0)
        for extreme in ((-k1 + root) / (2 * k2), (-k1 - root) / (2 * k2), -k0 / k1):
            u = np.where((extreme > 0) & (extreme < 1), extreme, 0.0)
            v = 1 - u
            candidates.append(v**3 * a + 3 * v * v * u * b + 3 * v * u * u * c + u**3 * d)
    everything = np.concatenate(candidates)
    (x0, y0), (x1, y1) = everything.min(axis=0), everything.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def reverse(curves: Array) -> Array:
    """Return the same chain followed from its other end."""
    return curves[::-1, ::-1].copy()


def between(curves: Array, t0: float, t1: float) -> Array:
    """Return the piece of the chain from place `t0` to place `t1`, backwards where t1 < t0."""
    if t1 < t0:
        return reverse(between(curves, t1, t0))
    (i0, i1), (u0, u1) = locate(curves, np.array([t0, t1]))
    if i1 > i0 and u1 == 0.0:
        i1, u1 = i1 - 1, 1.0
    piece = curves[i0 : i1 + 1].copy()
    if i0 == i1:
        piece[0] = _cut(piece[0], u0, u1)
    else:
        piece[0], piece[-1] = _cut(piece[0], u0, 1.0), _cut(piece[-1], 0.0, u1)
    whole = np.ptp(piece.reshape(len(piece), -1, 2), axis=1).max(axis=1) > 0
    return piece[whole] if whole.any() else piece[:1]


def evaluate(c: Array, u: Array) -> Array:
    """Return the points (m, 2) of cubics (m, 4, 2) at parameters (m,)."""
    u = u[:, None]
    v = 1 - u
    point: Array = v**3 * c[:, 0] + 3 * v * v * u * c[:, 1] + 3 * v * u * u * c[:, 2] + u**3 * c[:, 3]
    return point


def derivative(c: Array, u: Array) -> Array:
    """Return the derivatives (m, 2) of cubics (m, 4, 2) by their parameters (m,)."""
    u = u[:, None]
    v = 1 - u
    d = np.diff(c, axis=1)
    slope: Array = 3 * (v * v * d[:, 0] + 2 * v * u * d[:, 1] + u * u * d[:, 2])
    return slope


def second_derivative(c: Array, u: Array) -> Array:
    """Return the second derivatives (m, 2) of cubics (m, 4, 2) by their parameters (m,)."""
    d = np.diff(c, n=2, axis=1)
    bend: Array = 6 * ((1 - u)[:, None] * d[:, 0] + u[:, None] * d[:, 1])
    return bend


def _cut(cubic: Array, u0: float, u1: float) -> Array:
    """Return the piece of one cubic (4, 2) between two parameters (de Casteljau)."""
    right = _halves(cubic, u1)[0]
    return _halves(right, u0 / u1 if u1 > 0 else 0.0)[1]


def _halves(cubic: Array, u: float) -> tuple[Array, Array]:
    """Split one cubic (4, 2) at parameter `u`."""
    left, right, level = [cubic[0]], [cubic[-1]], cubic
    while len(level) > 1:
        level = level[:-1] + (level[1:] - level[:-1]) * u
        left.append(level[0])
        right.append(level[-1])
    return np.array(left), np.array(right[::-1])
