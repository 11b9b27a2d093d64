"""Which sheets of paper a template needs: how they are turned, how many, and what each shows.

All lengths mm of true size on paper; x right, y down, the origin at the top left of
what is tiled.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.errors import JobError
from tracer.job import Hold
from tracer.shop.paper import Paper

_NOISE = 1e-6
"""mm by which a figure may exceed a sheet before it needs another: far under what a printer can show."""

MOST_SHEETS = 400
"""More are no template that anybody tapes together (our own choice)."""


@dataclass(frozen=True)
class Cell:
    """What one sheet shows: `row` and `column` from 0, (x, y) its top left, (width, height) its size.

    `set_up` is the number of the set-up that it belongs to, 0 where there is but one.
    """

    row: int
    column: int
    x: float
    y: float
    width: float
    height: float
    set_up: int = 0

    @property
    def place(self) -> str:
        """Letters for the row, a number for the column: "B3"."""
        return row_letters(self.row) + str(self.column + 1)

    @property
    def name(self) -> str:
        """Its place, after the set-up's number where there are several: "2-B3"."""
        return f"{self.set_up}-{self.place}" if self.set_up else self.place


@dataclass(frozen=True)
class Tiling:
    """Sheets in columns and rows, each sharing `overlap` with its neighbours.

    Attributes
    ----------
    columns, rows : how many sheets across and down.
    sheet : (width, height) of the paper as held.
    cell : (width, height) of what one sheet shows.
    margin : left free at each edge of the paper.
    overlap : what neighbours both show.
    strip : kept free of the figure at the bottom of each sheet, for bars and words.
    side : kept free at the right.
    offset : (x, y) of the first cell's top left; negative where the figure is centred on the sheets.
    set_up : number of the set-up, 0 where there is but one.
    """

    columns: int
    rows: int
    sheet: tuple[float, float]
    cell: tuple[float, float]
    margin: float
    overlap: float
    strip: float
    side: float
    offset: tuple[float, float]
    set_up: int = 0

    @property
    def landscape(self) -> bool:
        """Whether the paper is held with its long edge across."""
        return self.sheet[0] > self.sheet[1]

    @property
    def count(self) -> int:
        """Number of sheets, empty ones included."""
        return self.columns * self.rows

    @property
    def cells(self) -> tuple[Cell, ...]:
        """All cells, row by row."""
        return tuple(self.at(row, column) for row in range(self.rows) for column in range(self.columns))

    def at(self, row: int, column: int) -> Cell:
        """Return the cell in `row` and `column`, from 0."""
        (width, height), (x0, y0) = self.cell, self.offset
        x = x0 + column * (width - self.overlap)
        y = y0 + row * (height - self.overlap)
        return Cell(row, column, x, y, width, height, self.set_up)

    def trimmed(self, cell: Cell) -> tuple[float, float, float, float]:
        """Return (x0, y0, x1, y1) of the cell up to the middles of its overlaps: so they cover all once."""
        half = self.overlap / 2
        return (
            cell.x + (half if cell.column else 0.0),
            cell.y + (half if cell.row else 0.0),
            cell.x + cell.width - (half if cell.column < self.columns - 1 else 0.0),
            cell.y + cell.height - (half if cell.row < self.rows - 1 else 0.0),
        )

    def used(self, points: NDArray[np.float64], reach: float) -> tuple[Cell, ...]:
        """Return the cells that show something: `points` (n, 2) within `reach` of their trimmed area."""
        return tuple(cell for cell in self.cells if _any_inside(points, self.trimmed(cell), reach))


def tile(
    width: float,
    height: float,
    paper: Paper,
    *,
    margin: float,
    overlap: float,
    strip: float = 0.0,
    side: float = 0.0,
    hold: Hold = "fewest",
) -> Tiling:
    """Lay a figure `width` x `height` on as few sheets of `paper` as possible, upright where it is a tie.

    Columns = ceil((width - overlap) / (cell - overlap)) and likewise rows; the figure
    is centred on the sheets. JobError as for `ways`.
    """
    laid = ways(width, height, paper, kept=(margin, overlap, strip, side), hold=hold)
    return min(laid, key=lambda way: way.count)


def ways(
    width: float, height: float, paper: Paper, *, kept: tuple[float, float, float, float], hold: Hold
) -> tuple[Tiling, ...]:
    """Lay a figure on paper held upright, across, or both ways, as `hold` says; upright comes first.

    `kept` is margin, overlap, strip and side. JobError where margins, overlap and strip
    leave no room on the paper, or the figure would take more than MOST_SHEETS.
    """
    upright, across = (paper.width, paper.height), (paper.height, paper.width)
    held = {"portrait": (upright,), "landscape": (across,), "fewest": (upright, across)}[hold]
    fitting = [way for sheet in held if (way := tile_held(width, height, sheet, kept=kept)) is not None]
    margin, _, strip, _ = kept
    if not fitting:
        other = "" if hold == "fewest" else f", or leave {hold} out"
        raise JobError(
            f"{paper.name} paper ({paper.width:g} x {paper.height:g} mm) leaves no room between margins of "
            f"{margin:g} mm for a figure and its {strip:g} mm strip of marks: use larger paper{other}."
        )
    fewest = min(way.count for way in fitting)
    if fewest > MOST_SHEETS:
        raise JobError(
            f"the template is {width:.0f} x {height:.0f} mm and would take {fewest} sheets of "
            f"{paper.name} paper; at most {MOST_SHEETS} are laid out: make the figure smaller, or say larger "
            "paper with --paper."
        )
    return tuple(way for way in fitting if way.count <= MOST_SHEETS)


def tile_held(
    width: float, height: float, sheet: tuple[float, float], *, kept: tuple[float, float, float, float]
) -> Tiling | None:
    """Lay a figure on sheets (width, height) held one way, or return None where a sheet has no room.

    `kept` is margin, overlap, strip and side, as for `tile`.
    """
    margin, overlap, strip, side = kept
    cell = (sheet[0] - 2 * margin - side, sheet[1] - 2 * margin - strip)
    if min(cell) <= overlap:
        return None
    columns, rows = _needed(width, cell[0], overlap), _needed(height, cell[1], overlap)
    covered = [n * (p - overlap) + overlap for n, p in ((columns, cell[0]), (rows, cell[1]))]
    offset = ((width - covered[0]) / 2, (height - covered[1]) / 2)
    return Tiling(columns, rows, sheet, cell, margin, overlap, strip, side, offset)


def row_letters(row: int) -> str:
    """Return A, B .. Z, AA, AB .. for rows from 0."""
    letters = ""
    row += 1
    while row:
        row, digit = divmod(row - 1, 26)
        letters = chr(ord("A") + digit) + letters
    return letters


def _needed(extent: float, cell: float, overlap: float) -> int:
    """Return how many cells cover `extent`; a cell that is exactly full stays one."""
    return max(1, math.ceil((extent - overlap - _NOISE) / (cell - overlap)))


def _any_inside(points: NDArray[np.float64], box: tuple[float, float, float, float], reach: float) -> bool:
    """Say whether any of `points` lies in `box` grown by `reach`."""
    x0, y0, x1, y1 = box
    x, y = points[:, 0], points[:, 1]
    inside = (x >= x0 - reach) & (x <= x1 + reach) & (y >= y0 - reach) & (y <= y1 + reach)
    return bool(inside.any())
