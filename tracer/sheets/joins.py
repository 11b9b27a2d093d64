"""Marks that join neighbouring sheets: crosses that fall on each other, and the line to cut along.

Both lie on the middle of the overlap. The upper or left one of two sheets stays whole;
the lower or right one is cut along the line, through its crosses, and laid on the
other, where the crosses are whole.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.sheets.assembly import Assembly
from tracer.sheets.marks import draw_cross
from tracer.sheets.pdf import GREY, Pdf
from tracer.sheets.tiling import Cell

Array = NDArray[np.float64]

_PLACES = (1 / 6, 1 / 2, 5 / 6)
"""Where along a seam its crosses stand."""

SEAM, CROSS = 3.2, 4.4
"""mm that marks of the seam take to either side of its line, and a cross each way from its middle."""

_WORDS = 7.0
"""Points: size of the words along a seam."""

_TRIED, _OFF = 60, 4.6  # places for the words along a seam; mm off its line that signs may touch them

_DARK = (0.3, 0.3, 0.3)


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


def draw_seams(pdf: Pdf, assembly: Assembly, cell: Cell, busy: Array) -> None:
    """Draw all seams of a sheet, the words along each off those along others and off points `busy` (m, 2)."""
    seams = list(seams_of(assembly, cell))
    for seam in seams:
        others = [_strip(other) for other in seams if other is not seam]
        draw_seam(pdf, seam, np.concatenate([busy, *others]))


def _strip(seam: Seam) -> Array:
    """Return points (n, 2), 1 mm apart, where words along a seam may stand."""
    along = np.linspace(seam.start, seam.end, int(np.hypot(*(seam.end - seam.start))))
    across = np.array([1.0, 0.0]) if seam.upright else np.array([0.0, 1.0])
    return np.concatenate([along + side * across for side in (-SEAM, 0.0, SEAM)])


def draw_seam(pdf: Pdf, seam: Seam, lines: Array) -> None:
    """Draw crosses, the line, and what to do with it where it covers the fewest of `lines` (m, 2)."""
    for cross in seam.crosses:
        draw_cross(pdf, cross)
    pdf.line([seam.start, seam.end], width=0.12, colour=GREY, dash=() if seam.cut else (0.6, 1.6))
    words = f"cut here, lay on {seam.neighbour}" if seam.cut else f"edge of {seam.neighbour} lies here"
    width = pdf.measure(words, _WORDS)
    at = words_place(seam, width, lines)
    inward = 2.5 if seam.cut else -0.8
    if seam.upright:
        pdf.text(at[0] + inward, at[1] + width / 2, words, _WORDS, angle_deg=90.0, colour=_DARK)
    else:
        pdf.text(at[0] - width / 2, at[1] + inward, words, _WORDS, colour=_DARK)


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


def words_place(seam: Seam, width: float, lines: Array) -> Array:
    """Return the middle of the stretch of the seam, `width` long, with the fewest points of lines near."""
    along = np.array([0.0, 1.0]) if seam.upright else np.array([1.0, 0.0])
    reach = np.array([_OFF, _OFF]) + along * width / 2
    length = float(np.hypot(*(seam.end - seam.start)))
    ends = min(width / 2 + 2.0, length / 2)
    middles = seam.start + np.linspace(ends, length - ends, _TRIED)[:, None] * along
    near = np.abs((lines - seam.start) @ along[::-1]) < _OFF
    busy = np.concatenate([lines[near], np.repeat(seam.crosses, 40, axis=0)])
    covered = (np.abs(busy - middles[:, None]) < reach).all(axis=2).sum(axis=1)
    best: Array = middles[int(covered.argmin())]
    return best
