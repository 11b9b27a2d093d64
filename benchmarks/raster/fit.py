"""How found lines have to be moved, turned and scaled to lie on the true ones."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from benchmarks.strokes.lines import Lines
from tracer.geometry import affine

Array = NDArray[np.float64]
Freedom = Literal["moved", "scaled", "stretched"]

REACH = (8.0, 4.0, 2.0, 1.0, 0.6, 0.6, 0.6)
"""mm, round by round: places on found lines further from any true one have no say."""

STIFF = 1e-3
"""How little a freedom is taken up that the lines do not speak of."""


def fitted(found: Array, truth: Lines, freedom: Freedom) -> Array:
    """Return the map (2, 3) that lays points (n, 2) on true lines best, both in page mm.

    Distances across the true lines are made least, round after round (Chen & Medioni 1991): along a line
    there is nothing to see. "moved" turns and moves, "scaled" scales as well, "stretched" is any affine map.
    """
    middle, size = found.mean(axis=0), max(float(found.std()), 1.0)
    centred = affine.compose(affine.scaling(1 / size), affine.translation(*-middle))
    back = affine.compose(affine.translation(*middle), affine.scaling(size))
    matrix = np.array([[1.0, 0, 0], [0, 1.0, 0]])
    places = affine.apply(centred, found)
    for reach in REACH:
        matrix = affine.compose(_step(places, truth, (matrix, back, size), freedom, reach), matrix)
    return affine.compose(back, matrix, centred)


def _step(
    places: Array, truth: Lines, frame: tuple[Array, Array, float], freedom: Freedom, reach: float
) -> Array:
    """Return one round's change, in the frame about the middle with the size 1."""
    matrix, back, size = frame
    now = affine.apply(matrix, places)
    on_page = affine.apply(back, now)
    away, index = truth.nearest(on_page)
    best = index[np.arange(len(index)), away.argmin(axis=1)]
    way = truth.step[best]
    long = np.hypot(way[:, 0], way[:, 1])
    use = (away.min(axis=1) < reach) & (long > 1e-9)
    if use.sum() < 10:
        return np.array([[1.0, 0, 0], [0, 1.0, 0]])
    normal = np.column_stack([-way[use, 1], way[use, 0]]) / long[use, None]
    off = ((truth.start[best][use] - on_page[use]) * normal).sum(axis=1) / size
    return _solved(now[use], normal, off, freedom)


def _solved(p: Array, n: Array, off: Array, freedom: Freedom) -> Array:
    """Return the least-squares change of that freedom."""
    x, y, u, v = p[:, 0], p[:, 1], n[:, 0], n[:, 1]
    columns = [u, v, v * x - u * y]  # moves, turn
    if freedom != "moved":
        columns.append(u * x + v * y)  # scale
    if freedom == "stretched":
        columns += [u * x - v * y, u * y + v * x]  # two shears
    a = np.column_stack(columns)
    stiff = np.diag([0.0, 0, 0, 0, 1, 1][: a.shape[1]]) * STIFF * len(p)
    d = np.linalg.lstsq(a.T @ a + stiff, a.T @ off, rcond=1e-9)[0]
    dx, dy, turn, scale, s1, s2 = np.append(d, np.zeros(6 - len(d)))
    if freedom == "moved":
        c, s = np.cos(turn), np.sin(turn)
        return np.array([[c, -s, dx], [s, c, dy]])
    return np.array([[1 + scale + s1, -turn + s2, dx], [turn + s2, 1 + scale - s1, dy]])


def scale_of(matrix: Array) -> float:
    """Return by how much a map makes lengths larger (the root of the area's growth)."""
    return float(np.sqrt(abs(np.linalg.det(matrix[:, :2]))))


def stretch_of(matrix: Array) -> float:
    """Return the length change, as a part, in the direction in which it is largest."""
    return float(np.abs(np.linalg.svd(matrix[:, :2], compute_uv=False) - 1).max())
