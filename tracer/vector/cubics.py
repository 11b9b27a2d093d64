"""One cubic for each of many spans of samples, by Gauss-Newton steps on the distances along its normals.

A cubic is known by eight numbers: x, y of its start, the angle there, the lengths of both handles, x, y of
its end, the angle there.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]
Index = NDArray[np.intp]

SAMPLES = 24
"""Samples of a span that are looked at, evenly spaced along it."""

_STEPS = 3

_DAMPING = 1e-4
"""Share of each parameter's own weight added to it: steps along what is hardly determined stay short."""


def control(numbers: Array) -> Array:
    """Return the cubics (b, 4, 2) of their numbers (b, 8)."""
    start, end = numbers[:, :2], numbers[:, 5:7]
    out, into = _direction(numbers[:, 2]), _direction(numbers[:, 7])
    return np.stack([start, start + numbers[:, 3:4] * out, end - numbers[:, 4:5] * into, end], axis=1)


def _direction(angle: Array) -> Array:
    """Return unit vectors (b, 2)."""
    return np.column_stack([np.cos(angle), np.sin(angle)])


def rows(numbers: Array, own: Index, u: Array, wanted: Array) -> Array:
    """Return rows (9, m) of the linear problem for samples `wanted` (m, 2) on cubics `own` (m,) at `u` (m,).

    Eight are derivatives of the distance along the normal by the cubic's numbers, the ninth is that distance.
    """
    point, slope, _ = along(control(numbers), own, u)
    nx, ny = np.array([-slope[:, 1], slope[:, 0]]) / np.maximum(np.hypot(*slope.T), 1e-12)
    v = 1 - u
    b1, b2 = 3 * v * v * u, 3 * v * u * u
    b01 = v * v * v + b1
    b23 = 1 - b01
    c, s = np.cos(numbers), np.sin(numbers)
    c0, s0, c1, s1 = c[own, 2], s[own, 2], c[own, 7], s[own, 7]
    h1, h2 = numbers[own, 3], numbers[own, 4]
    gap = wanted - point
    b1n, b2n = b1 * (nx * c0 + ny * s0), b2 * (nx * c1 + ny * s1)
    turn1, turn2 = b1 * h1 * (ny * c0 - nx * s0), b2 * h2 * (ny * c1 - nx * s1)
    return np.stack(
        [nx * b01, ny * b01, turn1, b1n, -b2n, nx * b23, ny * b23, -turn2, nx * gap[:, 0] + ny * gap[:, 1]]
    )


def rounded(start: tuple[Array, Array], end: tuple[Array, Array]) -> Array:
    """Return the numbers (b, 8) of cubics along arcs from and to places with unit tangents, each (b, 2).

    An arc's handles are chord / (3 cos^2(turn / 4)); those of a line a third of it.
    """
    (p, s), (q, e) = start, end
    turn = np.arctan2(s[:, 0] * e[:, 1] - s[:, 1] * e[:, 0], (s * e).sum(axis=1))
    handle = np.hypot(*(q - p).T) / (3 * np.cos(turn / 4) ** 2)
    angles = np.arctan2(s[:, 1], s[:, 0]), np.arctan2(e[:, 1], e[:, 0])
    return np.column_stack([p, angles[0], handle, handle, q, angles[1]])


@dataclass(frozen=True, eq=False)
class Fit:
    """Cubics through spans of samples.

    Attributes
    ----------
    numbers : (b, 8)
    off : (b,) mean squared distance of the samples looked at.
    worst : (b,) their largest distance.
    """

    numbers: Array
    off: Array
    worst: Array


def fitted_cubics(
    sums: RunningSums, first: Index, last: Index, numbers: Array, *, free: bool, count: int = SAMPLES
) -> Fit:
    """Return cubics through the spans of samples first..last.

    Of `numbers` (b, 8), a first guess, only the ends are used; they stay where they are unless `free`.
    Of each span `count` samples are looked at.
    """
    part = np.linspace(0, 1, count)
    index = (first[:, None] + np.round(part * (last - first)[:, None])).astype(int)
    length = np.maximum(sums.along[last] - sums.along[first], 1e-9)
    u = (sums.along[index] - sums.along[first][:, None]) / length[:, None]
    wanted, own = sums.points[index], np.repeat(np.arange(len(first)), count)
    numbers = _handled(numbers, wanted, u, length)
    flat = wanted.reshape(-1, 2)
    for _ in range(_STEPS):
        u = np.clip(newton(control(numbers), own, u.ravel(), flat), 0, 1)
        if free:
            numbers = _stepped(numbers, rows(numbers, own, u, flat).reshape(9, -1, count), length)
        else:
            numbers = _handled(numbers, wanted, u.reshape(-1, count), length)
    curves = control(numbers)
    gap = along(curves, own, np.clip(newton(curves, own, u.ravel(), flat), 0, 1))[0] - flat
    off = (gap * gap).sum(axis=1).reshape(-1, count)
    return Fit(numbers, off.mean(axis=1), np.sqrt(off.max(axis=1)))


def _stepped(numbers: Array, row: Array, length: Array) -> Array:
    """Return the numbers after one step towards the least squares."""
    row = row.transpose(1, 2, 0)
    normal = row.transpose(0, 2, 1) @ row
    matrix, right = normal[:, :8, :8].copy(), normal[:, :8, 8]
    diagonal = np.arange(8)
    matrix[:, diagonal, diagonal] *= 1 + _DAMPING
    matrix[:, diagonal, diagonal] += 1e-9
    for place, angle in ((0, 2), (5, 7)):  # along itself a cubic's end stays where it is
        along = _direction(numbers[:, angle])
        matrix[:, place : place + 2, place : place + 2] += row.shape[1] * along[:, :, None] * along[:, None]
    step = np.linalg.solve(matrix, right[..., None])[..., 0]
    return bounded(numbers + step, length)


def bounded(numbers: Array, length: Array) -> Array:
    """Return the numbers with handles that neither vanish nor grow beyond the span's length (b,)."""
    numbers[:, 3:5] = np.clip(numbers[:, 3:5], 0.03 * length[:, None], length[:, None])
    return numbers


def _handled(numbers: Array, wanted: Array, u: Array, length: Array) -> Array:
    """Return numbers (b, 8) with handles of least squares for parameters `u` (b, q) of points (b, q, 2).

    Schneider 1990.
    """
    p, q = numbers[:, None, :2], numbers[:, None, 5:7]
    s, e = _direction(numbers[:, 2])[:, None], _direction(numbers[:, 7])[:, None]
    v = 1 - u
    b1, b2 = 3 * v * v * u, 3 * v * u * u
    gap = wanted - (v * v * v + b1)[..., None] * p - (b2 + u * u * u)[..., None] * q
    a11, a12, a22 = (b1 * b1).sum(axis=1), (b1 * b2).sum(axis=1), (b2 * b2).sum(axis=1)
    a12 = -a12 * (s * e).sum(axis=2)[:, 0]
    r1, r2 = (b1 * (gap * s).sum(axis=2)).sum(axis=1), -(b2 * (gap * e).sum(axis=2)).sum(axis=1)
    determinant = a11 * a22 - a12 * a12
    sound = determinant > 1e-6 * a11 * a22
    determinant = np.where(sound, determinant, 1.0)
    h1 = np.where(sound, (a22 * r1 - a12 * r2) / determinant, length / 3)
    h2 = np.where(sound, (a11 * r2 - a12 * r1) / determinant, length / 3)
    return bounded(np.column_stack([numbers[:, :3], h1, h2, numbers[:, 5:]]), length)


def newton(curves: Array, own: Index, u: Array, wanted: Array) -> Array:
    """Return parameters (m,) a Newton step nearer to the feet of points (m, 2) on their `own` cubics."""
    point, slope, bend = along(curves, own, u)
    gap = point - wanted
    speed = np.einsum("ij,ij->i", slope, slope)
    below = np.maximum(speed + np.einsum("ij,ij->i", gap, bend), 0.3 * speed)
    step = np.einsum("ij,ij->i", gap, slope) / np.maximum(below, 1e-12)
    nearer: Array = u - np.clip(step, -0.2, 0.2)
    return nearer


def along(curves: Array, own: Index, u: Array) -> tuple[Array, Array, Array]:
    """Return points, first and second derivatives (m, 2) of cubics `own` (m,) of (s, 4, 2) at `u` (m,)."""
    p0, p1, p2, p3 = (curves[:, k] for k in range(4))
    powers = np.concatenate([p0, 3 * (p1 - p0), 3 * (p0 - 2 * p1 + p2), p3 - p0 + 3 * (p1 - p2)], axis=1)[own]
    c0, c1, c2, c3 = (powers[:, 2 * k : 2 * k + 2] for k in range(4))
    t = u[:, None]
    c3t = c3 * t
    bend = 2 * c2 + 6 * c3t
    slope = c1 + t * (2 * c2 + 3 * c3t)
    return c0 + t * (c1 + t * (c2 + c3t)), slope, bend
