"""Grey levels stretched: 0 at the paper's usual grey, 255 at the darkest ink's."""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.uint8]

_FEW = 2e-4
"""Part of the picture below which what is darker than half the paper is specks."""

_CONTRAST = 24
"""Greys between paper and ink below which there is no ink but noise."""


def stretched(grey: Grey) -> Grey:
    """Return darkness (H, W): 0 at the paper's usual grey, 255 at the darkest ink's.

    The ink's grey is the first tenth of what is darker than half the paper's, so that one
    black speck does not set it. Where next to nothing is (hard pencil, a pale print), the
    bound is Otsu's instead of half the paper's grey.
    """
    counts = histogram(grey)
    paper = int(np.argmax(counts[64:255])) + 64  # what is too bright to tell lies at 255
    dark = np.cumsum(counts[: paper // 2 + 1])
    if dark[-1] < _FEW * counts.sum():
        dark = np.cumsum(counts[: _otsu(counts) + 1])
    ink = int(np.searchsorted(dark, dark[-1] * 0.1))
    if paper - ink < _CONTRAST:
        ink = 0
    steps = np.clip((paper - np.arange(256)) / max(paper - ink, 1), 0, 1)
    return np.asarray(cv2.LUT(grey, np.round(255 * steps).astype(np.uint8)), np.uint8)


def _otsu(counts: NDArray[np.float32]) -> int:
    """Return the grey that parts a histogram best (Otsu 1979)."""
    from skimage.filters import threshold_otsu

    if np.count_nonzero(counts) < 2:
        return int(np.argmax(counts))
    return int(threshold_otsu(hist=(counts, np.arange(256))))  # type: ignore[no-untyped-call]  # no types


def histogram(grey: Grey) -> NDArray[np.float32]:
    """Return how many of every second pixel, both ways, have each of the 256 greys."""
    some = np.ascontiguousarray(grey[::2, ::2])
    return np.asarray(cv2.calcHist([some], [0], None, [256], [0, 256]).ravel(), np.float32)


def quantile(counts: NDArray[Any], part: float) -> float:
    """Return the grey below which a part of a histogram (256,) lies, as numpy's percentile does."""
    below = np.cumsum(counts, dtype=np.float64)
    place = part * (below[-1] - 1)
    low, high = (int(np.searchsorted(below, int(place) + k)) for k in (1, 2))
    return float(low + (high - low) * (place % 1))
