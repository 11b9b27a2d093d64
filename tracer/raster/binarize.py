"""Darkness becomes ink: one level for the page, relative to the darkest ink near by."""

import cv2
import numpy as np
from numpy.typing import NDArray

Darkness = NDArray[np.float32]
Mask = NDArray[np.uint8]

LEVEL = 0.5
"""The edge of a line lies half way between paper and ink: there a blur does not move it."""

FAINTEST = 0.5
"""Ink fainter than this part of full black is not made stronger."""


def levelled(darkness: Darkness, line_width: float) -> Darkness:
    """Return `darkness` (H, W) divided by the darkest ink within about a line's width.

    Thin and faint lines never reach full darkness; divided by their own, they have
    their edge at LEVEL like all others.
    """
    size = 2 * round(max(1.0, line_width)) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    peak = cv2.blur(cv2.dilate(darkness, disc), (size, size))
    return np.minimum(darkness / np.clip(peak, FAINTEST, 1.0), 1.0).astype(np.float32)


def ink_mask(darkness: Darkness) -> Mask:
    """Return 1 where there is ink, 0 elsewhere, (H, W)."""
    mask: Mask = cv2.threshold(darkness, LEVEL, 1, cv2.THRESH_BINARY)[1].astype(np.uint8)
    return mask


def depths(mask: Mask) -> NDArray[np.float32]:
    """Return each ink pixel's distance (H, W) to the nearest paper pixel, centre to centre."""
    return cv2.distanceTransform(mask, cv2.DIST_L2, cv2.DIST_MASK_PRECISE).astype(np.float32, copy=False)


def ridge_widths(depth: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the widths (m,) of the ink, in pixels, along the middles of its lines.

    A line 2k or 2k - 1 pixels wide is k deep: the mean of the two is taken.
    """
    ridge = (depth > 0) & (depth >= cv2.dilate(depth, np.ones((3, 3), np.uint8)))
    widths: NDArray[np.float32] = 2 * depth[ridge] - 0.5
    return widths
