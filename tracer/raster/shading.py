"""Shading left out: areas wider than lines and paler than ink are paper, as far as lines are concerned."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.raster.binarize import Darkness
from tracer.raster.grid import coarser

Flags = NDArray[np.bool_]

CELLS = 3
"""Cells to a line's width of the grid on which shading is found."""

WIDE = 2.5
"""Line widths that an area is wide at the least: what is narrower may be a line."""

PALE = 15
"""Darkness, of 255, below which an area is too pale to matter."""

INK = 178
"""Darkness, of 255, from which on an area is as dark as ink: a solid. It is 0.7 of the lines' own."""

NEAR = 2
"""Cells round ink in which its blur hides how dark the paper is."""

FEW = 4
"""Cells that an area covers at the least."""

SHOWN = 2.0
"""Line widths that a shaded area is long at the least to be told of."""


def without_shading(darkness: Darkness, line_width: float) -> tuple[Darkness, list[Mend]]:
    """Return `darkness` (H, W) with shading taken for paper, and where it was.

    Shading is what an opening leaves by a disc wider than lines, `line_width` pixels, are
    (Serra 1982), where it is paler than ink; under ink it goes on as it is beside it. As light is,
    it is divided out: a line keeps its darkness and the places of its edges, whether it
    crosses shading or borders it. Places of Mends are in pixels of `darkness`.
    """
    cell = max(1, int(line_width / CELLS))
    if not _shaded(darkness[::cell, ::cell], line_width / cell):
        return darkness, []
    shade = _shade(coarser(darkness, cell), line_width / cell)
    mends = _places(shade, cell, SHOWN * line_width)
    if not mends:
        return darkness, []
    height, width = darkness.shape
    fine = cv2.resize(shade, None, fx=cell, fy=cell, interpolation=cv2.INTER_LINEAR)[:height, :width]
    light, paper = cv2.bitwise_not(darkness), cv2.bitwise_not(fine)
    return np.asarray(cv2.bitwise_not(cv2.divide(light, paper, scale=255)), np.uint8), mends


def _shaded(some: Darkness, pen: float) -> bool:
    """Say, from some of its pixels (h, w), whether a picture has areas paler than ink and darker than paper.

    Between hatches some pixels are paper; round a solid some are ink.
    """
    side = 2 * round(WIDE * pen / 2) + 1
    square = np.ones((side, side), np.uint8)
    palest = cv2.erode(some, square, borderValue=0)
    seen = cv2.inRange(palest, PALE, INK)
    if cv2.countNonZero(seen) < FEW:
        return False
    darkest = cv2.dilate(some, square)
    return cv2.countNonZero(cv2.bitwise_and(seen, cv2.inRange(darkest, 0, INK))) >= FEW


def _shade(small: Darkness, pen: float) -> Darkness:
    """Return how dark the paper (h, w) is by itself, lines and solids taken away."""
    side = 2 * round(WIDE * pen / 2) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))
    opened = cv2.morphologyEx(small, cv2.MORPH_OPEN, disc, borderType=cv2.BORDER_REPLICATE)
    ink = cv2.threshold(small, INK, 1, cv2.THRESH_BINARY)[1]
    around = 2 * NEAR + 1
    hidden = cv2.dilate(ink, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (around, around)))
    shade = _filled(np.asarray(opened, np.uint8), np.asarray(hidden, np.uint8))
    shade[shade < PALE] = 0
    return np.asarray(cv2.dilate(shade, np.ones((3, 3), np.uint8)), np.uint8)


def _filled(values: Darkness, hidden: Darkness) -> Darkness:
    """Return values (h, w), those that are hidden from the nearest that is not."""
    if hidden.all():
        return np.zeros_like(values)
    label = cv2.distanceTransformWithLabels(
        hidden, cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL
    )[1]
    seen = hidden == 0
    nearest = np.zeros(int(label.max()) + 1, np.uint8)
    nearest[label[seen]] = values[seen]
    return np.asarray(nearest[label], np.uint8)


def _places(shade: Darkness, cell: int, least: float) -> list[Mend]:
    """Return one Mend for each area that is shaded and at least so many pixels long."""
    areas = cv2.findContours((shade > 0).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)[0]
    mends = []
    for x, y, width, height in map(cv2.boundingRect, areas):
        extent = float(max(width, height) * cell)
        if extent >= least:
            mends.append(Mend("shading left out", (x + width / 2) * cell, (y + height / 2) * cell, extent))
    return sorted(mends, key=lambda mend: (mend.y, mend.x))
