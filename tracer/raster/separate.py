"""Lines told from solids by their width."""

import cv2
import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.uint8]

WIDER = 2.5
"""Ink wider than this many pen lines is solid: its middle means nothing, its edge is followed."""

STUB = 1.5
"""What sticks out of a solid by less than this many line widths belongs to it."""


def solid_mask(mask: Mask, depth: NDArray[np.float32], pen: float) -> Mask:
    """Return 1 on ink (H, W) that is much wider than a pen line of width `pen` pixels, 0 elsewhere.

    `depth` (H, W) is the ink's distance to paper. An opening by a disc of the
    limiting width finds the bodies; corners and bumps that the disc cannot reach
    are given back to them, lines that run into them are not.
    """
    reach = WIDER * pen / 2
    core = (depth > reach + 0.5).astype(np.uint8)
    if not core.any():
        return core
    away = cv2.distanceTransform(1 - core, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    body = (mask > 0) & (away <= reach + 1.0)
    count, found, _, _ = cv2.connectedComponentsWithStats((mask & ~body).astype(np.uint8), connectivity=8)
    label = found.astype(np.intp)
    farthest = np.zeros(count)
    outside = label > 0
    np.maximum.at(farthest, label[outside], away[outside].astype(np.float64))
    touching = np.zeros(count, bool)
    touching[np.unique(label[cv2.dilate(body.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0])] = True
    bump = touching & (farthest < reach + STUB * pen)
    bump[0] = False
    solid: Mask = (body | bump[label]).astype(np.uint8)
    return solid
