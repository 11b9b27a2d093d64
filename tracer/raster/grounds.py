"""Ink in colouring as darkness: how far each pixel is from the colouring beside it to the ink beside it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.cells import celled, spread

Grey = NDArray[np.uint8]
Mask = NDArray[np.uint8]
Cells = NDArray[np.float32]

_NEAR = 1.0
"""Cells to which a tone bears first."""

_FARTHER = 1e-2
"""Weight of what lies farther away, against what lies near."""

_NONE = 1e-7
"""Weight from which on a tone is known."""

_CLEAR = 60.0
"""Greys between colouring and ink from which on single pixels tell; with less they are blurred."""

_LEAST = 4.0
"""Greys between colouring and ink below which there is but noise."""

_SMOOTH = 1.5
"""Pixels by which they are smoothed."""


_FINELY = 4.0
"""Taken together cells that a blur is wide at the least: its bell is smooth between them."""


@dataclass(frozen=True, eq=False)
class Tones:
    """What lies beside and under each place of a page, in cells (h, w, 3) of three channels.

    Attributes
    ----------
    ground : the colouring, or the paper, nearest by.
    ink : the ink nearest by, below 0 where there is none.
    """

    ground: Cells
    ink: Cells


def tones_at(values: Cells, ground: Cells, ink: Cells, pens: float) -> Tones:
    """Return the tones by where cells are ground and where they are ink (h, w), 0 to 1."""
    sizes = (_NEAR, pens / 2, 2 * pens)
    return Tones(*(_carried(values * known[..., None], known, sizes) for known in (ground, ink)))


def tones_of(tints: list[Grey], ground: Mask, ink: Mask, cell: int, pens: float) -> Tones:
    """Return the tones by where pixels are ground and where they are ink (H, W), 0 or 255."""
    sizes = (_NEAR, pens / 2, 2 * pens)
    found = []
    for known in (ground, ink):
        sums = np.dstack([celled(tint & known, cell) for tint in tints]).astype(np.float32)
        found.append(_carried(sums, celled(known, cell).astype(np.float32) / np.float32(255), sizes))
    return Tones(*found)


def _carried(sums: Cells, known: Cells, sizes: tuple[float, ...]) -> Cells:
    """Return values (h, w, 3) everywhere: of what is known near by, else farther away; else -1."""
    total, weight = np.zeros_like(sums), np.zeros_like(known)
    for k, size in enumerate(sizes):
        cv2.scaleAdd(_blurred(sums, size), _FARTHER**k, total, dst=total)
        cv2.scaleAdd(_blurred(known, size), _FARTHER**k, weight, dst=weight)
    mean = np.asarray(cv2.divide(total, cv2.merge([np.maximum(weight, _NONE)] * 3)), np.float32)
    mean[weight <= _NONE] = -1
    return mean


def _blurred(cells: Cells, size: float) -> Cells:
    """Return cells (h, w[, 3]) blurred. Far ones are taken together: nobody sees the difference."""
    step = int(size / _FINELY)
    if step < 2:
        return np.asarray(cv2.GaussianBlur(cells, (0, 0), size), np.float32)
    down, across = (-n % step for n in cells.shape[:2])
    whole = cv2.copyMakeBorder(cells, 0, down, 0, across, cv2.BORDER_REPLICATE)
    wide, tall = whole.shape[1], whole.shape[0]
    small = cv2.resize(whole, (wide // step, tall // step), interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), size / step)
    return np.asarray(cv2.resize(small, (wide, tall))[: cells.shape[0], : cells.shape[1]], np.float32)


def darkness_on(tints: list[Grey], tones: Tones, cell: int) -> Grey:
    """Return darkness (H, W): 0 on the ground, 255 where it is as dark as the ink near by.

    The three channels (H, W) count by how far ground and ink are apart in them: that is the mean with
    least noise.
    """
    grounds, inks = cv2.split(tones.ground), cv2.split(tones.ink)
    apart = [np.maximum(ground - ink, 0) * (ink >= 0) for ground, ink in zip(grounds, inks, strict=True)]
    square = np.add.reduce([part * part for part in apart])
    slope = np.where(square > _LEAST**2, 255 / np.maximum(square, 1), 0)
    slopes = [slope * part for part in apart]
    shape = tints[0].shape
    level = np.add.reduce([part * ground for part, ground in zip(slopes, grounds, strict=True)])
    dark = _spread(level, cell, shape)
    for part, tint in zip(slopes, tints, strict=True):
        cv2.subtract(dark, cv2.multiply(_spread(part, cell, shape), tint, dtype=cv2.CV_32F), dst=dark)
    clear = _spread(np.minimum(square / _CLEAR**2, 1), cell, shape)
    smooth = cv2.GaussianBlur(dark, (0, 0), _SMOOTH)
    dark -= smooth
    dark *= clear
    dark += smooth
    return np.clip(dark, 0, 255, out=dark).astype(np.uint8)


def _spread(cells: Cells, cell: int, shape: tuple[int, ...]) -> Cells:
    """Return the values (H, W) of cells at each pixel."""
    return np.asarray(spread(cells.astype(np.float32, copy=False), cell, shape), np.float32)
