"""What the carved board will look like: preview.png."""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.model.plan import Plan
from tracer.sheets.breakage import broken, torn
from tracer.sheets.relief import depth_map, distance_map, polylines
from tracer.sheets.wood_grain import wood_face

if TYPE_CHECKING:
    from PIL import Image

Array = NDArray[np.float64]
Map = NDArray[np.float32]

_LONG_SIDE = 1600  # pixels
_LIGHT = np.array([-0.62, -0.48, 0.62])  # from the upper left, low, as a lamp on a bench
_GHOST = np.array([24, 62, 150], np.float32)  # blue: no wood has it
_FRESH, _PALENESS = np.array([255, 244, 222], np.float32), 0.75  # wood newly broken is pale
_HALO = np.array([255, 252, 244], np.float32)


def write_preview(plan: Plan, path: Path) -> None:
    """Write the whole board, carved, as a PNG about 1600 pixels long that says its true size."""
    dpi = 25.4 * _px_per_mm(plan, _LONG_SIDE)
    preview_image(plan).save(path, "PNG", dpi=(dpi, dpi), compress_level=2)


def preview_image(plan: Plan, long_side: int = _LONG_SIDE) -> "Image.Image":
    """Return the picture of the carved board, lit from the upper left.

    Grooves have this bit's own section at the depth of their stop; dropped strokes are dashed
    ghosts; wood that breaks out is torn and pale. The picture covers the board exactly,
    `long_side` pixels along its longer side.
    """
    from PIL import Image

    px_per_mm = _px_per_mm(plan, long_side)
    depth = depth_map(plan, px_per_mm)
    board = plan.layout.board
    gone = torn(plan, depth, px_per_mm)
    face = wood_face(board.wood, depth.shape, px_per_mm=px_per_mm, grain_deg=board.grain_deg)
    face += _PALENESS * gone[..., None] * (_FRESH - face)
    face *= shade(broken(plan, depth, gone, px_per_mm), px_per_mm)[..., None]
    _ghosts(face, plan, px_per_mm)
    return Image.fromarray(np.clip(face, 0, 255).astype(np.uint8))


def shade(depth: Map, px_per_mm: float) -> Map:
    """Return how bright each pixel (H, W) of the face is, 1 on the flat.

    Lambert's law for the slope of the walls, the shadow of the near wall, and some
    darkness towards the bottom, where less of the room's light comes in.
    """
    down, right = np.gradient(depth * np.float32(px_per_mm)) if min(depth.shape) > 1 else (depth, depth)
    light = (_LIGHT / _LIGHT[2]).astype(np.float32)
    facing = (1 + light[0] * right + light[1] * down) / np.sqrt(1 + right**2 + down**2)
    lit = np.clip(facing, 0, None) * (1 - _shadow(depth, px_per_mm))
    deepest = max(float(depth.max(initial=0.0)), 1e-6)
    ambient = 0.42 - 0.14 * depth / deepest
    bright: Map = (ambient + 0.58 * lit).astype(np.float32)
    return _softened(bright)


def _shadow(depth: Map, px_per_mm: float) -> Map:
    """Return how much (H, W), 0..1, a wall towards the lamp stands in its light."""
    flat = np.hypot(_LIGHT[0], _LIGHT[1])
    climb = _LIGHT[2] / flat
    longest = float(depth.max(initial=0.0)) / climb
    rim = int(np.ceil(longest * px_per_mm)) + 1
    padded = np.pad(depth, rim, mode="edge")
    rows, columns = depth.shape
    shadow = np.zeros(depth.shape, np.float32)
    for away in np.linspace(0, longest, 7)[1:]:
        left, top = (rim + round(float(away * px_per_mm * part / flat)) for part in _LIGHT[:2])
        below = depth - padded[top : top + rows, left : left + columns] - np.float32(away * climb)
        np.maximum(shadow, below * np.float32(px_per_mm), out=shadow)
    return np.minimum(shadow, np.float32(1))


def _softened(field: Map) -> Map:
    """Return the field averaged over neighbours by 1-2-1 both ways, so that upright walls are not jagged."""
    for axis in (0, 1):
        padded = np.pad(field, [(1, 1) if axis == k else (0, 0) for k in (0, 1)], mode="edge")
        before, middle, after = (np.take(padded, range(i, i + field.shape[axis]), axis) for i in range(3))
        field = ((before + 2 * middle + after) / 4).astype(np.float32)
    return field


def _ghosts(face: Map, plan: Plan, px_per_mm: float) -> None:
    """Draw dropped strokes into `face` (H, W, 3) as dashed lines about two pixels wide with a pale rim."""
    if not plan.left_out:
        return
    pixel = 1 / px_per_mm
    lines = polylines(plan.left_out, pixel / 4)
    dashes = [dash for line in lines for dash in _dashes(line, 7 * pixel, 5 * pixel)]
    distance = distance_map(dashes, 4 * pixel, face.shape[:2], px_per_mm=px_per_mm) * np.float32(px_per_mm)
    for colour, half, strength in ((_HALO, 2.4, 0.55), (_GHOST, 1.1, 0.8)):
        cover = (strength * np.clip(half + 0.5 - distance, 0, 1))[..., None]
        face += cover * (colour - face)


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
