"""Connected parts of a mask, measured by their own pixels alone: most of a page is paper."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.uint8]
Flags = NDArray[np.bool_]
Places = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Parts:
    """The parts of a mask (H, W) that hang together by eight neighbours, numbered from 1.

    Attributes
    ----------
    count : how many there are, and one for the paper, which is number 0.
    label : (H, W) int32, the part that each pixel belongs to.
    at, of : (n,) flat indices of all their pixels, from top to bottom, and the part of each.
    """

    count: int
    label: NDArray[np.int32]
    at: Places
    of: NDArray[np.int32]

    @property
    def area(self) -> Places:
        """How many pixels each part has (count,)."""
        return np.bincount(self.of, minlength=self.count)

    @property
    def boxes(self) -> Places:
        """Left, top, width and height (count, 4) of each part; the paper's mean nothing."""
        row, column = np.divmod(self.at, self.label.shape[1])
        start = np.diff(self.at, prepend=-2) > 1
        start |= column == 0
        end = np.roll(start, -1)
        low = np.full((2, self.count), self.label.size)
        high = np.full((2, self.count), -1)
        for k, places in enumerate((column, row)):
            np.minimum.at(low[k], self.of[start], places[start])
            np.maximum.at(high[k], self.of[end], places[end])
        return np.column_stack([*low, *(high - low + 1)])

    def where(self, chosen: Flags) -> Flags:
        """Return where (H, W) the chosen (count,) of the parts lie."""
        found = np.zeros(self.label.shape, bool)
        found.ravel()[self.at[chosen[self.of]]] = True
        return found


def parts_of(mask: Mask) -> Parts:
    """Return the connected parts of a mask (H, W) of 0 and 1."""
    count, found = cv2.connectedComponents(mask, connectivity=8)
    label, at = np.asarray(found, np.int32), np.flatnonzero(mask.view(bool))
    return Parts(count, label, at, label.ravel()[at])
