"""Any depth as eight bits: 0 black to 255 white."""

import numpy as np
from numpy.typing import NDArray

from tracer.errors import ArtError

SAMPLE_BITS = (8, 10, 12, 16)
"""Depths that 16 bit counts are really taken with: a page whose brightest is 4095 came from 12 bits."""


def eight_bits(array: NDArray[np.generic], top: float | None = None) -> NDArray[np.uint8]:
    """Return any numbers as eight bits: truth values, unit floats, counts of 8, 10, 12, 16 bits or more.

    `top` is the largest value of the whole picture, where `array` is a band of it.
    What is not a number is taken as white paper.

    Raises
    ------
    ArtError
        For what is no number at all: complex values, words, dates.
    """
    if array.dtype == np.uint8:
        return np.ascontiguousarray(array).view(np.uint8)
    if array.dtype.kind not in "buif":
        raise ArtError(f"An array of {array.dtype} is no picture: whole numbers or floats are needed.")
    full = full_scale(highest(array) if top is None else top)
    if array.dtype.kind != "f" and full <= 65535:
        counts = (np.arange(65536, dtype=np.uint32) * 255 // int(full)).clip(max=255).astype(np.uint8)
        return np.asarray(counts[np.clip(array, 0, int(full)).astype(np.uint16)])
    wide = np.float64 if array.dtype.itemsize > 4 else np.float32
    values: NDArray[np.floating] = np.fmin(array.astype(wide), full)  # what is not a number becomes `full`
    np.maximum(values, 0.0, out=values)
    grey = (values * (255.0 / full)).astype(np.uint8)
    grey[values >= values.dtype.type(full)] = 255  # the product may be a hair less
    return grey


def highest(array: NDArray[np.generic]) -> float:
    """Return the largest finite value, at least 0."""
    if array.dtype.kind != "f":
        return max(0.0, float(array.max(initial=0)))
    return float(np.max(array, initial=0.0, where=np.isfinite(array)))


def full_scale(top: float) -> float:
    """Return the value that is white, where the largest found is `top`."""
    if top <= 1.0:
        return 1.0
    return next((float(2**bits - 1) for bits in SAMPLE_BITS if top <= 2**bits - 1), top)
