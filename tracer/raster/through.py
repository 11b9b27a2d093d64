"""What shines through from the back is left out: pale marks that paper has blurred; faint lines stay."""

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.raster.binarize import Darkness

Reals = NDArray[np.float32]
Mask = NDArray[np.uint8]

SMALL = 800
"""Pixels of the longer side of the copy for the first look."""

PALE, STRONG = 24, 128
"""Darkness, of 255, of pale marks; from which on it is ink beyond doubt, or too pale to matter."""

SOME = 0.001
"""Part of the page with pale marks away from ink from which on they are looked at."""

SPREAD_MM = 0.15
"""Standard deviation, mm, by which paper blurs what is on its back at least; pens and pencils are sharper."""

SPREAD = 0.06
"""The same in widths of the drawing's lines, where nobody knows how large a pixel is."""

LEAST = 1.2
"""Pixels by which it does so at the least, or nobody could tell."""

LOOK = 1.0
"""Pixels by which the page is blurred before slopes are measured: noise."""

FEW = 12
"""Places on a mark's edge that must be seen to judge it."""


def without_show_through(darkness: Darkness, mm_per_px: float | None) -> tuple[Darkness, list[Mend]]:
    """Return `darkness` (H, W) without pale, blurred marks, and one Mend round all of them.

    The slope of an edge at half of its height tells its blur: height / (sqrt(2 pi) slope). What is
    less sharp than the drawing's ink by more than paper's own spread is on the back. As light is,
    it is divided out, beneath the blurred edges of ink, too.
    Limits: marks as dark as half the ink stay, and so do parts that touch sharp faint lines.
    """
    if not _may_shine(darkness):
        return darkness, []
    smooth = np.asarray(cv2.GaussianBlur(darkness, (0, 0), LOOK), np.uint8)
    slope = _slopes(smooth)
    ink = (smooth > STRONG).astype(np.uint8)
    pen, blur = _pen_and_blur(ink, slope)
    spread = SPREAD * pen if mm_per_px is None else SPREAD_MM / mm_per_px
    ring = _disc(math.ceil(3 * blur) + 2)
    away = cv2.dilate(ink, ring) == 0
    pale = ((smooth > PALE) & away).astype(np.uint8)
    marks = _blurred(pale, smooth, slope, least=math.hypot(blur, max(spread, LEAST)))
    if not marks.any():
        return darkness, []
    dark = cv2.dilate(smooth * marks, ring)
    dark[(cv2.dilate(marks, _disc(3)) == 0) & away] = 0
    left = cv2.bitwise_not(cv2.divide(cv2.bitwise_not(darkness), cv2.bitwise_not(dark), scale=255))
    x, y, width, height = cv2.boundingRect(marks)
    return np.asarray(left, np.uint8), [
        Mend("show-through left out", x + width / 2, y + height / 2, float(max(width, height)))
    ]


def _may_shine(darkness: Darkness) -> bool:
    """Say whether there are pale marks away from ink, by a small copy."""
    skip = max(1, max(darkness.shape) // SMALL)
    some = cv2.blur(darkness, (3, 3))[::skip, ::skip] if skip == 1 else darkness[::skip, ::skip]
    near = cv2.dilate((some > STRONG).astype(np.uint8), np.ones((7, 7), np.uint8))
    return bool(((some > PALE) & (near == 0)).mean() > SOME)


def _slopes(smooth: Darkness) -> Reals:
    """Return how steep a page (H, W) is, per pixel."""
    x, y = (cv2.Sobel(smooth, cv2.CV_32F, 1 - k, k, ksize=3, scale=1 / 8) for k in (0, 1))
    return np.asarray(cv2.magnitude(x, y), np.float32)


def _pen_and_blur(ink: Mask, slope: Reals) -> tuple[float, float]:
    """Return the mean width of ink, and the blur of its edges, in pixels."""
    edge = (ink - cv2.erode(ink, np.ones((3, 3), np.uint8))) > 0
    if not edge.any():
        return 0.0, LOOK
    steep = float(np.median(slope[edge]))
    return 2 * np.count_nonzero(ink) / np.count_nonzero(edge), 255 / (
        math.sqrt(2 * math.pi) * max(steep, 1.0)
    )


def _blurred(pale: Mask, smooth: Darkness, slope: Reals, *, least: float) -> Mask:
    """Return those of the pale marks (H, W) whose edges are blurred by at least `least` pixels."""
    _, label, boxes, _ = cv2.connectedComponentsWithStats(pale, connectivity=8)
    blurred = np.zeros_like(pale)
    for k in np.flatnonzero(boxes[1:, 4] >= FEW) + 1:
        x, y, width, height, _ = boxes[k]
        window = np.s_[y : y + height, x : x + width]
        own = label[window] == k
        values, slopes = smooth[window][own].astype(np.float32), slope[window][own]
        top = float(np.percentile(values, 90))
        edge = np.abs(values - top / 2) < 0.15 * top
        if np.count_nonzero(edge) < FEW:
            continue
        steep = float(np.percentile(slopes[edge], 60))
        if top / (math.sqrt(2 * math.pi) * max(steep, 1e-3)) > least:
            blurred[window][own] = 1
    return blurred


def _disc(radius: int) -> Mask:
    """Return a disc."""
    return np.asarray(
        cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * radius + 1, 2 * radius + 1)), np.uint8
    )
