"""Punched holes: dark discs in a row along one edge of the sheet, where the scanner's lid shows through."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend

Mask = NDArray[np.uint8]
Marks = NDArray[np.float64]

ACROSS_MM = 4.5, 8.5
"""mm across a hole: 6 by ISO 838 with its tolerance, up to 8 in America (common practice)."""

ACROSS = 0.02, 0.042
"""The same in parts of a sheet's shorter side, where its size is not known."""

EDGE = 0.1
"""Part of the picture across that lies between a hole's middle and its edge at the most: ISO 838, 12 mm."""

APART = 8.0
"""Holes across that they are apart at the least: 80 mm by ISO 838, 70 and 108 mm in America."""

ALIKE, IN_LINE = 0.15, 0.3
"""Parts of a hole across by which holes differ in size, and lie out of line, at the most."""

ROUND = 0.9
"""Part of the disc about its box that a hole fills at the least, and of a disc's area that its hull has."""


def drop_holes(mask: Mask, darkness: Mask, zoom: float, mm_per_px: float | None) -> list[Mend]:
    """Take away, in place, punched holes from `mask` (H, W) and the finer `darkness` (H * n, W * n).

    Of `zoom` ink pixels to an art pixel, `mm_per_px` is the art pixel's size. Dots at two opposite edges are
    an ornament.
    """
    low, high = (
        tuple(part * min(mask.shape) for part in ACROSS)
        if mm_per_px is None
        else tuple(mm * zoom / mm_per_px for mm in ACROSS_MM)
    )
    outlines = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)[0]
    discs = []
    for outline in outlines:
        x, y, wide, tall = cv2.boundingRect(outline)
        across = (wide + tall) / 2
        full = cv2.contourArea(outline) + len(outline) / 2
        if (
            low <= across <= high
            and abs(wide - tall) < ALIKE * across
            and full > ROUND * np.pi / 4 * wide * tall
        ):
            discs.append((x + wide / 2, y + tall / 2, across))
    marks = np.array(discs).reshape(-1, 3)
    rows = [_row(marks, mask.shape, side) for side in range(4)]
    grain = darkness.shape[0] // mask.shape[0]
    mends = []
    for side, row in enumerate(rows):
        if not len(row) or len(rows[(side + 2) % 4]):
            continue
        for x, y, across in row.tolist():
            reach = across / 2 + 2
            cv2.circle(mask, (round(x), round(y)), round(reach), 0, cv2.FILLED)
            cv2.circle(darkness, (round(x * grain), round(y * grain)), round(reach * grain), 0, cv2.FILLED)
            mends.append(Mend("hole left out", x / zoom, y / zoom, across / zoom))
    return mends


def _row(marks: Marks, shape: tuple[int, ...], side: int) -> Marks:
    """Return the discs (m, 3: x, y, across) in a row along one edge: 0 left, 1 top, 2 right, 3 bottom."""
    across = side % 2
    far = marks[:, across] if side < 2 else shape[1 - across] - marks[:, across]
    near = marks[far < EDGE * shape[1 - across]]
    if len(near) < 2:
        return near[:0]
    usual = np.median(near, axis=0)
    like = np.abs(near[:, 2] - usual[2]) < ALIKE * usual[2]
    like &= np.abs(near[:, across] - usual[across]) < IN_LINE * usual[2]
    row = near[like]
    gaps = np.diff(np.sort(row[:, 1 - across]))
    return row if len(row) >= 2 and gaps.min() > APART * usual[2] else near[:0]
