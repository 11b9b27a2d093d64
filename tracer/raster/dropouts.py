"""White holes inside lines filled: a worn copier and a dry pen leave them, and they part a line in two.

A hole that belongs to the drawing, the eye of a letter or a mesh, has lines round it: filled, it would
be far wider than a pen. A hole in a line is no wider than the line when it is filled.
"""

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.raster.binarize import depths

Mask = NDArray[np.uint8]

LARGEST = 1.5
"""Squared line widths that a hole is large at the most."""

DEEPEST = 0.75
"""Line widths that the filled ink is deep: half in a line, 0.71 where two lines cross."""

LINE = 0.35
"""Line widths that the ink beside is deep at the least: a ring of a finer pen is no line with a hole."""

WORN, LARGE, PIXELS = 3, 0.25, 3.0
"""Holes in lines from which on a picture is a worn copy, and its lines have bites, too; and line widths and
art pixels that each is across: where lines just fail to merge there are smaller ones, and fine lines on
screens leave holes of 1 to 3 pixels there.
"""

BITE = 1.4
"""Line widths that bites are wide at the most."""

LEAST = 0.5
"""Line widths round a bite at the least: less is the roughness of an edge."""

SOFT = 2
"""Pixels of the darkness round a hole that its own blur makes pale."""


def fill_holes(mask: Mask, darkness: Mask, pen: float, zoom: float) -> list[Mend]:
    """Fill, in place, the holes of lines in `mask` (H, W) and in the finer `darkness` (H * n, W * n).

    `pen` is in pixels of the mask, of which there are `zoom` to an art pixel.
    """
    outlines, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    holes = [
        outline
        for outline, (*_, parent) in zip(outlines, tree[0] if tree is not None else [], strict=True)
        if parent >= 0 and cv2.contourArea(outline) <= LARGEST * pen**2 + len(outline)
    ]
    return _filled(holes, mask, darkness, pen=pen, zoom=zoom)


def is_worn(holes: Sequence[Mend], pen: float) -> bool:
    """Say whether so many holes were filled that the picture is a worn copy; `pen` is in art pixels."""
    return sum(hole.size_px > max(LARGE * pen, PIXELS) for hole in holes) >= WORN


def fill_bites(mask: Mask, darkness: Mask, pen: float, zoom: float) -> list[Mend]:
    """Fill, in place, the bites out of the edges of lines, and cuts through them, as `fill_holes` does.

    Specks must be gone, or they would be tied to the lines.
    """
    across = round(BITE * pen) | 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (across, across))
    bites = np.asarray(cv2.morphologyEx(mask, cv2.MORPH_CLOSE, disc), np.uint8) & (1 - mask)
    outlines = cv2.findContours(bites, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)[0]
    large = [outline for outline in outlines if len(outline) > LEAST * pen]
    return _filled(large, mask, darkness, pen=pen, zoom=zoom)


def _filled(
    outlines: Sequence[NDArray[Any]], mask: Mask, darkness: Mask, *, pen: float, zoom: float
) -> list[Mend]:
    """Fill, in place, those outlines that lie within lines."""
    grain = darkness.shape[0] // mask.shape[0]
    margin = round(2 * pen) + 2
    mends = []
    for outline in outlines:
        x, y, width, height = cv2.boundingRect(outline)
        left, top = max(0, x - margin), max(0, y - margin)
        part = mask[top : y + height + margin, left : x + width + margin]
        inside = np.zeros_like(part)
        cv2.drawContours(inside, [outline], -1, 1, cv2.FILLED, offset=(-left, -top))
        hole = inside & (1 - part)
        if hole.any() and _is_within_a_line(part, hole, pen):
            part |= hole
            rows, columns = grain * np.array(part.shape)
            fine = darkness[grain * top :, grain * left :][:rows, :columns]
            _darken(fine, part, hole)
            mends.append(_mend(hole, (left, top), zoom))
    return mends


def _mend(hole: Mask, corner: tuple[int, int], zoom: float) -> Mend:
    """Describe a hole (h, w) of a window with its corner at (x, y), in art pixels."""
    x, y, width, height = cv2.boundingRect(hole)
    middle = corner[0] + x + width / 2, corner[1] + y + height / 2
    return Mend("pinhole filled", middle[0] / zoom, middle[1] / zoom, max(width, height) / zoom)


def _is_within_a_line(part: Mask, hole: Mask, pen: float) -> bool:
    """Say whether a hole (h, w) lies in a line that goes on beside it, about as wide as there."""
    walled = cv2.copyMakeBorder(part | hole, 1, 1, 1, 1, cv2.BORDER_REPLICATE)
    filled = depths(np.asarray(walled, np.uint8))[1:-1, 1:-1]
    if filled[hole > 0].max() > DEEPEST * pen:
        return False
    return bool(depths(part).max() > LINE * pen)


def _darken(fine: Mask, part: Mask, hole: Mask) -> None:
    """Make a window of the darkness (h * n, w * n) full in a hole (h, w) and its blur, but for the edge."""
    size = fine.shape[1], fine.shape[0]
    wide = cv2.resize(hole, size, interpolation=cv2.INTER_NEAREST)
    soft = cv2.dilate(wide, np.ones((2 * SOFT + 1, 2 * SOFT + 1), np.uint8)) > 0
    inner = cv2.erode(cv2.resize(part, size, interpolation=cv2.INTER_NEAREST), np.ones((3, 3), np.uint8)) > 0
    fine[soft & (inner | (wide > 0))] = 255
