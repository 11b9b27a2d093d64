"""A picture becomes darkness, 0 paper to 255 full ink: light, colouring and patterns are taken out."""

from dataclasses import replace

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


def darkness_of(scan: Scan) -> tuple[Grey, list[Mend]]:
    """Return the darkness (H, W) of a picture, 0 paper to 255 black, and what was left out."""
    scan, left_out = without_patterns(scan)
    areas: list[Mend] = []
    if scan.colour is None or not has_colour(scan.colour):
        grey = even_light(scan.grey)
    else:
        from tracer.raster.uncoloured import ink_alone

        grey, areas = ink_alone(scan.colour)
    darkness, back = without_show_through(stretched(grey), scan.mm_per_px)
    if areas:  # what is pale and blurred on a coloured-in page is left of the colouring
        back = [replace(mend, kind="colouring left out") for mend in back]
    return darkness, left_out + areas + back
