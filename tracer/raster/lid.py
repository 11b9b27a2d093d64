"""Dark bands along the picture's border: a scanner's lid beside the sheet, or the shadow of its edge.

A band is wider than a line, thin for the page, and its inner edge is straight, if slanted. What is drawn
and meets it ends there.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.raster.border import WIDEST, unturned

Mask = NDArray[np.uint8]
Cells = NDArray[np.float64]

LONG = 0.6
"""Part of a side that a band runs along at the least."""

THICKEST = 0.08
"""Part of the picture across it that a band is thick at the most: 24 mm of A4's length."""

STRAIGHT = 0.4
"""Line widths that the inner edge is off a straight line at the most, on most of it."""

MOST = 0.8
"""Part of the band where that is so: lines that meet it hide the rest."""


def drop_bands(mask: Mask, darkness: Mask, pen: float, zoom: float) -> list[Mend]:
    """Take away, in place, bands of ink along the border from `mask` (H, W) and `darkness` (H * n, W * n).

    `pen` is in pixels of the mask, of which there are `zoom` to an art pixel.
    """
    grain = darkness.shape[0] // mask.shape[0]
    edges = [_inner_edge(np.rot90(mask, quarter), pen) for quarter in range(4)]
    if all(edge is not None for edge in edges):
        return []  # a frame
    mends = []
    for quarter, edge in enumerate(edges):
        if edge is None:
            continue
        rows = int(edge.max() + pen / 2) + 1
        side, fine = np.rot90(mask, quarter)[:rows], np.rot90(darkness, quarter)[: rows * grain]
        gone = np.arange(len(side))[:, None] <= edge + pen / 2
        ink = side.astype(bool) & gone
        side[gone] = 0
        fine[gone.repeat(grain, 0).repeat(grain, 1)] = 0
        column = float(np.flatnonzero(ink.any(axis=0)).mean())
        x, y = unturned(column, float(edge.mean()) / 2, quarter, mask.shape)
        mends.append(Mend("shadow left out", x / zoom, y / zoom, float(ink.any(axis=0).sum()) / zoom))
    return mends


def _inner_edge(side: Mask, pen: float) -> Cells | None:
    """Return the row (W,) where a band at the top of a picture (H, W) ends; None where there is none."""
    if np.count_nonzero(side[0]) < LONG * side.shape[1]:
        return None
    most = int(THICKEST * len(side))
    near = side[: 2 * most + 1]
    thick = np.where(near.all(axis=0), len(near), near.argmin(axis=0)).astype(np.float64)
    columns = np.flatnonzero(thick > 0)
    if not WIDEST * pen < np.median(thick[columns]) <= most:
        return None
    vx, vy, x, y = (
        cv2.fitLine(
            np.column_stack([columns, thick[columns]]).astype(np.float32), cv2.DIST_WELSCH, 0, 0.01, 0.01
        )
        .ravel()
        .tolist()
    )
    edge = np.asarray(y + (np.arange(len(thick)) - x) * vy / max(abs(vx), 1e-6) * np.sign(vx or 1.0))
    straight = np.abs(thick - edge)[columns] < max(2.0, STRAIGHT * pen)
    return edge if straight.mean() > MOST else None
