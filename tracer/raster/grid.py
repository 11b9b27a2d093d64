"""How fine the grid of ink pixels is: as fine as the thin lines of a picture need."""

import math
from dataclasses import dataclass

import cv2
import numpy as np

from tracer.raster.binarize import Darkness, Mask, depths, ink_mask, ridge_widths

FINE = 5.0
"""Pixels across a line below which the picture is enlarged before the threshold."""

WIDE = 7.0
"""Ink pixels across the thin lines that a coarser grid must leave."""

SURE = 1.3
"""Times FINE from which on a width need not be measured in single pixels."""

THIN = 5.0
"""Percentile of the widths along all lines that is meant by thin: less is ragged edges and specks."""

WIDEST = 1 / 12
"""Part of a page's shorter side that no pen is wide."""

MOST_PIXELS = 24_000_000
"""Pixels beyond which a picture is not enlarged further."""

LONGEST = 32_700
"""Pixels of the longer side of an enlarged picture: the drawing library's samplers count to 32 767."""


@dataclass(frozen=True)
class Grid:
    """Art pixels to darkness pixels to ink pixels.

    Attributes
    ----------
    enlarged : darkness pixels to an art pixel a side.
    grain : darkness pixels to an ink pixel a side.
    line_width : typical width of the lines in art pixels, at least 1; 0 where there is no ink.
    """

    enlarged: int
    grain: int
    line_width: float

    @property
    def zoom(self) -> float:
        """Ink pixels to an art pixel a side."""
        return self.enlarged / self.grain


def grid_of(darkness: Darkness) -> Grid:
    """Return the grid that suits a picture's lines; `darkness` is (H, W) in art pixels.

    The first guess is from the mean width of all ink; it is made finer until the
    thin lines have WIDE pixels across.
    """
    mask = ink_mask(darkness)
    mean = _mean_width(mask)
    grain = max(2 if mean > SURE * FINE else 1, int(mean / WIDE))
    while True:
        widths = grain * ridge_widths(depths(ink_mask(coarser(darkness, grain))))
        lines = widths[widths <= widest_line(darkness.shape)]
        widths = lines if len(lines) else widths
        thin, usual = np.percentile(widths, [THIN, 50]) if len(widths) else (0.0, 0.0)
        if grain == 1 or thin >= WIDE * grain:
            break
        grain = max(1, min(int(thin / WIDE), grain - 1))
        if grain == 1 and usual > SURE * FINE:
            break  # measured well enough, and quicker, on the coarser grid
    if not len(widths):
        return Grid(1, 1, 0.0)
    usual = max(1.0, float(usual))
    return Grid(_enlarged(usual, darkness.shape), grain, usual)


def widest_line(shape: tuple[int, ...]) -> float:
    """Return the width that no pen has on a page of `shape`, in pixels."""
    return min(shape) * WIDEST


def coarser(darkness: Darkness, grain: int) -> Darkness:
    """Return `darkness` (H * grain, W * grain) averaged to (H, W)."""
    if grain == 1:
        return darkness
    whole = padded(darkness, grain)
    height, width = (n // grain for n in whole.shape)
    return np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA), np.uint8)


def padded(darkness: Darkness, grain: int) -> Darkness:
    """Return `darkness` (H, W) with its last row and column repeated to whole multiples of `grain`.

    Paper in their place would end the lines that run out of the picture.
    """
    down, across = (-n % grain for n in darkness.shape)
    if not down and not across:
        return darkness
    return np.asarray(cv2.copyMakeBorder(darkness, 0, down, 0, across, cv2.BORDER_REPLICATE), np.uint8)


def _mean_width(mask: Mask) -> float:
    """Return the mean width of ink in pixels: twice its area by the length of its outline.

    An outline at all angles alike crosses 4 / pi pixel borders for each of its length (Cauchy).
    """
    borders = sum(
        cv2.countNonZero(cv2.absdiff(one, other))
        for one, other in ((mask[1:], mask[:-1]), (mask[:, 1:], mask[:, :-1]))
    )
    return 8 / math.pi * cv2.countNonZero(mask) / max(borders, 1)


def _enlarged(line_width: float, shape: tuple[int, ...]) -> int:
    """Return how many times to enlarge, so that a line is FINE pixels wide where memory allows."""
    affordable = min(math.isqrt(max(1, MOST_PIXELS // (shape[0] * shape[1]))), LONGEST // max(shape))
    return max(1, min(math.ceil(FINE / line_width), affordable, 3))
