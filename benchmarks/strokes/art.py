"""Drawings whose centre lines are known, and the halves they are dealt into; page mm."""

import zlib
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Half = Literal["tune", "judge"]


@dataclass(frozen=True, eq=False)
class TrueLine:
    """One stroke of the pen.

    Attributes
    ----------
    points : (n, 2) page mm; on the curve, close together where it bends.
    closed : it ends where it began.
    segments : lines, cubics and arcs of up to 90 degrees it was written with.
    """

    points: Array
    closed: bool
    segments: int


@dataclass(frozen=True, eq=False)
class Art:
    """One drawing with its true lines.

    Attributes
    ----------
    name, kind : the drawing, and the set it belongs to.
    paths : the strokes as SVG path data, page mm.
    lines : the same strokes, to measure by.
    pen : width of the pen, mm.
    size : (width, height) of the page, mm.
    """

    name: str
    kind: str
    paths: tuple[str, ...]
    lines: tuple[TrueLine, ...]
    pen: float
    size: tuple[float, float]


def digest(name: str) -> int:
    """Return the number that a drawing's half, pen and noise are chosen by."""
    return zlib.crc32(name.encode())


def half_of(name: str) -> Half:
    """Return the half a drawing belongs to: even to tune on, odd to judge by."""
    return "judge" if digest(name) % 2 else "tune"
