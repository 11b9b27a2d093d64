"""How much light a mark in colouring swallows, against the colouring round about: ink takes most of it."""

import cv2
import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.uint8]
Mask = NDArray[np.uint8]
Cells = NDArray[np.float32]

_AROUND = 4.0
"""Pens across of what lies round about a mark: a pen of it, and a pen and a half to each side."""

_FEW = 0.02
"""Part of that which must be colouring free of marks, or nothing can be said."""

_CLEAR = 0.9
"""Part of the brightest channel's light that a channel has to have to tell anything."""

_DIM = 3.0
"""Greys that a scan is uncertain by where it is darkest."""


def let_through(tints: list[Grey], tone: Grey, free: Mask, pens: float) -> Cells:
    """Return the part (h, w) of the light that a mark lets through, 0 to 1 and more, 0 where unknown.

    `tints` are the three channels (h, w), `tone` is one in which lines of any hue are dark, `free` is 1 on
    colouring without marks, `pens` the width of a line in cells.

    Layers of dye and wax multiply (Beer 1852, Lambert 1760): what is divided by the colouring round about
    is the mark's own. Ink swallows every channel alike, wax spares one: the most that is let through
    counts, of the channels that the colouring itself leaves bright.
    """
    size = (round(_AROUND * pens) | 1,) * 2
    share = cv2.blur(free.astype(np.float32), size)
    around = np.stack([cv2.blur(tint * free.astype(np.float32), size) for tint in tints])
    clear = around / np.maximum(share, 1e-4)
    parts = (np.minimum(tints, tone).astype(np.float32) + _DIM) / (clear + _DIM)
    part = np.where(clear > _CLEAR * clear.max(axis=0), parts, 0).max(axis=0)
    return np.where(share > _FEW, part, 0).astype(np.float32)


def as_wide(marks: Mask, width: int) -> Mask:
    """Return the marks (h, w) without what is narrower than so many cells."""
    square = np.ones((width, width), np.uint8)
    inner = cv2.erode(marks, square, anchor=(0, 0))  # an even square has no middle: there and back
    return np.asarray(cv2.dilate(inner, square, anchor=(width - 1, width - 1)), np.uint8)


def with_bridges(kept: Mask, marks: Mask) -> Mask:
    """Return what is `kept` (h, w) of the marks, and the rest of them that joins it at two places or more."""
    count, rest = cv2.connectedComponents(marks & (1 - kept), connectivity=8)
    near = cv2.dilate(rest.astype(np.float32), np.ones((3, 3), np.uint8)).astype(np.intp)
    ends, touching = cv2.connectedComponents(((near > 0) & (kept > 0)).astype(np.uint8), connectivity=8)
    of_part = np.zeros(ends, np.intp)
    of_part[touching.ravel()] = near.ravel()
    joined = np.bincount(of_part[1:], minlength=count) > 1
    joined[0] = False
    return np.asarray(kept | joined[rest], np.uint8)
