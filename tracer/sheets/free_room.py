"""Room still free on the sheets of a template, for words that may stand in many places. Template mm."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_CELL = 1.0
"""mm: side of the raster's cells."""


@dataclass(eq=False)
class FreeRoom:
    """What is taken within `room` (x0, y0, x1, y1): points (m, 2) of lines, and `taken` boxes (n, 4)."""

    room: tuple[float, float, float, float]
    points: Array
    taken: Array

    def __post_init__(self) -> None:
        x0, y0, x1, y1 = self.room
        shape = int((y1 - y0) / _CELL) + 2, int((x1 - x0) / _CELL) + 2
        cells = np.zeros(shape, np.int32)
        place = ((self.points - (x0, y0)) / _CELL).astype(int)
        inside = ((place >= 0) & (place < shape[::-1])).all(axis=1)
        cells[place[inside, 1], place[inside, 0]] = 1
        self._sums = np.pad(cells.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))

    def first_clear(self, boxes: Array, off: float) -> Array | None:
        """Take and return the first of `boxes` (k, 4) that meets nothing taken and is `off` mm off lines."""
        box: Array
        for box in boxes[self._points_in(boxes + off * np.array([-1, -1, 1, 1])) == 0]:
            apart = (self.taken[:, :2] >= box[2:]) | (self.taken[:, 2:] <= box[:2])
            if apart.any(axis=1).all():
                self.taken = np.vstack([self.taken, box])
                return box
        return None

    def _points_in(self, boxes: Array) -> NDArray[np.int32]:
        """Count the cells with points that each box touches."""
        x0, y0, _, _ = self.room
        rows, columns = np.array(self._sums.shape) - 1
        low = np.floor((boxes[:, :2] - (x0, y0)) / _CELL).astype(int)
        high = np.floor((boxes[:, 2:] - (x0, y0)) / _CELL).astype(int) + 1
        left, right = np.clip(low[:, 0], 0, columns), np.clip(high[:, 0], 0, columns)
        top, bottom = np.clip(low[:, 1], 0, rows), np.clip(high[:, 1], 0, rows)
        sums: NDArray[np.int32] = self._sums
        found: NDArray[np.int32] = sums[bottom, right] - sums[top, right]
        found += sums[top, left] - sums[bottom, left]
        return found
