"""Darkness becomes ink: one level for the page, relative to the darkest ink near by."""

import cv2
import numpy as np
from numpy.typing import NDArray

Darkness = NDArray[np.uint8]
Mask = NDArray[np.uint8]

LEVEL = 0.5
"""The edge of a line lies half way between paper and ink: there a blur does not move it."""

FAINTEST = 0.4
"""Ink fainter than this part of full black is not made stronger."""

FULL = 250
"""Where ink is nowhere fainter than this, of 255, there is nothing to level."""

_CELLS = 3
"""Cells to a line's width of the grid on which the darkest ink near by is found."""

ENDLESS = 1e9
"""Pixels: what the drawing library calls the depth of ink without any paper is far beyond."""


def levelled(darkness: Darkness, line_width: float) -> Darkness:
    """Return `darkness` (H, W) divided by the darkest ink within about a line's width.

    Thin and faint lines never reach full darkness; divided by their own, they have
    their edge at LEVEL like all others. The darkest ink is found on a grid of cells
    a fraction of a line wide.
    """
    cell = max(1, min(int(line_width / _CELLS), *darkness.shape))
    cells = cv2.dilate(darkness, np.ones((cell, cell), np.uint8))[cell // 2 :: cell, cell // 2 :: cell]
    size = 2 * round(max(1.0, line_width / cell)) + 1
    peak = cv2.dilate(cells, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)))
    inked = cells > 255 * LEVEL * FAINTEST
    if not inked.any() or peak[inked].min() >= FULL:
        return darkness
    smooth = np.maximum(cv2.blur(peak, (size, size)), round(255 * FAINTEST)).astype(np.uint8)
    return np.asarray(cv2.divide(darkness, _spread(smooth, cell, darkness.shape), scale=255), np.uint8)


def _spread(cells: Darkness, cell: int, shape: tuple[int, ...]) -> Darkness:
    """Return the values of square cells, counted from the picture's corner, for each of its pixels."""
    if cell == 1:
        return cells
    height, width = shape
    whole = cv2.resize(cells, None, fx=cell, fy=cell, interpolation=cv2.INTER_LINEAR)
    more = max(0, height - whole.shape[0]), max(0, width - whole.shape[1])
    whole = cv2.copyMakeBorder(whole, 0, more[0], 0, more[1], cv2.BORDER_REPLICATE)
    return np.ascontiguousarray(whole[:height, :width])


def ink_mask(darkness: Darkness) -> Mask:
    """Return 1 where there is ink, 0 elsewhere, (H, W)."""
    return np.asarray(cv2.threshold(darkness, 255 * LEVEL, 1, cv2.THRESH_BINARY)[1], np.uint8)


def depths(mask: Mask) -> NDArray[np.float32]:
    """Return each ink pixel's distance (H, W) to the nearest paper pixel, centre to centre.

    By a 5 x 5 chamfer, within 2 % (Borgefors 1986): the exact distance takes six times as long.
    """
    return cv2.distanceTransform(mask, cv2.DIST_L2, cv2.DIST_MASK_5).astype(np.float32, copy=False)


def ridge_widths(depth: NDArray[np.float32], where: Mask | None = None) -> NDArray[np.float32]:
    """Return the widths (m,) of the ink, in pixels, along the middles of its lines (`where` they are asked).

    A line 2k or 2k - 1 pixels wide is k deep: the mean of the two is taken.
    """
    ridge = (depth > 0) & (depth >= cv2.dilate(depth, np.ones((3, 3), np.uint8)))
    if where is not None:
        ridge &= where > 0
    deep = depth[ridge]
    widths: NDArray[np.float32] = 2 * deep[deep < ENDLESS] - 0.5
    return widths
