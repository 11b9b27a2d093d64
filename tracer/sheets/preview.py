"""What the carved board will look like: preview.png for the screen, preview-print.png for paper."""

from collections.abc import Sequence
from functools import lru_cache
from itertools import compress
from pathlib import Path
from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.model.plan import Plan
from tracer.sheets.carved import carved_board
from tracer.sheets.distances import distance_map
from tracer.sheets.png import write_png
from tracer.sheets.relief import polylines

if TYPE_CHECKING:
    from PIL import Image

Array = NDArray[np.float64]
Map = NDArray[np.float32]
Picture = NDArray[np.uint8]

SCREEN = 1600
"""Pixels of the longer side of preview.png."""

_PRINT_DPI, _LONGEST = 300.0, 3000.0
"""preview-print.png: dots an inch of the finished size, and the most pixels of its longer side."""

_GHOST = np.array([24, 62, 150], np.float32)  # blue: no wood has it
_HALO = np.array([255, 252, 244], np.float32)


def write_preview(plan: Plan, path: Path) -> None:
    """Write the whole board, carved, as a PNG 1600 pixels long that says its true size."""
    _write(plan, path, _px_per_mm(plan, SCREEN))


def write_print(plan: Plan, path: Path) -> None:
    """Write the same to print: 300 dots an inch at the finished size, fewer where the board is large."""
    _write(plan, path, print_scale(plan))


def print_scale(plan: Plan) -> float:
    """Return the pixels per mm of preview-print.png."""
    return min(_PRINT_DPI / 25.4, _px_per_mm(plan, _LONGEST))


def finest_scale(plan: Plan) -> float:
    """Return the pixels per mm at which the board is rendered for all files of a pack."""
    return max(print_scale(plan), _px_per_mm(plan, SCREEN))


def preview_image(plan: Plan, long_side: int = SCREEN) -> "Image.Image":
    """Return the picture of the carved board, `long_side` pixels along its longer side.

    Grooves have this bit's own section at the depth of their stop; dropped strokes are dashed
    ghosts; wood that breaks out is torn and pale. The picture covers the board exactly.
    """
    from PIL import Image

    px_per_mm = _px_per_mm(plan, long_side)
    face = carved_board(plan, px_per_mm)
    _ghosts(face, plan, px_per_mm)
    return Image.fromarray(face)


@lru_cache(maxsize=1)
def _finest(plan: Plan) -> tuple[Picture, float]:
    """Return the carved board at the finer of both scales, and that scale; kept for both files."""
    px_per_mm = finest_scale(plan)
    return carved_board(plan, px_per_mm), px_per_mm


def _write(plan: Plan, path: Path, px_per_mm: float) -> None:
    """Write the board at a scale, as a PNG that says its true size."""
    face, finest = _finest(plan)
    if px_per_mm < finest:
        wide, high = (max(1, round(side * px_per_mm / finest)) for side in face.shape[1::-1])
        face = np.asarray(cv2.resize(face, (wide, high), interpolation=cv2.INTER_AREA), np.uint8)
    face = face.copy()
    _ghosts(face, plan, px_per_mm)
    write_png(face, path, px_per_mm=px_per_mm)


def _ghosts(face: Picture, plan: Plan, px_per_mm: float) -> None:
    """Draw dropped strokes into `face` (H, W, 3) as dashed lines about two pixels wide with a pale rim."""
    if not plan.left_out:
        return
    pixel = 1 / px_per_mm
    lines = polylines(plan.left_out, pixel / 4)
    dashed = dashes(lines, 7 * pixel, 5 * pixel)
    distance = distance_map(dashed, 3 * pixel, face.shape[:2], px_per_mm=px_per_mm).ravel()
    where = np.flatnonzero(np.isfinite(distance))
    near = distance[where] * np.float32(px_per_mm)
    pixels = face.reshape(-1, 3)
    mixed = pixels[where].astype(np.float32)
    for colour, half, strength in ((_HALO, 2.4, 0.55), (_GHOST, 1.1, 0.8)):
        share = np.float32(strength) * np.clip(half + 0.5 - near, 0, 1)
        mixed += share[:, None] * (colour - mixed)
    pixels[where] = mixed.astype(np.uint8)


def dashes(lines: Sequence[Array], long: float, gap: float) -> list[Array]:
    """Cut polylines (m, 2) into dashes; a point, or less than a dash and a gap, stays whole."""
    points, along, begin, length = polyline.end_to_end(lines)
    count = np.ceil(length / (long + gap)).astype(int)
    cut = np.repeat(np.arange(len(lines)), np.where(count > 1, count, 0))
    start = (np.arange(len(cut)) - np.searchsorted(cut, cut)) * (long + gap)
    ends = np.minimum(start[:, None] + np.linspace(0, long, 5), length[cut, None])
    dashed = polyline.at(points, along, (begin[cut, None] + ends).ravel()).reshape(-1, 5, 2)
    return [*dashed, *compress(lines, count < 2)]


def _px_per_mm(plan: Plan, long_side: float) -> float:
    board = plan.layout.board
    return long_side / max(board.width, board.height)
