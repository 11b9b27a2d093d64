"""How far each pixel of a picture lies from the nearest of many lines, for those that lie near."""

from collections.abc import Iterable
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Map = NDArray[np.float32]
Places = NDArray[np.int64]

_AT_ONCE = 2_000_000  # distances computed together: bounds memory to about 100 MB
_FLAT = 1e-12  # a direction that runs along the rows or columns is turned by this little
_SLACK = 0.01  # pixels by which a strip is longer than it must be: rounding leaves no gap at bends


class Strips(NamedTuple):
    """Segments and how far beyond each of their ends pixels may be nearest to them, all in pixels.

    `start` (n, 2); `way` (n, 2) unit directions; `length`, `before`, `after` (n,).
    """

    start: Array
    way: Array
    length: Array
    before: Array
    after: Array


def distance_map(lines: Iterable[Array], reach: float, shape: tuple[int, int], *, px_per_mm: float) -> Map:
    """Return the distance (H, W) float32 in mm from each pixel's centre to the nearest polyline.

    `lines` are points (m, 2) in mm; pixels farther than `reach` mm hold infinity. Distances
    are to the segments themselves, so the answer does not hang on the size of a pixel.

    Notes
    -----
    Each segment looks at the pixels of its own upright strip, and at those a bend leaves
    between two strips, row by row: in all hardly more than the pixels that lie near [D].
    """
    far = reach * px_per_mm
    strips = _strips(lines, px_per_mm, far)
    squared = np.full(shape[0] * shape[1], np.inf, np.float32)
    size = (2 * far + 1) * (strips.length + strips.before + strips.after + 2)
    batch = np.cumsum(size) // _AT_ONCE
    for first, last in _stretches(batch):
        _lower(squared, Strips(*(one[first:last] for one in strips)), far, shape)
    np.sqrt(squared, out=squared)
    squared /= np.float32(px_per_mm)
    return squared.reshape(shape)


def _stretches(batch: Array) -> list[tuple[int, int]]:
    """Return (first, one past the last) of each stretch of equal numbers."""
    ends = [0, *(np.flatnonzero(np.diff(batch)) + 1).tolist(), len(batch)]
    return list(pairwise(ends))


def _strips(lines: Iterable[Array], px_per_mm: float, far: float) -> Strips:
    """Return the segments of polylines (m, 2) mm, with as much beyond their ends as `far` pixels need."""
    chains = [np.asarray(line, float) for line in lines]
    if not chains:
        nothing = np.empty(0)
        return Strips(np.empty((0, 2)), np.empty((0, 2)), nothing, nothing, nothing)
    points = np.concatenate(chains) * px_per_mm
    last = np.cumsum([len(chain) for chain in chains]) - 1
    way = np.diff(points, axis=0)
    length = np.hypot(way[:, 0], way[:, 1])
    length[length < _FLAT] = 0.0  # a point: it has no direction
    real = np.ones(len(way), bool)
    real[last[:-1]] = False
    unit = np.where(length[:, None] > 0, way / np.maximum(length, _FLAT)[:, None], (1.0, 0.0))
    after = far * _outward(unit[:-1], unit[1:])
    after[~(real[:-1] & real[1:]) | (length[:-1] == 0) | (length[1:] == 0)] = far
    before = np.full(len(way), far)
    before[1:][(after < far) & real[:-1]] = 0.0
    kept = (points[:-1][real], unit[real], length[real])
    return Strips(*kept, before[real] + _SLACK, np.append(after, far)[real] + _SLACK)


def _outward(one: Array, other: Array) -> Array:
    """Return the sine (n,) of the angle by which each direction turns into the next, 1 from a right angle."""
    cosine = (one * other).sum(axis=1)
    sine = np.abs(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
    return np.where(cosine > 0, sine, 1.0)


def _lower(squared: Map, strips: Strips, far: float, shape: tuple[int, int]) -> None:
    """Lower `squared` (H * W,) to the squared distance from the segments, all in pixels."""
    which, row, column, count = _spans(strips, far, shape)
    ux, uy = strips.way[which].T
    dx, dy = column + 0.5 - strips.start[which, 0], row + 0.5 - strips.start[which, 1]
    step = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)

    def spread(values: Array) -> Map:
        return np.repeat(values.astype(np.float32), count)

    along = spread(dx * ux + dy * uy) + step * spread(ux)
    aside = spread(dx * uy - dy * ux) + step * spread(uy)
    beyond = np.maximum(np.maximum(-along, along - spread(strips.length[which])), 0)
    distance = (aside * aside + beyond * beyond).astype(np.float32)
    place = np.repeat(row * shape[1] + column, count) + step
    near = distance <= far * far
    np.minimum.at(squared, place[near], distance[near])


def _spans(strips: Strips, far: float, shape: tuple[int, int]) -> tuple[Places, Places, Places, Places]:
    """Return the stretches of pixel rows inside the strips: which strip, row, first column, how many."""
    rows, columns = shape
    ux, uy = (np.where(np.abs(part) < _FLAT, _FLAT, part) for part in strips.way.T)
    x, y = strips.start.T
    whole = strips.length + strips.after
    ends = np.stack([-strips.before * uy, whole * uy])
    sideways = far * np.abs(ux)
    top = np.maximum(np.ceil(y + ends.min(axis=0) - sideways - 0.5), 0).astype(np.int64)
    low = np.minimum(np.floor(y + ends.max(axis=0) + sideways - 0.5), rows - 1).astype(np.int64)
    tall = np.maximum(low - top + 1, 0)
    which = np.repeat(np.arange(len(tall)), tall)
    row = np.repeat(top, tall) + np.arange(len(which)) - np.repeat(np.cumsum(tall) - tall, tall)
    ux, uy, down = ux[which], uy[which], row + 0.5 - y[which]
    across = np.sort(np.stack([(down * ux - far) / uy, (down * ux + far) / uy]), axis=0)
    ahead = np.sort(
        np.stack([(-strips.before[which] - down * uy) / ux, (whole[which] - down * uy) / ux]), axis=0
    )
    left = np.maximum(across[0], ahead[0]) + x[which] - 0.5
    right = np.minimum(across[1], ahead[1]) + x[which] - 0.5
    first = np.clip(np.ceil(left), 0, columns).astype(np.int64)
    count = np.clip(np.floor(right), -1, columns - 1).astype(np.int64) - first + 1
    some = count > 0
    return which[some], row[some], first[some], count[some]
