"""Dark lines on light or light lines on dark: what is thin tells."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.glance import glance

Grey = NDArray[np.uint8]

SIDE = 800
"""Pixels of the longer side on which thin marks are looked for."""

THIN = (9, 19, 39)
"""Pixels of those that marks are narrower than: hairlines, pens, chalk held flat."""

SEEN = 0.003
"""Part of the picture that marks of such a width cover at the least to be told by."""

DARK = 110
"""Middle grey below which a picture may be light on dark: paper in any usable light is brighter."""

CLEAR = 48
"""Greys by which a mark stands out: noise and JPEG's ripples do not."""


def light_on_dark(grey: Grey) -> bool:
    """Say whether the lines of a picture (H, W) are lighter than what it is drawn on, to its border.

    What a morphological closing fills is thin and dark, what an opening takes away is thin
    and light (top-hat transforms, Serra 1982); a dark sheet alone is no light line.
    """
    small = glance(grey, SIDE)
    if float(np.median(small)) > DARK or float(np.median(_rim(small))) > DARK:
        return False
    for thin in THIN:
        disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (thin, thin))
        light = np.mean(cv2.morphologyEx(small, cv2.MORPH_TOPHAT, disc) > CLEAR)
        dark = np.mean(cv2.morphologyEx(small, cv2.MORPH_BLACKHAT, disc) > CLEAR)
        if max(light, dark) > SEEN:
            break
    return bool(light > dark)


def _rim(small: Grey) -> Grey:
    """Return the pixels along the picture's border."""
    return np.concatenate([small[0], small[-1], small[:, 0], small[:, -1]])
