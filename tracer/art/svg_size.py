"""How large an SVG drawing is on its own paper."""

import math

from tracer.art.svg_page import Page
from tracer.art.svg_units import PER_INCH
from tracer.errors import ArtError
from tracer.geometry import affine
from tracer.reading import Reading

Size = tuple[float | None, str]


def size_of(page: Page, reading: Reading, name: str) -> Size:
    """Return mm to a CSS pixel of the page, None where nothing tells, and where it comes from in words.

    What the user says wins: a known length, the width of the page (of the figure where there
    is no page), dots per inch, in this order. Of what the file says only units of paper
    count: a pixel of 1/96 in is a screen's.
    """
    if reading.known is not None:
        a, b = affine.apply(page.matrix, _pair(reading.known.a, reading.known.b))
        apart = math.dist(a, b)
        if apart <= 0:
            raise ArtError(
                f"The known length in {name} goes from a point to the same point: give its two ends, "
                "in the drawing's own units."
            )
        return reading.known.length / apart, f"a known length of {reading.known.length:g} mm, as said"
    if reading.art_width is not None and page.width:
        return reading.art_width / page.width, f"the page {reading.art_width:g} mm wide, as said"
    if reading.dpi is not None:
        return 25.4 / reading.dpi, f"{reading.dpi:g} dpi, as said"
    if page.physical:
        return 25.4 / PER_INCH, f"the page {page.physical}, from the file"
    return None, "unknown: the file gives its size in screen pixels or not at all"


def _pair(a: tuple[float, float], b: tuple[float, float]) -> affine.Affine:
    """Return two points as an array (2, 2)."""
    import numpy as np

    return np.array([a, b])
