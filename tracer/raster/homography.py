"""A flat sheet seen in perspective, and seen straight again."""

import math

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

_CELL = 8
"""Pixels to a cell of the coarse picture from which missing paper is filled in."""


def homography(points: Array, to: Array) -> Array:
    """Return the 3 x 3 matrix that leads four points (4, 2) to four others, its last entry 1.

    Four corners give eight equations for eight unknowns (Hartley and Zisserman 2004, 4.1).
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(points, to, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.append(np.linalg.solve(np.array(rows, float), np.array(right, float)), 1.0).reshape(3, 3)


def led_through(matrix: Array, points: Array) -> Array:
    """Return points (n, 2) where a 3 x 3 matrix leads them."""
    led = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(led[:, :2] / led[:, 2:])


def area_of(corners: Array) -> float:
    """Return the area of a quad (4, 2)."""
    (ax, ay), (bx, by) = corners[2] - corners[0], corners[3] - corners[1]
    return float(abs(ax * by - ay * bx)) / 2


def flattened(picture: Picture, to_flat: Array, size: tuple[int, int]) -> Picture:
    """Return what a 3 x 3 matrix makes of a picture (H, W[, 3]), of `size` (width, height) px.

    `to_flat` leads art px of the picture to art px of the flat one, both with the first pixel's
    centre at (0.5, 0.5). What lies out of the picture becomes paper as bright as that round about.
    """
    centre = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    matrix = np.linalg.inv(centre) @ to_flat @ centre
    cubic = cv2.INTER_CUBIC
    flat = np.asarray(
        cv2.warpPerspective(picture, matrix, size, flags=cubic, borderMode=cv2.BORDER_REPLICATE), np.uint8
    )
    seen = _seen(picture.shape, to_flat, size)
    return flat if seen is None else _filled(flat, seen)


def _seen(shape: tuple[int, ...], to_flat: Array, size: tuple[int, int]) -> Picture | None:
    """Return where (H, W) the flat picture shows what was photographed, or None where it does everywhere."""
    height, width = shape[:2]
    flat_corners = np.array([[0, 0], [size[0], 0], [size[0], size[1]], [0, size[1]]], float)
    back = led_through(np.asarray(np.linalg.inv(to_flat), np.float64), flat_corners)
    if (back >= 0).all() and (back <= (width, height)).all():
        return None
    centre = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    matrix = np.linalg.inv(centre) @ to_flat @ centre
    whole = np.full((height, width), 255, np.uint8)
    seen = np.asarray(cv2.warpPerspective(whole, matrix, size, flags=cv2.INTER_NEAREST), np.uint8)
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
