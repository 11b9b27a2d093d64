"""The whole raster stage: a Scan in, the Ink out."""

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.errors import ArtError
from tracer.model.ink import Ink, Mend
from tracer.model.scan import Scan
from tracer.raster.binarize import LEVEL, depths, ink_mask, levelled
from tracer.raster.clean import clean
from tracer.raster.grid import coarser, grid_of, padded
from tracer.raster.light import darkness_of, histogram
from tracer.raster.separate import line_width_of, solid_mask
from tracer.raster.thin import thin


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
    grid = grid_of(darkness)
    if not grid.line_width:
        raise ArtError(f"{scan.name} has no ink dark enough to follow: use a picture with darker lines.")
    if grid.enlarged > 1:
        darkness = _enlarged(darkness, grid.enlarged)
    darkness = padded(levelled(darkness, grid.line_width * grid.enlarged), grid.grain)
    zoom = grid.enlarged / grid.grain
    mask, cleaned = clean(ink_mask(coarser(darkness, grid.grain)), grid.line_width * zoom, zoom)
    return _separated(darkness, mask, mends + cleaned, zoom=zoom, grain=grid.grain, name=scan.name)


def _enlarged(darkness: NDArray[np.uint8], times: int) -> NDArray[np.uint8]:
    """Return the darkness (H, W) as (H * times, W * times)."""
    finer = cv2.resize(darkness, None, fx=times, fy=times, interpolation=cv2.INTER_CUBIC)
    return np.asarray(finer, np.uint8)


def _separated(
    darkness: NDArray[np.uint8],
    mask: NDArray[np.uint8],
    mends: list[Mend],
    *,
    zoom: float,
    grain: int,
    name: str,
) -> Ink:
    """Thin the ink, and tell lines from solids."""
    depth = depths(mask)
    skeleton = thin(mask > 0, depth)
    if not skeleton.any():
        raise ArtError(f"{name} holds only specks, no line to follow: use a sharper or larger picture.")
    pen = line_width_of(skeleton, depth)
    solid = solid_mask(mask, depth, skeleton, pen)
    return Ink(
        zoom=zoom,
        grain=grain,
        darkness=darkness,
        level=LEVEL,
        line=(mask > 0) & ~solid,
        solid=solid,
        skeleton=skeleton & ~solid,
        radius=depth,
        line_width=pen,
        mends=tuple(mends),
    )


def _refuse_blank(scan: Scan) -> None:
    """Refuse pictures without a light and a dark."""
    seen = np.flatnonzero(histogram(scan.grey))
    low, high = int(seen[0]), int(seen[-1])
    if high - low < 24:
        what = "blank" if high > 127 else "all dark"
        raise ArtError(
            f"{scan.name} is {what}: its greys span {high - low} of 255, at least 24 are needed. "
            "Choose a picture with dark lines on light paper."
        )


def _dark_on_light(scan: Scan) -> tuple[Scan, list[Mend]]:
    """Turn white lines on black round, and say so."""
    height, width = scan.grey.shape
    if _median(scan.grey) > 100 or np.median(scan.grey[:: max(1, height - 1)]) > 100:
        return scan, []
    colour = None if scan.colour is None else 255 - scan.colour
    turned = replace(scan, grey=255 - scan.grey, colour=colour)
    return turned, [Mend("turned round", width / 2, height / 2, float(max(width, height)))]


def _median(grey: NDArray[np.uint8]) -> int:
    """Return the middle grey of a picture."""
    below = np.cumsum(histogram(grey))
    return int(np.searchsorted(below, below[-1] / 2))
