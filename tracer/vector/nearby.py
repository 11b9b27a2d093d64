"""Which of many points may lie near some others: by the cells of a grid, which never miss one."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_CELL = 8.0
"""Least side of a cell, ink pixels: smaller ones take longer to mark than they save."""


def nearby(points: Array, others: Array, reach: float) -> Index:
    """Return the indices, in order, of all points (n, 2) within `reach` of others (m, 2), and some more."""
    if not (len(points) and len(others)):
        return np.zeros(0, np.intp)
    cell = max(reach, _CELL)
    column, row = np.floor(others / cell).astype(np.intp).T
    left, top = column.min() - 1, row.min() - 1
    held = np.zeros((row.max() - top + 2, column.max() - left + 2), np.bool_)
    for down in (-1, 0, 1):
        for across in (-1, 0, 1):
            held[row - top + down, column - left + across] = True
    x, y = np.floor(points / cell).astype(np.intp).T
    x, y = x - left, y - top
    inside = np.flatnonzero((x >= 0) & (y >= 0) & (x < held.shape[1]) & (y < held.shape[0]))
    found: Index = inside[held[y[inside], x[inside]]]
    return found
