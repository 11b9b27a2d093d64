"""What the carved board will look like: preview.png."""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.model.plan import Plan
from tracer.sheets.breakage import broken, torn
from tracer.sheets.distances import distance_map
from tracer.sheets.lamp import shade
from tracer.sheets.png import write_png
from tracer.sheets.relief import depth_map, polylines
from tracer.sheets.wood_grain import wood_face

if TYPE_CHECKING:
    from PIL import Image

Array = NDArray[np.float64]
Map = NDArray[np.float32]
Picture = NDArray[np.uint8]

_LONG_SIDE = 1600  # pixels
_GHOST = np.array([24, 62, 150], np.float32)  # blue: no wood has it
_FRESH, _PALENESS = np.array([255, 240, 208], np.float32), 0.75  # wood newly broken is pale
_HALO = np.array([255, 252, 244], np.float32)


def write_preview(plan: Plan, path: Path) -> None:
    """Write the whole board, carved, as a PNG about 1600 pixels long that says its true size."""
    px_per_mm = _px_per_mm(plan, _LONG_SIDE)
    write_png(carved_board(plan, px_per_mm), path, px_per_mm=px_per_mm)


def preview_image(plan: Plan, long_side: int = _LONG_SIDE) -> "Image.Image":
    """Return the picture of `carved_board`, `long_side` pixels along its longer side."""
    from PIL import Image

    return Image.fromarray(carved_board(plan, _px_per_mm(plan, long_side)))


def carved_board(plan: Plan, px_per_mm: float) -> Picture:
    """Return the whole board (H, W, 3) sRGB, carved and lit from the upper left.

    Grooves have this bit's own section at the depth of their stop; dropped strokes are dashed
    ghosts; wood that breaks out is torn and pale.
    """
    depth = depth_map(plan, px_per_mm)
    board = plan.layout.board
    gone = torn(plan, depth, px_per_mm)
    face = wood_face(board.wood, depth.shape, px_per_mm=px_per_mm, grain_deg=board.grain_deg)
    _blend(face, np.flatnonzero(gone), _FRESH, np.float32(_PALENESS))
    _light(face, shade(broken(plan, depth, gone, px_per_mm), px_per_mm))
    _ghosts(face, plan, px_per_mm)
    return face


def _light(face: Picture, bright: Map) -> None:
    """Put `face` (H, W, 3) under a lamp of the brightness `bright` (H, W), 1 where nothing changes."""
    where = np.flatnonzero(bright != 1)
    pixels = face.reshape(-1, 3)
    lit = pixels[where] * bright.ravel()[where, None]
    pixels[where] = np.minimum(lit, 255).astype(np.uint8)


def _blend(face: Picture, where: NDArray[np.int64], colour: Map, share: Map | np.float32) -> None:
    """Mix `colour` (3,) into the pixels `where`, counted row by row; `share` is one or one for each."""
    pixels = face.reshape(-1, 3)
    held = pixels[where].astype(np.float32)
    part = np.asarray(share, np.float32).reshape(-1, 1)
    pixels[where] = (held + part * (colour - held)).astype(np.uint8)


def _ghosts(face: Picture, plan: Plan, px_per_mm: float) -> None:
    """Draw dropped strokes into `face` (H, W, 3) as dashed lines about two pixels wide with a pale rim."""
    if not plan.left_out:
        return
    pixel = 1 / px_per_mm
    lines = polylines(plan.left_out, pixel / 4)
    dashes = [dash for line in lines for dash in _dashes(line, 7 * pixel, 5 * pixel)]
    distance = distance_map(dashes, 3 * pixel, face.shape[:2], px_per_mm=px_per_mm).ravel()
    where = np.flatnonzero(np.isfinite(distance))
    near = distance[where] * np.float32(px_per_mm)
    for colour, half, strength in ((_HALO, 2.4, 0.55), (_GHOST, 1.1, 0.8)):
        _blend(face, where, colour, np.float32(strength) * np.clip(half + 0.5 - near, 0, 1))


def _dashes(line: Array, long: float, gap: float) -> list[Array]:
    """Cut a polyline (m, 2) into dashes; a point, or less than a dash, stays whole."""
    along = polyline.arc_lengths(line)
    starts = np.arange(0.0, along[-1], long + gap)
    if len(starts) < 2:
        return [line]
    steps = np.linspace(0, long, 5)
    return [polyline.at(line, along, np.minimum(start + steps, along[-1])) for start in starts]


def _px_per_mm(plan: Plan, long_side: int) -> float:
    board = plan.layout.board
    return long_side / max(board.width, board.height)
