"""Where on the figure a point lies, in words, on a grid of three by three."""

from pathlib import PurePath

import numpy as np
from numpy.typing import NDArray

from tracer.model.layout import Layout, Piece

Array = NDArray[np.float64]

_ACROSS = ("left", "middle", "right")
_DOWN = ("upper", "middle", "lower")


_WORDS = [
    "in the middle" if (down, across) == ("middle", "middle") else f"{down} {across}"
    for down in _DOWN
    for across in _ACROSS
]


def place_words(layout: Layout, where: tuple[float, float]) -> str:
    """Return such as "upper left" or "in the middle" for a point on the wood (mm), by the figure's extent.

    With several pieces, by the extent of the piece, of two round the point the smaller: "upper left of boat".
    """
    return places_words(layout, np.array([where]))[0]


def places_words(layout: Layout, points: Array) -> list[str]:
    """Return the words for many points (n, 2) on the wood, mm."""
    boxes = np.array(layout.extents if len(layout.pieces) > 1 else [layout.extent])
    piece = _nearest(boxes, points)
    low, high = boxes[piece, :2], boxes[piece, 2:]
    share = np.divide(points - low, high - low, out=np.full_like(points, 0.5), where=high > low)
    column, row = np.clip((3 * share).astype(int), 0, 2).T
    words = [_WORDS[k] for k in (3 * row + column).tolist()]
    if len(boxes) == 1:
        return words
    names = piece_names(layout)
    return [f"{word} of {names[k]}" for word, k in zip(words, piece.tolist(), strict=True)]


def _nearest(boxes: Array, points: Array) -> NDArray[np.intp]:
    """Return for each point the box (x0, y0, x1, y1) it lies in or next to, of several the smallest."""
    outside = np.maximum(boxes[:, None, :2] - points, points - boxes[:, None, 2:])
    away = np.maximum(outside, 0.0).sum(axis=2)
    size = np.prod(boxes[:, 2:] - boxes[:, :2], axis=1)
    best: NDArray[np.intp] = np.lexsort((np.broadcast_to(size[:, None], away.shape), away), axis=0)[0]
    return best


def piece_names(layout: Layout) -> list[str]:
    """Return what to call each piece: its name, or its number where that says nothing."""
    names = [_name(piece) for piece in layout.pieces]
    return [
        name if name and names.count(name) == 1 else f"piece {number}" for number, name in enumerate(names, 1)
    ]


def _name(piece: Piece) -> str:
    """Return a piece's name; that of a file without its kind."""
    of_file = piece.name == piece.drawing.name and piece.drawing.marks is None
    return PurePath(piece.name).stem if of_file else piece.name
