"""A small copy of a picture, for a first look that costs next to nothing."""

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]


def glance(pixels: Pixels, side: int) -> Pixels:
    """Return the picture (H, W[, 3]) with a longer side of about `side` pixels, never enlarged.

    Only every few pixels of a large one are averaged: for a look at areas that is enough.
    """
    skip = max(1, max(pixels.shape[:2]) // (3 * side))
    some = np.ascontiguousarray(pixels[::skip, ::skip])
    times = max(1, round(max(some.shape[:2]) / side))
    size = max(1, some.shape[1] // times), max(1, some.shape[0] // times)
    return np.asarray(cv2.resize(some, size, interpolation=cv2.INTER_AREA), np.uint8)
