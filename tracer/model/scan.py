"""A picture as read from its file."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Scan:
    """A picture upright, on white, eight bits a channel.

    Attributes
    ----------
    grey : (H, W) uint8, 0 black to 255 white; row y, column x cover art pixels x..x+1, y..y+1.
    colour : (H, W, 3) uint8 in the order red, green, blue, or None where the picture has no colour.
    mm_per_px : size of a pixel on the art's own paper in mm, or None where nothing trustworthy says it.
    scale_source : where `mm_per_px` comes from, in words for the report.
    name : what the picture is called in reports (the file's name).
    sha256 : hex digest of the file's bytes, "" for an array.
    notes : what was done on reading, in words ("turned upright", "transparent parts taken as white").
    from_camera : the file says that a camera took it.
    rim : pixels along its border that repeat what lies within: a sheet's own edge is no drawing.
    shrunk : pixels of the file to one of these, along each side; places said by the user are the file's.
    size_doubt : by what part of itself the size may be wrong, as where paper was taken for a measure.
    """

    grey: NDArray[np.uint8]
    colour: NDArray[np.uint8] | None
    mm_per_px: float | None
    scale_source: str
    name: str
    sha256: str = ""
    notes: tuple[str, ...] = ()
    from_camera: bool = False
    size_doubt: float = 0.0
    rim: int = 0
    shrunk: float = 1.0
