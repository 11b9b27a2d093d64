"""What may have gone with the colouring: lines under colours as dark as ink, and pale coloured lines."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend, MendKind
from tracer.raster.balance import PAPER, balanced
from tracer.raster.cells import celled, closed, darkest_of, disc, lightest_of, opened, widened
from tracer.raster.colour import CHROMA

Grey = NDArray[np.uint8]
Mask = NDArray[np.uint8]

CELLS = 3
"""Cells to a line's width."""

AS_DARK = 0.3
"""Part of the way from ink to paper below which colouring hides lines: ink itself varies by a tenth."""

TINGE = 12
"""Difference between the channels, of PAPER, from which on a dark area is no black ink."""

WIDE = 2.5
"""Line widths that an area is wide at the least."""

AREA = 12.0
"""Squared line widths that a dark area covers at the least to be told of."""

HATCHED = 7.0
"""Line widths between strokes that are hatching together."""

BESIDE = 2.0
"""Line widths round ink and colouring within which thin colour is their fringe."""

LONG = 8.0
"""Line widths that a coloured line is long at the least to be told of."""


def passed_over(colour: Grey, ink: Mask, pen: float) -> list[Mend]:
    """Return where lines of a coloured-in picture (H, W, 3) may have been left out with its colouring.

    `ink` (h, w) is 1 where ink was found, at any scale, and `pen` the width of its lines in art pixels.
    """
    cell = max(1, round(pen / CELLS))
    channels = balanced(colour)
    cells = [celled(channel, cell) for channel in channels]
    lightest, darkest = lightest_of(cells), darkest_of(cells)
    found = np.asarray(cv2.resize(ink, lightest.shape[::-1], interpolation=cv2.INTER_AREA), np.uint8)
    pens = pen / cell
    tint = np.asarray(cv2.subtract(lightest, darkest), np.uint8)
    dark = _dark_areas(lightest, tint, found, pens)
    thin = _thin_colours(tint, found, pens)
    return [
        *_mends("dark colouring left out", dark, cell, area=AREA * pens**2),
        *_mends("coloured line left out", thin, cell, length=LONG * pens),
    ]


def _dark_areas(lightest: Grey, tint: Grey, ink: Mask, pens: float) -> Mask:
    """Return 1 where there is colouring (h, w) about as dark as the ink, `pens` cells across.

    Under it a line is hardly darker than what lies beside it, whatever the channel. What
    was found there and is broad may be two dyes over one another: it is told, too.
    """
    black = float(np.median(lightest[ink > 0])) if ink.any() else 0.0
    area = closed(lightest, disc(WIDE * pens))
    dark = (area < black + AS_DARK * (PAPER - black)).astype(np.uint8)
    hued = cv2.blur(tint, (2 * round(pens) + 1,) * 2) > TINGE
    return opened(dark & hued.astype(np.uint8), disc(WIDE * pens))


def _thin_colours(tint: Grey, ink: Mask, pens: float) -> Mask:
    """Return 1 on what is coloured (h, w), as thin as a line, by itself, and was not found."""
    coloured = (tint > CHROMA).astype(np.uint8)
    broad = opened(closed(coloured, disc(HATCHED * pens)), disc(1.6 * pens + 1))
    beside = widened(broad | ink, BESIDE * pens)
    return closed(coloured & (1 - beside), disc(3))


def _mends(kind: MendKind, where: Mask, cell: int, *, area: float = 0.0, length: float = 0.0) -> list[Mend]:
    """Return a Mend for each part (h, w) that covers so many cells, or is so many long; the largest first."""
    _, _, stats, middles = cv2.connectedComponentsWithStats(where, connectivity=8)
    mends = []
    for (_, _, wide, tall, size), middle in zip(stats[1:].tolist(), middles[1:], strict=True):
        if size >= area and max(wide, tall) >= length:
            x, y = ((middle + 0.5) * cell).tolist()
            mends.append(Mend(kind, x, y, float(max(wide, tall) * cell)))
    return sorted(mends, key=lambda mend: -mend.size_px)
