"""Marks that join neighbouring sheets: crosses that fall on each other, and the line to cut along.

Both lie on the middle of the overlap. The upper or left one of two sheets stays whole;
the lower or right one is cut along the line, through its crosses, and laid on the
other, where the crosses are whole.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.sheets.assembly import Assembly
from tracer.sheets.marks import WORK_SIZE, draw_cross
from tracer.sheets.pdf import GREY, Pdf
from tracer.sheets.tiling import Cell
from tracer.sheets.track import RING

Array = NDArray[np.float64]

_PLACES = (1 / 6, 1 / 2, 5 / 6)
"""Where along a seam its crosses stand."""

SEAM, CROSS = 3.6, 4.4
"""mm that marks of the seam take to either side of its line, and a cross each way from its middle."""

_ASIDE = (0.3, 3.5)
"""mm from the seam's line between which its words stand: inside on a sheet to cut, else outside."""

_BASE = (2.8, 1.0)
"""mm from the seam's line to the baseline of its words: inside, and outside."""

_TRIED, _OFF = 120, 0.4  # places for the words along a seam; mm that they keep off lines


_NOTHING: Array = np.empty((0, 2))


@dataclass(frozen=True, eq=False)
class Kept:
    """Points (m, 2) that words keep off by `clear` mm."""

    points: Array
    clear: float


@dataclass(frozen=True, eq=False)
class Seam:
    """One edge of a sheet that meets a printed neighbour, template mm.

    `start`, `end` (2,) are the ends of the line in the middle of the overlap;
    `crosses` (n, 2) lie on it; `cut` says that this sheet is the one to cut.
    """

    start: Array
    end: Array
    crosses: Array
    cut: bool
    neighbour: str

    @property
    def upright(self) -> bool:
        """Whether it runs from top to bottom."""
        return bool(self.start[0] == self.end[0])


def seams_of(assembly: Assembly, cell: Cell) -> Iterator[Seam]:
    """Yield the seams of one sheet: left and top ones are cut, right and bottom ones lain upon."""
    for rows, columns in ((0, -1), (-1, 0), (0, 1), (1, 0)):
        neighbour = assembly.printed(cell.row + rows, cell.column + columns)
        if neighbour is not None:
            yield _seam(assembly, cell, neighbour)


def draw_seams(pdf: Pdf, assembly: Assembly, cell: Cell, busy: Array, thin: Array = _NOTHING) -> None:
    """Draw all seams of a sheet, the words along each off those along others and off all points.

    `busy` (m, 2) are points on lines to follow and on signs, `thin` (k, 2) on hairlines beside.
    """
    seams, clear = list(seams_of(assembly, cell)), max(assembly.track.band / 2, RING) + _OFF
    for seam in seams:
        others = np.concatenate([thin, *(_strip(other) for other in seams if other is not seam)])
        draw_seam(pdf, seam, (Kept(busy, clear), Kept(others, _OFF)))


def _strip(seam: Seam) -> Array:
    """Return points (n, 2), 1 mm apart, where words along a seam may stand."""
    along = np.linspace(seam.start, seam.end, int(np.hypot(*(seam.end - seam.start))))
    across = np.array([1.0, 0.0]) if seam.upright else np.array([0.0, 1.0])
    return np.concatenate([along + side * across for side in (-SEAM, 0.0, SEAM)])


def draw_seam(pdf: Pdf, seam: Seam, kept: Sequence[Kept]) -> None:
    """Draw crosses, the line, and what to do with it where it is off all points `kept` free.

    Fewer words stand where there is no room for all, and none where there is none for the name: the
    map of the sheets says which is the neighbour.
    """
    for cross in seam.crosses:
        draw_cross(pdf, cross)
    pdf.line([seam.start, seam.end], width=0.12, colour=GREY, dash=() if seam.cut else (0.6, 1.6))
    other = seam.neighbour
    cut, lain_on = (
        (f"cut here, lay on {other}", f"lay on {other}"),
        (f"edge of {other} lies here", f"{other} here"),
    )
    for words in (*(cut if seam.cut else lain_on), f"to {other}"):
        width = pdf.measure(words, WORK_SIZE)
        at = words_place(seam, width, kept)
        if at is not None:
            _write(pdf, seam, words, at, width)
            return


def _write(pdf: Pdf, seam: Seam, words: str, at: Array, width: float) -> None:
    """Write words along a seam, their middle at `at` on its line."""
    inward = _BASE[0] if seam.cut else -_BASE[1]
    if seam.upright:
        pdf.text(at[0] + inward, at[1] + width / 2, words, WORK_SIZE, angle_deg=90.0)
    else:
        pdf.text(at[0] - width / 2, at[1] + inward, words, WORK_SIZE)


def _seam(assembly: Assembly, cell: Cell, neighbour: Cell) -> Seam:
    """Return the seam between two sheets as `cell` shows it."""
    tiling, half = assembly.tiling, assembly.tiling.overlap / 2
    origin = np.array(assembly.origin)
    x0, y0, x1, y1 = tiling.trimmed(cell)
    first = min(cell, neighbour, key=lambda one: (one.row, one.column))
    if cell.row == neighbour.row:
        x = first.x + first.width - half
        start, end = np.array([x, cell.y]), np.array([x, cell.y + cell.height])
        crosses = np.array([[x, y0 + part * (y1 - y0)] for part in _PLACES])
    else:
        y = first.y + first.height - half
        start, end = np.array([cell.x, y]), np.array([cell.x + cell.width, y])
        crosses = np.array([[x0 + part * (x1 - x0), y] for part in _PLACES])
    return Seam(start + origin, end + origin, crosses + origin, cell is not first, neighbour.name)


def words_place(seam: Seam, width: float, kept: Sequence[Kept]) -> Array | None:
    """Return the first place on the seam's line for the middle of words `width` long, None for none.

    They are off its crosses and off all points `kept` free.
    """
    along = np.array([0.0, 1.0]) if seam.upright else np.array([1.0, 0.0])
    length = float(np.hypot(*(seam.end - seam.start)))
    ends = width / 2 + 2.0
    if length < 2 * ends:
        return None
    middles = np.linspace(ends, length - ends, _TRIED)
    low, high = _ASIDE if seam.cut else (-_ASIDE[1], -_ASIDE[0])
    free = np.ones(_TRIED, dtype=bool)
    for one in (*kept, Kept(seam.crosses, CROSS)):
        away = one.points - seam.start
        aside, there = away @ along[::-1], away @ along
        near = np.sort(there[(aside > low - one.clear) & (aside < high + one.clear)])
        first, last = (middles + side * (width / 2 + one.clear) for side in (-1, 1))
        free &= np.searchsorted(near, first, side="right") >= np.searchsorted(near, last)
    found: Array = seam.start + middles[free.argmax()] * along
    return found if free.any() else None
