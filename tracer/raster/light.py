"""Light and colouring divided out: a picture becomes darkness, 0 paper to 255 full ink."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.scan import Scan

Grey = NDArray[np.uint8]

_REACH = 11
"""Cells across which the brightest paper counts: wider than any line, narrower than lamp fall-off."""

_WIDE = 8
"""Cells of the grid across which solids are bridged: this part of the picture's shorter side to each side."""

_SUNK = 0.35
"""Paper darker than this part of the way from ink to the brightness round about is no paper but a solid."""

_BLUR = 4.0
"""Cells over which the paper's brightness is smoothed."""

_EDGE = 0.8
"""The same where shadows have edges; there a cell is half as large, too."""

_STEEP = 0.88
"""Paper darker than this part of the brightest within the closing's reach lies where light is steep."""

_EDGES = 0.002
"""Part of the picture that is steep from which on the paper is estimated anew."""

_FEW = 2e-4
"""Part of the picture below which what is darker than half the paper is specks."""

_CONTRAST = 24
"""Greys between paper and ink below which there is no ink but noise."""

CHROMA = 40
"""Difference between a pixel's lightest and darkest channel, of 250, from which on it is coloured."""

COLOURED = 0.02
"""Part of the page that is coloured from which on the page is taken for coloured in."""

BLACK = 184
"""Darkness in the lightest channel, of 255, that wax and felt pens do not reach on a coloured-in page."""

WAX = 0.3
"""Part of its darkness that is left to what is not near black on a coloured-in page."""


def darkness_of(scan: Scan) -> Grey:
    """Return the darkness (H, W) of a picture, 0 paper to 255 black, frame as the Scan's.

    Each channel is divided by the paper's own brightness round about. Black ink is
    dark in every channel, colouring is bright in at least one: so the lightest
    channel tells ink from crayon.
    """
    if scan.colour is None:
        return stretched(even_light(scan.grey))
    lightest = even_light(_channel(scan.colour, 0))
    darkest = lightest.copy()
    for k in (1, 2):
        channel = even_light(_channel(scan.colour, k))
        cv2.max(lightest, channel, dst=lightest)
        cv2.min(darkest, channel, dst=darkest)
    chroma = cv2.subtract(lightest, darkest, dst=darkest)
    coloured = cv2.countNonZero(cv2.threshold(chroma, CHROMA, 1, cv2.THRESH_BINARY)[1])
    darkness = stretched(lightest)
    return _near_black(darkness) if coloured > COLOURED * darkness.size else darkness


def _channel(colour: Grey, k: int) -> Grey:
    """Return one channel (H, W) of a picture (H, W, 3)."""
    return np.asarray(cv2.extractChannel(colour, k), np.uint8)


def _near_black(darkness: Grey) -> Grey:
    """Return darkness (H, W) as it is on black ink and on the blur round it, little elsewhere.

    Dark wax, and two colours over one another, are half as dark as ink and never black.
    """
    black = cv2.threshold(darkness, BLACK, 1, cv2.THRESH_BINARY)[1]
    near = cv2.dilate(black, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (7, 7)))
    faded = cv2.convertScaleAbs(darkness, alpha=WAX)
    cv2.copyTo(darkness, near, faded)
    return np.asarray(faded, np.uint8)


def even_light(grey: Grey) -> Grey:
    """Return `grey` (H, W) divided by the paper's brightness round about, paper at 250."""
    grey = np.ascontiguousarray(grey)
    quarter = _halved(_halved(grey))
    paper, steep = paper_of(_halved(quarter), _BLUR)
    if steep < _EDGES:
        paper = np.asarray(cv2.resize(paper, grey.shape[::-1]), np.uint8)
    else:
        paper = _paper_with_edges(grey, paper_of(quarter, _EDGE)[0])
    return np.asarray(cv2.divide(grey, paper, dst=paper, scale=250), np.uint8)


def _paper_with_edges(grey: Grey, cells: Grey) -> Grey:
    """Return the paper's brightness (H, W) from that of cells a few pixels wide.

    At a shadow's edge it jumps within a cell, nobody knows where: a pixel as bright as the
    cells round about, or between two of them, is paper.
    """
    three = np.ones((3, 3), np.uint8)
    darkest = cv2.resize(cv2.erode(cells, three), grey.shape[::-1])
    brightest = cv2.resize(cv2.dilate(cells, three), grey.shape[::-1])
    return np.asarray(cv2.min(cv2.max(grey, darkest), brightest), np.uint8)


def paper_of(coarse: Grey, blur: float) -> tuple[Grey, float]:
    """Return the paper's brightness (h, w) for a small picture `coarse` (h, w), and on what part it is steep.

    A morphological closing bridges lines and follows lamp fall-off. In solids wider than
    its reach it would sink to the ink: what a far wider closing says is much brighter, and is
    nearly as dark as ink, takes its brightness from round about. Then it is blurred by
    `blur` cells. Where light falls off within the closing's reach, or has an edge, both are wrong.
    """
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (_REACH, _REACH))
    near = cv2.morphologyEx(coarse, cv2.MORPH_CLOSE, disc).astype(np.float32)
    wide = 2 * (min(coarse.shape) // _WIDE) + _REACH
    far = cv2.morphologyEx(coarse, cv2.MORPH_CLOSE, np.ones((wide, wide), np.uint8)).astype(np.float32)
    ink, usual = np.percentile(coarse, 1), np.median(near)
    far = np.maximum(far, ink + _SUNK * (usual - ink)).astype(np.float32)
    sunk = cv2.dilate((near < ink + _SUNK * (far - ink)).astype(np.uint8), np.ones((3, 3), np.uint8))
    seen = (1 - sunk).astype(np.float32)
    weight = cv2.GaussianBlur(seen, (0, 0), blur) + np.float32(1e-3)
    paper = (cv2.GaussianBlur(near * seen, (0, 0), blur) + 1e-3 * far) / weight
    steep = (near < _STEEP * cv2.dilate(near, disc)) & (cv2.dilate(sunk, disc) == 0)
    return np.clip(paper, 1, 255).astype(np.uint8), np.count_nonzero(steep) / steep.size


def _halved(grey: Grey) -> Grey:
    """Return `grey` (H, W) at half the size: whole pixels are averaged, which is quick."""
    height, width = (max(2, n // 2 * 2) for n in grey.shape)
    whole = grey[:height, :width]
    return np.asarray(cv2.resize(whole, (width // 2, height // 2), interpolation=cv2.INTER_AREA), np.uint8)


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

    return int(threshold_otsu(hist=(counts, np.arange(256))))  # type: ignore[no-untyped-call]  # no types


def histogram(grey: Grey) -> NDArray[np.float32]:
    """Return how many of every second pixel, both ways, have each of the 256 greys."""
    some = np.ascontiguousarray(grey[::2, ::2])
    return np.asarray(cv2.calcHist([some], [0], None, [256], [0, 256]).ravel(), np.float32)
