"""A picture becomes darkness, 0 paper to 255 full ink: light, colouring and patterns are taken out."""

import math
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.model.scan import Scan
from tracer.raster.colour import has_colour
from tracer.raster.light import even_light
from tracer.raster.patterns import without_patterns
from tracer.raster.stretch import stretched
from tracer.raster.through import without_show_through

Grey = NDArray[np.uint8]

LARGE = 24_000_000
"""Pixels of a coloured picture beyond which its ink is looked for in a smaller one: what tells ink from
colouring takes some 50 bytes a pixel, and 24 Mpx of A4 are 500 dpi, a fine pen's line ten pixels."""


def darkness_of(scan: Scan) -> tuple[Grey, list[Mend], Grey | None]:
    """Return the darkness (H, W) of a picture, 0 paper to 255 black, and what was left out.

    The third is 1 where colouring was, in cells (h, w) that cover the picture, None where none was.
    """
    scan, left_out = without_patterns(scan)
    areas: list[Mend] = []
    coloured = None
    if scan.colour is None or not has_colour(scan.colour):
        grey = even_light(scan.grey)
    else:
        grey, areas, coloured = _uncoloured(scan.colour)
    darkness, back = without_show_through(stretched(grey), scan.mm_per_px)
    if areas:  # what is pale and blurred on a coloured-in page is left of the colouring
        back = [replace(mend, kind="colouring left out") for mend in back]
    return darkness, left_out + areas + back, coloured


def _uncoloured(colour: Grey) -> tuple[Grey, list[Mend], Grey | None]:
    """Return a picture's ink without its colouring as grey (H, W), the areas left out, and as cells."""
    from tracer.raster.uncoloured import ink_alone

    height, width = colour.shape[:2]
    times = math.ceil(math.sqrt(height * width / LARGE))
    if times <= 1:
        return ink_alone(colour)
    size = width // times, height // times
    small = np.asarray(cv2.resize(colour, size, interpolation=cv2.INTER_AREA), np.uint8)
    grey, areas, coloured = ink_alone(small)
    across, down = width / size[0], height / size[1]
    whole = np.asarray(cv2.resize(grey, (width, height), interpolation=cv2.INTER_CUBIC), np.uint8)
    placed = [
        replace(area, x=area.x * across, y=area.y * down, size_px=area.size_px * across) for area in areas
    ]
    return whole, placed, coloured
