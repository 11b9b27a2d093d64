"""Many small labels over a crowded drawing, quickly: each takes the best of a few given places."""

from collections.abc import Sequence
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_CELL = 0.5  # side of the raster's cells, in the caller's unit
_TAKEN, _BUSY, _LATER = 1000.0, 2.0, 0.6  # cost of covering a label, of a cell of line, of a later place
_OUTSIDE = 1e6


def spread(
    choices: Sequence[Array], sizes: Sequence[tuple[float, float]], *, lines: Array, room: tuple[float, float]
) -> Array:
    """Choose a middle for each label, in the order given; one that nothing suits still gets the least bad.

    Parameters
    ----------
    choices : for each label the middles (k, 2) it may have, k >= 1, the dearest wish first.
    sizes : (width, height) of each label.
    lines : points (m, 2), about half a unit apart, to keep off.
    room : (width, height) of the drawing, whose top left is at 0, 0.

    Returns
    -------
    (n, 2) middles. Greedy: earlier labels are never moved for later ones.
    """
    first = np.cumsum([0, *map(len, choices)]).tolist()
    everywhere = np.concatenate([np.empty((0, 2)), *choices])
    half = np.repeat(np.array(sizes).reshape(-1, 2) / 2, np.diff(first), axis=0)
    boxes = np.hstack([everywhere - half, everywhere + half])
    costs = _BUSY * _cells(_table(lines, room), boxes)
    costs[(boxes[:, :2] < 0).any(axis=1) | (boxes[:, 2:] > np.array(room)).any(axis=1)] += _OUTSIDE
    taken = np.empty((len(choices), 4))
    middles = np.empty((len(choices), 2))
    for index, (start, stop) in enumerate(pairwise(first)):
        own = boxes[start:stop]
        cost = costs[start:stop] + _TAKEN * _overlaps(own, taken[:index]) + _LATER * np.arange(stop - start)
        best = int(np.argmin(cost))
        middles[index], taken[index] = everywhere[start + best], own[best]
    return middles


def around(point: Array, distances: Sequence[float], turns: int) -> Array:
    """Return places (n, 2) on circles about a point (2,), nearest circle first, from the upper right."""
    places: Array = (point + np.array(distances)[:, None, None] * _ring(turns)).reshape(-1, 2)
    return places


@cache
def _ring(turns: int) -> Array:
    """Return directions (turns, 2), from the upper right."""
    angle = -np.pi / 4 + np.arange(turns) * (2 * np.pi / turns)
    return np.column_stack([np.cos(angle), np.sin(angle)])


def _table(points: Array, room: tuple[float, float]) -> NDArray[np.int64]:
    """Return the summed-area table (rows + 1, columns + 1) of cells that hold a point."""
    columns, rows = (int(np.ceil(side / _CELL)) + 1 for side in room)
    cells = np.zeros((rows, columns), np.int64)
    place = np.clip(np.floor(points / _CELL).astype(int), 0, (columns - 1, rows - 1))
    cells[place[:, 1], place[:, 0]] = 1
    return np.pad(cells.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))


def _cells(table: NDArray[np.int64], boxes: Array) -> Array:
    """Return how many cells of line each of `boxes` (k, 4) covers."""
    low = np.floor(boxes[:, :2] / _CELL).astype(int)
    high = np.ceil(boxes[:, 2:] / _CELL).astype(int)
    (x0, y0), (x1, y1) = (
        (np.clip(ends[:, 0], 0, table.shape[1] - 1), np.clip(ends[:, 1], 0, table.shape[0] - 1))
        for ends in (low, high)
    )
    count: Array = (table[y1, x1] - table[y0, x1] - table[y1, x0] + table[y0, x0]).astype(float)
    return count


def _overlaps(boxes: Array, taken: Array) -> Array:
    """Return how many of `taken` (n, 4) each of `boxes` (k, 4) meets."""
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    near = taken[(taken[:, :2] < high).all(axis=1) & (low < taken[:, 2:]).all(axis=1)]
    a, b = boxes[:, None], near[None]
    meets = (a[..., :2] < b[..., 2:]).all(axis=2) & (b[..., :2] < a[..., 2:]).all(axis=2)
    count: Array = meets.sum(axis=1).astype(float)
    return count
