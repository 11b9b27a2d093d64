"""What is drawn on the paper, and what was cleaned away."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tracer.model.quality import Quality

MendKind = Literal[
    "turned round",
    "speck dropped",
    "pinhole filled",
    "spur dropped",
    "gap closed",
    "gap left open",
    "colouring left out",
    "dark colouring left out",
    "coloured line left out",
    "shading left out",
    "ruling left out",
    "screen left out",
    "show-through left out",
    "fold left out",
    "shadow left out",
    "hole left out",
]


@dataclass(frozen=True)
class Mend:
    """One thing that the clean-up changed: never silent, shown in the report.

    Attributes
    ----------
    kind : what was done.
    x, y : where, in art pixels.
    size_px : largest extent of what was changed, in art pixels.
    number : of a gap, from 1, top to bottom; 0 for all else.
    """

    kind: MendKind
    x: float
    y: float
    size_px: float
    number: int = 0


@dataclass(frozen=True, eq=False)
class Ink:
    """The ink of a picture in ink pixels, `zoom` of them to an art pixel a side.

    Masks (H, W) tell where lines run; a pen of a few ink pixels is enough for that. Row
    y, column x cover ink pixels x..x+1, y..y+1; ink pixels / zoom = art pixels. Edges are
    measured in the finer `darkness`.

    Attributes
    ----------
    zoom : how many times finer than the art (coarser below 1): pictures with thin lines are
        enlarged before the threshold, masks of those with thick ones are made smaller.
    grain : pixels of `darkness` to an ink pixel a side, a whole number.
    darkness : (H * grain, W * grain) uint8, 0 paper to 255 full ink, after light and colouring
        are taken out; the edge of the ink is at 255 * `level`.
    level : part of full darkness at the edge between ink and paper.
    line, solid : bool masks, disjoint: ink about as wide as a pen, and ink much wider; where
        edges are followed all ink is solid.
    skeleton : bool, one pixel wide, the thinned lines; it ends where a line runs into a solid.
    radius : float32, distance from each ink pixel's centre to the nearest paper pixel's centre,
        within 2 %.
    line_width : typical width of the lines in ink pixels: half of their length is wider.
    mends : what was cleaned away.
    quality : how good the picture is.
    coloured : bool, where colouring was taken away, lines in dark colouring included: edges there may be
        scalloped. None where none was.
    """

    zoom: float
    grain: int
    darkness: NDArray[np.uint8]
    level: float
    line: NDArray[np.bool_]
    solid: NDArray[np.bool_]
    skeleton: NDArray[np.bool_]
    radius: NDArray[np.float32]
    line_width: float
    mends: tuple[Mend, ...] = ()
    quality: Quality | None = None
    coloured: NDArray[np.bool_] | None = None
