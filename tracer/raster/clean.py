"""Specks off, pinholes filled; each is listed."""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend, MendKind

Mask = NDArray[np.uint8]

SPECK = 0.4
"""Ink smaller than this many squared line widths is dust; a pen's dot covers pi/4 = 0.79 of them."""

DOT, FAINT = 2.5, 0.6
"""Squared line widths that a dot covers at the most; how dark it must be, in parts of the palest lines."""

PALEST = 10
"""Percentile of the darkness within ink that is the palest lines': dots and dust are far less of it."""

STROKE = 3.0
"""Line widths that a mark may be long: what is longer, however thin, was drawn."""

PINHOLE = 0.12
"""Paper closed in by ink and smaller than this many squared line widths is a flaw.

Counters are larger, and so are the gaps where three lines cross.
"""


def clean(mask: Mask, darkness: Mask, line_width: float, zoom: float) -> tuple[Mask, list[Mend]]:
    """Return the ink mask (H, W) without specks and pinholes, and what was changed.

    A mark no larger than a dot that is hardly half as dark, in `darkness` (H, W), as the palest
    lines is dust too. `line_width` is in pixels of the mask; the places of the Mends are in art
    pixels.
    """
    cleaned = mask.copy()
    mends: list[Mend] = []
    outlines, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    square = max(line_width, 2.0) ** 2
    faint: float | None = None
    dropped: set[int] = set()
    for k, (outline, (_, _, _, parent)) in enumerate(
        zip(outlines, tree[0] if tree is not None else [], strict=True)
    ):
        speck = parent < 0
        if len(outline) > 40 * max(line_width, 2.0) or parent in dropped:
            continue
        if speck and max(cv2.boundingRect(outline)[2:]) > STROKE * max(line_width, 2.0):
            continue
        area = _pixels(outline, speck=speck)
        small = speck and SPECK * square <= area < DOT * square
        if small and faint is None:
            faint = FAINT * _palest(mask, darkness)
        dust = small and _darkest(darkness, outline) < (faint or 0.0)
        if dust or area < (SPECK if speck else PINHOLE) * square:
            cv2.drawContours(cleaned, [outline], -1, 0 if speck else 1, cv2.FILLED)
            if speck:
                dropped.add(k)
            mends.append(_mend("speck dropped" if speck else "pinhole filled", outline, zoom))
    return cleaned, sorted(mends, key=lambda mend: (mend.y, mend.x, mend.kind))


def _pixels(outline: NDArray[Any], *, speck: bool) -> float:
    """Return how many pixels lie within an outline of ink, or within one round paper.

    Pick's theorem: a contour runs through the centres of `len` border pixels, which
    are ink both for a speck and round a hole.
    """
    half = len(outline) / 2
    return float(cv2.contourArea(outline)) + (half + 1 if speck else 1 - half)


def _palest(mask: Mask, darkness: Mask) -> float:
    """Return how dark the palest lines are, of 255, where ink is three pixels wide or more."""
    inside = cv2.erode(mask, np.ones((3, 3), np.uint8))
    counts = cv2.calcHist([darkness], [0], inside, [256], [0, 256]).ravel().cumsum()
    return float(np.searchsorted(counts, PALEST / 100 * counts[-1])) if counts[-1] else 255.0


def _darkest(darkness: Mask, outline: NDArray[Any]) -> int:
    """Return the largest darkness in the box round an outline."""
    x, y, width, height = cv2.boundingRect(outline)
    return int(darkness[y : y + height, x : x + width].max())


def _mend(kind: MendKind, outline: NDArray[Any], zoom: float) -> Mend:
    """Describe one outline, in art pixels."""
    x, y, width, height = cv2.boundingRect(outline)
    return Mend(kind, (x + width / 2) / zoom, (y + height / 2) / zoom, max(width, height) / zoom)
