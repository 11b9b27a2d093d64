"""What a reader of one kind of file hands on: pixels, and what the file knows of their size."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Entry:
    """What the file itself says of a pixel's size.

    Attributes
    ----------
    mm_per_px : mm a pixel of the pixels handed on, or None where nothing believable is said.
    words : where that comes from, or why it is unknown.
    of_page : the pixels were made for a page of known size: another resolution changes nothing of it.
    """

    mm_per_px: float | None
    words: str
    of_page: bool = False


@dataclass(frozen=True, eq=False)
class Sheet:
    """One page, upright.

    Attributes
    ----------
    grey : (H, W) uint8, 0 black to 255 white.
    colour : (H, W, 3) uint8 red, green, blue, or None where nothing is coloured.
    entry : what the file says of a pixel's size.
    shrunk : how many pixels of the file go into one of these, along each side.
    notes : what was done on reading, in words.
    from_camera : whether a camera took it, as its EXIF entries say.
    """

    grey: NDArray[np.uint8]
    colour: NDArray[np.uint8] | None
    entry: Entry
    shrunk: float
    notes: tuple[str, ...]
    from_camera: bool = False
