"""A picture as cells: square means a part of a pen wide, on which whole pages are looked at quickly."""

import cv2
import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.uint8]


def celled(picture: Grey, cell: int) -> Grey:
    """Return the means (h, w[, 3]) of the square cells of a picture (H, W[, 3]), counted from its corner."""
    down, across = (-n % cell for n in picture.shape[:2])
    if down or across:
        picture = np.asarray(cv2.copyMakeBorder(picture, 0, down, 0, across, cv2.BORDER_REPLICATE), np.uint8)
    size = picture.shape[1] // cell, picture.shape[0] // cell
    return np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), np.uint8)


def spread(cells: Grey, cell: int, shape: tuple[int, ...]) -> Grey:
    """Return the values (H, W) of `shape` that cells (h, w) have at each pixel, smooth between them."""
    size = cells.shape[1] * cell, cells.shape[0] * cell
    whole = cv2.resize(cells, size, interpolation=cv2.INTER_LINEAR)
    return np.ascontiguousarray(whole[: shape[0], : shape[1]])


def disc(diameter: float) -> Grey:
    """Return a disc as a mask, an odd number of pixels across."""
    across = max(1, round(diameter)) | 1
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (across, across)), np.uint8)


def closed(cells: Grey, shape: Grey) -> Grey:
    """Return cells (h, w) without what is darker than round about and narrower than `shape`."""
    return np.asarray(cv2.morphologyEx(cells, cv2.MORPH_CLOSE, shape), np.uint8)


def opened(cells: Grey, shape: Grey) -> Grey:
    """Return cells (h, w) without what is brighter than round about and narrower than `shape`."""
    return np.asarray(cv2.morphologyEx(cells, cv2.MORPH_OPEN, shape), np.uint8)


def widened(cells: Grey, diameter: float) -> Grey:
    """Return cells (h, w) where each has the largest value of those in a disc about it."""
    return np.asarray(cv2.dilate(cells, disc(diameter)), np.uint8)


def lightest_of(channels: list[Grey]) -> Grey:
    """Return the lightest of three channels (H, W) at each pixel."""
    return np.asarray(cv2.max(cv2.max(channels[0], channels[1]), channels[2]), np.uint8)


def darkest_of(channels: list[Grey]) -> Grey:
    """Return the darkest of three channels (H, W) at each pixel."""
    return np.asarray(cv2.min(cv2.min(channels[0], channels[1]), channels[2]), np.uint8)
