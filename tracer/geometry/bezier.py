"""Chains of cubic Beziers: arrays (n, 4, 2), each cubic beginning where the one before ends.

A place on a chain is one number: t in 0..n, whole part the cubic, fraction the
parameter within it.
"""

from collections.abc import Sequence

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
    return _lengths(curves, np.ones(len(curves)))


def length(curves: Array) -> float:
    """Return the arc length of the whole chain."""
    return float(lengths(curves).sum())


def lengths_to(curves: Array, t: Array, *, each: Array | None = None) -> Array:
    """Return the arc length (m,) from the chain's start to each place `t` (m,).

    The chain may have gaps: differences within a stretch that has none are right.
    `each` are the lengths (n,) of the cubics where the caller has them already.
    """
    index, u = locate(curves, np.atleast_1d(t))
    before = np.concatenate([[0.0], np.cumsum(lengths(curves) if each is None else each)])
    within: Array = before[index] + _lengths(curves[index], u)
    return within


def _lengths(c: Array, u: Array) -> Array:
    """Return the arc lengths (m,) of cubics (m, 4, 2) from their starts to parameters (m,)."""
    x, y = np.diff(c, axis=1).transpose(2, 1, 0)[..., None]
    at = u[:, None] * _NODES
    k0, k1, k2 = 3 * (1 - at) ** 2, 6 * (1 - at) * at, 3 * at**2
    dx, dy = (k0 * d[0] + k1 * d[1] + k2 * d[2] for d in (x, y))
    total: Array = u * (np.sqrt(dx * dx + dy * dy) @ _WEIGHTS)
    return total


def bounds(curves: Array) -> tuple[float, float, float, float]:
    """Return the exact extent (x0, y0, x1, y1) of the chain (not of its handles)."""
    x0, y0, x1, y1 = bounds_of([curves])[0].tolist()
    return x0, y0, x1, y1


def bounds_of(chains: Sequence[Array]) -> Array:
    """Return the exact extents (m, 4) of chains, see `bounds`: quicker for many."""
    sizes = np.array([len(chain) for chain in chains], np.intp)
    curves, first = np.concatenate([np.zeros((0, 4, 2)), *chains]), np.cumsum(sizes) - sizes
    low = np.minimum.reduceat(np.minimum(curves[:, 0], curves[:, 3]), first)
    high = np.maximum.reduceat(np.maximum(curves[:, 0], curves[:, 3]), first)
    owner, handles = np.repeat(np.arange(len(sizes)), sizes), curves[:, 1:3]
    beyond = ((handles < low[owner, None]) | (handles > high[owner, None])).any(axis=(1, 2))
    for points in _extremes(curves[beyond]):
        np.minimum.at(low, owner[beyond], points)
        np.maximum.at(high, owner[beyond], points)
    return np.column_stack([low, high])


def _extremes(curves: Array) -> list[Array]:
    """Return three points of each cubic, (m, 2) each: x and y where they turn round, or at its start."""
    a, b, c, d = (curves[:, i] for i in range(4))
    k2, k1, k0 = d - 3 * c + 3 * b - a, 2 * (a - 2 * b + c), b - a
    found = []
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(k1 * k1 - 4 * k2 * k0)
        for extreme in ((-k1 + root) / (2 * k2), (-k1 - root) / (2 * k2), -k0 / k1):
            u = np.where((extreme > 0) & (extreme < 1), extreme, 0.0)
            v = 1 - u
            found.append(v**3 * a + 3 * v * v * u * b + 3 * v * u * u * c + u**3 * d)
    return found


def reverse(curves: Array) -> Array:
    """Return the same chain followed from its other end."""
    return curves[::-1, ::-1].copy()


def between(curves: Array, t0: float, t1: float) -> Array:
    """Return the piece of the chain from place `t0` to place `t1`, backwards where t1 < t0."""
    if t1 < t0:
        return reverse(between(curves, t1, t0))
    return pieces(curves, np.array([t0]), np.array([t1]))[0]


def pieces(curves: Array, start: Array, end: Array) -> list[Array]:
    """Return the pieces from each place `start` (m,) to `end` (m,), start <= end: m chains (n, 4, 2).

    The chain may have gaps, the pieces must not: nothing closes them.
    """
    first, u0 = locate(curves, start)
    last = np.maximum(np.ceil(end).astype(np.intp) - 1, first)
    count = last - first + 1
    head = np.cumsum(count) - count
    piece = curves[np.arange(int(count.sum())) - np.repeat(head - first, count)]
    lower, upper = np.zeros(len(piece)), np.ones(len(piece))
    lower[head], upper[head + count - 1] = u0, end - last
    cut = (lower > 0.0) | (upper < 1.0)
    piece[cut] = _cut(piece[cut], lower[cut], upper[cut])
    return np.split(piece, head[1:]) if len(head) else []


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


def _cut(c: Array, u0: Array, u1: Array) -> Array:
    """Return the pieces of cubics (m, 4, 2) between two parameters (m,) each (de Casteljau)."""
    left = _halves(c, u1)[0]
    return _halves(left, u0 / np.where(u1 > 0, u1, 1.0))[1]


def _halves(c: Array, u: Array) -> tuple[Array, Array]:
    """Split cubics (m, 4, 2) at their parameters (m,)."""
    left, right, level = [c[:, 0]], [c[:, 3]], c
    while level.shape[1] > 1:
        level = level[:, :-1] + np.diff(level, axis=1) * u[:, None, None]
        left.append(level[:, 0])
        right.append(level[:, -1])
    return np.stack(left, axis=1), np.stack(right[::-1], axis=1)
