"""A photographed sheet resampled as seen from straight above."""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.homography import led_through
from tracer.raster.lens import Lens

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]
Map = NDArray[np.float32]

_CELL = 8
"""Pixels to a cell of the coarse picture from which missing paper is filled in."""

_GRID = 16
"""Pixels a side of the cells in whose middles a lens is worked out; between them it is as good as even."""


@dataclass(frozen=True, eq=False)
class Flattening:
    """What leads a picture to a flat one.

    Attributes
    ----------
    to_flat : 3 x 3, art px of the picture, without the lens, to art px of the flat one.
    size : (width, height) of the flat one, px.
    lens : what bent the picture, or None.
    """

    to_flat: Array
    size: tuple[int, int]
    lens: Lens | None = None


def flattened(picture: Picture, how: Flattening) -> Picture:
    """Return a picture (H, W[, 3]) made flat.

    What lies out of the picture becomes paper as bright as that round about.
    """
    if how.lens is not None:
        return _unbent(picture, how)
    flat = cv2.warpPerspective(
        picture, _by_centres(how.to_flat), how.size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    seen = _seen(picture.shape, how)
    return np.asarray(flat, np.uint8) if seen is None else _filled(np.asarray(flat, np.uint8), seen)


def _by_centres(matrix: Array) -> Array:
    """Return a matrix between art px as one between pixels counted from the first one's centre."""
    centre = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    return np.asarray(np.linalg.inv(centre) @ matrix @ centre, np.float64)


def _unbent(picture: Picture, how: Flattening) -> Picture:
    """Return a picture made flat, and without the lens."""
    x, y = _sources(how)
    flat = np.asarray(cv2.remap(picture, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE), np.uint8)
    height, width = picture.shape[:2]
    if min(x.min(), y.min()) >= 0 and x.max() <= width - 1 and y.max() <= height - 1:
        return flat
    return _filled(flat, 255 * ((x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1)).astype(np.uint8))


def _sources(how: Flattening) -> tuple[Map, Map]:
    """Return which column and row (H, W) of the picture, from its first centre, each flat pixel shows."""
    columns, rows = (math.ceil(n / _GRID) + 2 for n in how.size)
    middles = np.stack(np.meshgrid(np.arange(columns), np.arange(rows)), axis=-1).reshape(-1, 2) - 0.5
    back = led_through(
        np.asarray(np.linalg.inv(how.to_flat), np.float64), np.asarray(middles * _GRID, np.float64)
    )
    shown = back if how.lens is None else how.lens.bent(back)
    cells = (shown - 0.5).reshape(rows, columns, 2).astype(np.float32)
    fine = cv2.resize(cells, (columns * _GRID, rows * _GRID), interpolation=cv2.INTER_LINEAR)
    cut = fine[_GRID : _GRID + how.size[1], _GRID : _GRID + how.size[0]]
    return np.ascontiguousarray(cut[..., 0]), np.ascontiguousarray(cut[..., 1])


def _seen(shape: tuple[int, ...], how: Flattening) -> Picture | None:
    """Return where (H, W) the flat picture shows what was photographed, or None where it does everywhere."""
    height, width = shape[:2]
    corners = np.array([[0, 0], [how.size[0], 0], [*how.size], [0, how.size[1]]], float)
    back = led_through(np.asarray(np.linalg.inv(how.to_flat), np.float64), corners)
    if (back >= 0).all() and (back <= (width, height)).all():
        return None
    whole = np.full((height, width), 255, np.uint8)
    seen = cv2.warpPerspective(whole, _by_centres(how.to_flat), how.size, flags=cv2.INTER_NEAREST)
    return np.asarray(cv2.erode(seen, np.ones((3, 3), np.uint8)), np.uint8)


def _filled(flat: Picture, seen: Picture) -> Picture:
    """Return a flat picture with paper where nothing was `seen` (H, W)."""
    height, width = seen.shape
    size = max(2, math.ceil(width / _CELL)), max(2, math.ceil(height / _CELL))
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (11, 11))
    cells = cv2.morphologyEx(cv2.resize(flat, size, interpolation=cv2.INTER_AREA), cv2.MORPH_CLOSE, disc)
    known = cv2.erode((cv2.resize(seen, size, interpolation=cv2.INTER_AREA) == 255).astype(np.uint8), disc)
    weight = known.astype(np.float32)
    cells = cells.astype(np.float32).reshape(*cells.shape[:2], -1)
    sigma = max(size) / 12
    near = cv2.GaussianBlur(weight, (0, 0), sigma)[..., None] + np.float32(1e-6)
    mean = cells[known > 0].mean(axis=0) if known.any() else np.full(cells.shape[2], 255, np.float32)
    spread = cv2.GaussianBlur(cells * weight[..., None], (0, 0), sigma).reshape(cells.shape)
    paper = np.clip((spread + 1e-6 * mean) / near, 0, 255).astype(np.uint8)
    whole = np.ascontiguousarray(np.asarray(cv2.resize(paper, (width, height))).reshape(flat.shape))
    cv2.copyTo(flat, seen, whole)
    return whole


def with_clean_rim(flat: Picture, rim: tuple[int, int, int, int]) -> Picture:
    """Return a flat picture whose `rim` px at the top, right, bottom and left repeat what lies within.

    Just inside a sheet's edge lie its shadow, its cut and what little a bow leaves of the table.
    """
    top, right, bottom, left = rim
    height, width = flat.shape[:2]
    inner = flat[top : height - bottom, left : width - right]
    return np.asarray(cv2.copyMakeBorder(inner, top, bottom, left, right, cv2.BORDER_REPLICATE), np.uint8)
