"""Light and colouring divided out: a picture becomes darkness, 0 paper to 1 full ink."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.scan import Scan

Grey = NDArray[np.uint8]

_GRID = 8
"""Pixels a cell of the grid on which the paper's brightness is estimated."""

_REACH = 11
"""Cells across which the brightest paper counts: wider than any line, narrower than lamp fall-off."""

CHROMA = 40
"""Difference between a pixel's lightest and darkest channel, of 250, from which on it is coloured."""

COLOURED = 0.02
"""Part of the page that is coloured from which on the page is taken for coloured in."""

BLACK = 0.72
"""Darkness in the lightest channel that wax and felt pens do not reach on a coloured-in page."""


def darkness_of(scan: Scan) -> NDArray[np.float32]:
    """Return the darkness (H, W) of a picture, 0 paper to 1 black, frame as the Scan's.

    Each channel is divided by the paper's own brightness round about. Black ink is
    dark in every channel, colouring is bright in at least one: so the lightest
    channel tells ink from crayon.
    """
    channels = [scan.grey] if scan.colour is None else [scan.colour[..., k] for k in range(3)]
    even = [even_light(channel) for channel in channels]
    lightest, darkest = even[0], even[0]
    for channel in even[1:]:
        lightest, darkest = np.maximum(lightest, channel), np.minimum(darkest, channel)
    darkness = stretched(lightest)
    if float(((lightest - darkest) > CHROMA).mean()) > COLOURED:
        darkness *= _near_black(darkness)
    return darkness


def _near_black(darkness: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return 1 on black ink and on the blur round it, little elsewhere, (H, W).

    Dark wax, and two colours over one another, are half as dark as ink and never black.
    """
    black = (darkness > BLACK).astype(np.uint8)
    near = cv2.dilate(black, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (7, 7)))
    return np.where(near > 0, 1.0, 0.3).astype(np.float32)


def even_light(grey: Grey) -> Grey:
    """Return `grey` (H, W) divided by the paper's brightness round about, paper at 250.

    The paper's brightness is a morphological closing on a coarse grid, blurred: it
    bridges lines and small solids and follows lamp fall-off. Inside wide solids it
    would sink to the ink: it is kept above half of what is usual on the page.
    """
    height, width = grey.shape
    small = (max(1, width // _GRID), max(1, height // _GRID))
    coarse = cv2.resize(np.ascontiguousarray(grey), small, interpolation=cv2.INTER_AREA)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (_REACH, _REACH))
    paper = cv2.GaussianBlur(cv2.morphologyEx(coarse, cv2.MORPH_CLOSE, disc), (0, 0), 4)
    paper = np.maximum(paper, np.uint8(max(1, np.median(paper) / 2)))
    paper = cv2.resize(paper, (width, height))
    return np.asarray(cv2.divide(np.ascontiguousarray(grey), paper, scale=250), np.uint8)


def stretched(grey: Grey) -> NDArray[np.float32]:
    """Return darkness (H, W): 0 at the paper's usual grey, 1 at the darkest ink's.

    The ink's grey is the first percentile of what is darker than half the paper's,
    so that one black speck does not set it.
    """
    counts = np.bincount(grey[::2, ::2].ravel(), minlength=256)
    paper = int(np.argmax(counts[64:])) + 64
    dark = np.cumsum(counts[: paper // 2 + 1])
    ink = int(np.searchsorted(dark, dark[-1] * 0.1)) if dark[-1] else 0
    steps = np.clip((paper - np.arange(256)) / max(paper - ink, 1), 0, 1).astype(np.float32)
    darkness: NDArray[np.float32] = steps[grey]
    return darkness
