"""A picture becomes darkness, 0 paper to 255 full ink: light, colouring and patterns are taken out."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.model.scan import Scan
from tracer.raster.light import even_light
from tracer.raster.patterns import without_patterns
from tracer.raster.stretch import stretched
from tracer.raster.through import without_show_through

Grey = NDArray[np.uint8]

CHROMA = 40
"""Difference between a pixel's lightest and darkest channel, of 250, from which on it is coloured."""

COLOURED = 0.02
"""Part of the page that is coloured from which on the page is taken for coloured in."""

BLACK = 184
"""Darkness in the lightest channel, of 255, that wax and felt pens do not reach on a coloured-in page."""

WAX = 0.3
"""Part of its darkness that is left to what is not near black on a coloured-in page."""


def darkness_of(scan: Scan) -> tuple[Grey, list[Mend]]:
    """Return the darkness (H, W) of a picture, 0 paper to 255 black, and what was left out.

    Each channel is divided by the paper's own brightness round about. Black ink is
    dark in every channel, colouring is bright in at least one: so the lightest
    channel tells ink from crayon.
    """
    scan, left_out = without_patterns(scan)
    if scan.colour is None:
        return _without_back(stretched(even_light(scan.grey)), scan, left_out)
    lightest = even_light(_channel(scan.colour, 0))
    darkest = lightest.copy()
    for k in (1, 2):
        channel = even_light(_channel(scan.colour, k))
        cv2.max(lightest, channel, dst=lightest)
        cv2.min(darkest, channel, dst=darkest)
    chroma = cv2.subtract(lightest, darkest, dst=darkest)
    coloured = cv2.countNonZero(cv2.threshold(chroma, CHROMA, 1, cv2.THRESH_BINARY)[1])
    darkness = stretched(lightest)
    darkness = _near_black(darkness) if coloured > COLOURED * darkness.size else darkness
    return _without_back(darkness, scan, left_out)


def _without_back(darkness: Grey, scan: Scan, left_out: list[Mend]) -> tuple[Grey, list[Mend]]:
    """Return the darkness (H, W) without what shines through from the back, and all that was left out."""
    darkness, back = without_show_through(darkness, scan.mm_per_px)
    return darkness, left_out + back


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
