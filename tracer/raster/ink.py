"""The whole raster stage: a Scan in, the Ink out."""

import math
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.errors import ArtError
from tracer.model.ink import Ink, Mend
from tracer.model.scan import Scan
from tracer.raster.binarize import LEVEL, depths, ink_mask, levelled, ridge_widths
from tracer.raster.clean import clean
from tracer.raster.light import darkness_of
from tracer.raster.separate import solid_mask
from tracer.raster.thin import thin

FINE = 5.0
"""Pixels across a line below which the picture is enlarged before the threshold."""

MOST_PIXELS = 24_000_000
"""Pixels beyond which a picture is not enlarged further."""


def find_ink(scan: Scan) -> Ink:
    """Return the ink of a picture: lines, solids and the skeleton of the lines.

    Raises
    ------
    ArtError
        Where the picture is blank, or all dark.
    """
    _refuse_blank(scan)
    scan, mends = _dark_on_light(scan)
    darkness = darkness_of(scan)
    width = _line_width(darkness, scan.name)
    zoom = _zoom(width, darkness.shape)
    if zoom > 1:
        darkness = np.clip(cv2.resize(darkness, None, fx=zoom, fy=zoom, interpolation=cv2.INTER_CUBIC), 0, 1)
    darkness = levelled(darkness, width * zoom)
    mask, cleaned = clean(ink_mask(darkness), width * zoom, zoom)
    return _separated(darkness, mask, mends + cleaned, zoom=zoom, name=scan.name)


def _separated(
    darkness: NDArray[np.float32], mask: NDArray[np.uint8], mends: list[Mend], *, zoom: int, name: str
) -> Ink:
    """Tell lines from solids and thin the lines."""
    depth = depths(mask)
    widths = ridge_widths(depth)
    if not len(widths):
        raise ArtError(f"{name} holds only specks, no line to follow: use a sharper or larger picture.")
    solid = solid_mask(mask, depth, float(np.percentile(widths, 80)))
    line = (mask > 0) & (solid == 0)
    return Ink(
        zoom=zoom,
        grain=1,
        darkness=np.round(255 * darkness).astype(np.uint8),
        level=LEVEL,
        line=line,
        solid=solid > 0,
        skeleton=thin(line),
        radius=depth,
        line_width=float(np.median(widths)),
        mends=tuple(mends),
    )


def _refuse_blank(scan: Scan) -> None:
    """Refuse pictures without a light and a dark."""
    low, high = np.percentile(scan.grey[::2, ::2], [0, 100])
    if high - low < 24:
        what = "blank" if high > 127 else "all dark"
        raise ArtError(
            f"{scan.name} is {what}: its greys span {high - low:.0f} of 255, at least 24 are needed. "
            "Choose a picture with dark lines on light paper."
        )


def _dark_on_light(scan: Scan) -> tuple[Scan, list[Mend]]:
    """Turn white lines on black round, and say so."""
    height, width = scan.grey.shape
    if np.median(scan.grey) > 100 or np.median(scan.grey[:: max(1, height - 1)]) > 100:
        return scan, []
    colour = None if scan.colour is None else 255 - scan.colour
    turned = replace(scan, grey=255 - scan.grey, colour=colour)
    return turned, [Mend("turned round", width / 2, height / 2, float(max(width, height)))]


def _line_width(darkness: NDArray[np.float32], name: str) -> float:
    """Return the typical width of the lines in art pixels, at least 1."""
    widths = ridge_widths(depths(ink_mask(darkness)))
    if not len(widths):
        raise ArtError(f"{name} has no ink dark enough to follow: use a picture with darker lines.")
    return max(1.0, float(np.median(widths)))


def _zoom(line_width: float, shape: tuple[int, ...]) -> int:
    """Return how many times to enlarge, so that a line is FINE pixels wide where memory allows."""
    affordable = math.isqrt(max(1, MOST_PIXELS // (shape[0] * shape[1])))
    return max(1, min(math.ceil(FINE / line_width), affordable, 3))
