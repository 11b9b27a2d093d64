"""The carved board as a picture: the wood, the grooves under a lamp, and what breaks away."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tracer.model.plan import Plan
from tracer.sheets.breakage import broken, torn
from tracer.sheets.lamp import shade
from tracer.sheets.relief import depth_map
from tracer.sheets.wood_grain import wood_face
from tracer.sheets.wood_looks import look_of

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]
Picture = NDArray[np.uint8]

_FRESH, _PALENESS = np.array([255, 240, 206], np.float32), 0.5  # wood newly broken is paler than its face


@dataclass(frozen=True, eq=False)
class Light:
    """How the lamp falls on a carved board.

    Attributes
    ----------
    bright : (H, W) how bright each pixel is, 1 on the whole face.
    cut : (H, W) which pixels lie deeper than the face.
    gone : (H, W) which pixels break away.
    px_per_mm : pixels per mm of wood.
    """

    bright: Map
    cut: Mask
    gone: Mask
    px_per_mm: float


@lru_cache(maxsize=1)
def light_on(plan: Plan, px_per_mm: float) -> Light:
    """Return how the lamp falls on the board; kept, since a pack's pictures and its proof share it."""
    depth = depth_map(plan, px_per_mm)
    left = broken(plan, depth, torn(plan, depth, px_per_mm), px_per_mm)
    return Light(shade(left, px_per_mm), left > 0, left > depth, px_per_mm)


def carved_board(plan: Plan, px_per_mm: float) -> Picture:
    """Return the whole board (H, W, 3) sRGB, carved and lit from the upper left.

    Grooves have this bit's own section at the depth of their stop; wood that breaks out is
    torn and pale. Strokes that were dropped are not in it.
    """
    light, board = light_on(plan, px_per_mm), plan.layout.board
    face = wood_face(board.wood, light.gone.shape, px_per_mm=px_per_mm, grain_deg=board.grain_deg)
    pixels = face.reshape(-1, 3)
    torn_at = np.flatnonzero(light.gone)
    early = np.array(look_of(board.wood).early, np.float32)
    pixels[torn_at] = (early + _PALENESS * (_FRESH - early)).astype(np.uint8)
    changed = np.flatnonzero(light.bright != 1)
    lit = pixels[changed] * light.bright.ravel()[changed, None]
    pixels[changed] = np.minimum(lit, 255).astype(np.uint8)
    return face
