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


def terms(numbers: Array) -> Array:
    """Return what is known of cubics (b, 8) without their parameters: (14, b).

    The coefficients of x and those of y by rising powers, then cosine and sine of the angle at the start, the
    handle there, and the same of the end.
    """
    x0, y0, angle0, h0, h1, x3, y3, angle1 = numbers.T
    c0, s0, c1, s1 = np.cos(angle0), np.sin(angle0), np.cos(angle1), np.sin(angle1)
    found = []
    for start, out, end, into in ((x0, h0 * c0, x3, h1 * c1), (y0, h0 * s0, y3, h1 * s1)):
        way = end - start
        found += [start, 3 * out, 3 * (way - 2 * out - into), 3 * (out + into) - 2 * way]
    return np.array([*found, c0, s0, h0, c1, s1, h1])


def rows(own: Array, u: Array, wanted: Array) -> Array:
    """Return rows (9, ...) of the linear problem for samples `wanted` (2, ...) on cubics at `u` (...).

    `own` (14, ...) are the `terms` of the cubic of each sample. Eight are derivatives of the distance along
    the normal by the cubic's numbers, the ninth is that distance.
    """
    (px, py), (dx, dy), _ = along(own, u)
    c0, s0, h1, c1, s1, h2 = own[8:]
    size = np.maximum(np.hypot(dx, dy), 1e-12)
    nx, ny = -dy / size, dx / size
    v = 1 - u
    b1, b2 = 3 * v * v * u, 3 * v * u * u
    b01 = v * v * v + b1
    b23 = 1 - b01
    row = np.empty((9, *u.shape))
    row[0], row[1], row[5], row[6] = nx * b01, ny * b01, nx * b23, ny * b23
    row[2], row[3] = b1 * h1 * (ny * c0 - nx * s0), b1 * (nx * c0 + ny * s0)
    row[7], row[4] = b2 * h2 * (nx * s1 - ny * c1), -b2 * (nx * c1 + ny * s1)
    row[8] = nx * (wanted[0] - px) + ny * (wanted[1] - py)
    return row


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
    off : (b,) mean of the samples' squared distances by their weights, of those looked at.
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
    index = first[:, None] + np.round(part * (last - first)[:, None]).astype(int)
    length = np.maximum(sums.along[last] - sums.along[first], 1e-9)
    u = (sums.along[index] - sums.along[first][:, None]) / length[:, None]
    wanted, weight = np.ascontiguousarray(sums.points.T)[:, index], sums.weights[index]
    numbers = _handled(numbers, wanted, u, length, weight)
    for _ in range(_STEPS):
        own = terms(numbers)[..., None]
        u = np.clip(newton(own, u, wanted), 0, 1)
        if free:
            numbers = _stepped(numbers, np.sqrt(weight) * rows(own, u, wanted), length)
        else:
            numbers = _handled(numbers, wanted, u, length, weight)
    own = terms(numbers)[..., None]
    off = squared(own, np.clip(newton(own, u, wanted), 0, 1), wanted)
    return Fit(numbers, (weight * off).mean(axis=1), np.sqrt(off.max(axis=1)))


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


def _handled(numbers: Array, wanted: Array, u: Array, length: Array, weight: Array) -> Array:
    """Return numbers (b, 8) with handles of least squares for parameters `u` (b, q) of points (2, b, q).

    Schneider 1990.
    """
    v = 1 - u
    b1, b2 = 3 * v * v * u, 3 * v * u * u
    b23 = b2 + u * u * u
    w1, w2 = weight * b1, weight * b2
    c0, s0, c1, s1 = (f(numbers[:, k]) for k in (2, 7) for f in (np.cos, np.sin))
    r1, r2 = np.zeros((2, len(numbers)))
    for k, along_start, along_end in ((0, c0, c1), (1, s0, s1)):
        start, way = numbers[:, k], numbers[:, 5 + k] - numbers[:, k]
        gap = wanted[k] - start[:, None] - b23 * way[:, None]
        r1 += along_start * _dot(w1, gap)
        r2 -= along_end * _dot(w2, gap)
    a11, a22 = _dot(w1, b1), _dot(w2, b2)
    a12 = -_dot(w1, b2) * (c0 * c1 + s0 * s1)
    determinant = a11 * a22 - a12 * a12
    sound = determinant > 1e-6 * a11 * a22
    determinant = np.where(sound, determinant, 1.0)
    h1 = np.where(sound, (a22 * r1 - a12 * r2) / determinant, length / 3)
    h2 = np.where(sound, (a11 * r2 - a12 * r1) / determinant, length / 3)
    return bounded(np.column_stack([numbers[:, :3], h1, h2, numbers[:, 5:]]), length)


def _dot(a: Array, b: Array) -> Array:
    """Return the sums (b,) of products along rows (b, q)."""
    total: Array = np.einsum("ij,ij->i", a, b)
    return total


def newton(own: Array, u: Array, wanted: Array) -> Array:
    """Return parameters (...) a Newton step nearer to the feet of points (2, ...) on cubics of `terms`."""
    (px, py), (dx, dy), (bx, by) = along(own, u)
    gx, gy = px - wanted[0], py - wanted[1]
    speed = dx * dx + dy * dy
    below = np.maximum(speed + gx * bx + gy * by, 0.3 * speed)
    step = (gx * dx + gy * dy) / np.maximum(below, 1e-12)
    nearer: Array = u - np.clip(step, -0.2, 0.2)
    return nearer


def squared(own: Array, u: Array, wanted: Array) -> Array:
    """Return squared distances (...) of points (2, ...) from where their cubics' `terms` are at `u` (...)."""
    gx, gy = (c0 + u * (c1 + u * (c2 + u * c3)) for c0, c1, c2, c3 in (own[:4], own[4:8]))
    gx, gy = gx - wanted[0], gy - wanted[1]
    off: Array = gx * gx + gy * gy
    return off


def along(own: Array, u: Array) -> tuple[list[Array], list[Array], list[Array]]:
    """Return x and y of points, first and second derivatives of cubics by their `terms` at `u` (...)."""
    points, slopes, bends = [], [], []
    for c0, c1, c2, c3 in (own[:4], own[4:8]):
        c3u, double = c3 * u, 2 * c2
        points.append(c0 + u * (c1 + u * (c2 + c3u)))
        slopes.append(c1 + u * (double + 3 * c3u))
        bends.append(double + 6 * c3u)
    return points, slopes, bends
