"""Corner marks on the outermost sheets, and how far apart they are once all are taped up. Template mm."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.lengths import Units, format_length
from tracer.sheets.assembly import Assembly
from tracer.sheets.marks import draw_cross
from tracer.sheets.pdf import Pdf
from tracer.sheets.tiling import Cell

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_FIRST, _STEP, _TRIED = 6.0, 4.0, 12
"""mm from a sheet's corner to the first place tried for its mark, and on to the next; how many."""

_ROOM = 7.0
"""mm that a mark keeps clear of the grooves' bands."""

_ARM, _HALF = 4.0, 2.6
"""mm: from a corner mark's middle to the ends of its cross, and to the sides of the square round it."""

_ENDS = (((-1, -1), (1, 1)), ((1, -1), (-1, 1)))
"""Of each diagonal, which corner it starts from and which it ends at; x right, y down."""


@dataclass(frozen=True, eq=False)
class Corner:
    """A corner mark: the sheet that shows it, its place (2,), and its way outwards (x right, y down)."""

    cell: Cell
    point: Array
    way: tuple[int, int]


@dataclass(frozen=True, eq=False)
class Diagonal:
    """Two corner marks of the assembled whole."""

    start: Corner
    end: Corner

    @property
    def length(self) -> float:
        """From mark to mark, mm."""
        return float(np.hypot(*(self.end.point - self.start.point)))


def diagonals_of(assembly: Assembly) -> tuple[Diagonal, ...]:
    """Return the two diagonals of the assembled sheets; none where a single sheet is printed.

    Each goes between the printed sheets that reach furthest into its corners. The four
    marks make a rectangle where all corner sheets are printed and have room for it.
    """
    if len(assembly.used) < 2:
        return ()
    ways = [way for ends in _ENDS for way in ends]
    cells = [_outermost(assembly.used, way) for way in ways]
    places = [_places(assembly, cell, way) for cell, way in zip(cells, ways, strict=True)]
    free = [_clear(assembly, cell, one) for cell, one in zip(cells, places, strict=True)]
    alike = np.logical_and.reduce(free)
    chosen = [int(np.argmax(alike if alike.any() else one)) for one in free]
    a, b, c, d = (
        Corner(cell, one[k], way) for cell, one, k, way in zip(cells, places, chosen, ways, strict=True)
    )
    return tuple(Diagonal(*ends) for ends in ((a, b), (c, d)) if ends[0].cell != ends[1].cell)


def diagonal_words(diagonals: Sequence[Diagonal], units: Units) -> str:
    """Say from which corner mark to which, and how far: at a tenth of a mm, as the sheets are drawn."""
    lengths = [f"{one.length:.1f} mm" for one in diagonals]
    if len(set(lengths)) == 1:
        pairs = dict.fromkeys(" to ".join(sorted((a.cell.name, b.cell.name))) for a, b in _pairs(diagonals))
        inches = format_length(diagonals[0].length, "in")
        written = f"{inches} ({lengths[0]})" if units == "in" else f"{lengths[0]} ({inches})"
        return f"Taped up, opposite corner marks ({', '.join(pairs)}): {written}."
    ends = [f"{_where(a)} to {_where(b)}" for a, b in _pairs(diagonals)]
    said = [f"{way} {length}" for way, length in zip(ends, lengths, strict=True)]
    return f"Taped up, corner marks: {', '.join(said)}." if said else ""


def _pairs(diagonals: Sequence[Diagonal]) -> list[tuple[Corner, Corner]]:
    return [(one.start, one.end) for one in diagonals]


def _where(corner: Corner) -> str:
    """Say which corner mark it is."""
    across, down = corner.way
    return f"{'top' if down < 0 else 'bottom'} {'left' if across < 0 else 'right'} of {corner.cell.name}"


def draw_corners(pdf: Pdf, diagonals: Sequence[Diagonal], cell: Cell) -> None:
    """Draw the corner marks that lie on a sheet, within its window."""
    for corner in (corner for one in diagonals for corner in (one.start, one.end)):
        if corner.cell == cell:
            draw_cross(pdf, corner.point, arm=_ARM)
            x, y = corner.point - _HALF
            pdf.box(float(x), float(y), 2 * _HALF, 2 * _HALF, line=0.25)


def _outermost(cells: Sequence[Cell], way: tuple[int, int]) -> Cell:
    """Return the sheet whose corner lies furthest that way."""
    return max(cells, key=lambda cell: float(np.dot(_corner(cell, way), way)))


def _corner(cell: Cell, way: tuple[int, int]) -> Array:
    """Return a sheet's corner (2,), in the tiling's frame."""
    half = np.array([cell.width, cell.height]) / 2
    return np.array([cell.x, cell.y]) + half * (1.0 + np.array(way))


def _places(assembly: Assembly, cell: Cell, way: tuple[int, int]) -> Array:
    """Return places (n, 2) for a mark near a sheet's corner, the nearest first: alike for all corners."""
    steps = _FIRST + _STEP * np.arange(_TRIED)
    steps = steps[steps <= min(cell.width, cell.height) / 2]
    inward = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    nearest = np.argsort(inward.sum(axis=1), kind="stable")
    places: Array = np.array(assembly.origin) + _corner(cell, way) - inward[nearest] * np.array(way)
    return places


def _clear(assembly: Assembly, cell: Cell, places: Array) -> Flags:
    """Say of places (n, 2) whether a mark there keeps clear of all lines and of the sheet's seams."""
    box = np.reshape(assembly.tiling.trimmed(cell), (2, 2)) + np.array(assembly.origin)
    inner, outer = box[0] + _ARM, box[1] - _ARM
    far = assembly.track.band / 2 + _ROOM
    first, last = places.min(axis=0) - far, places.max(axis=0) + far
    points = assembly.track.points
    near = points[((points > first) & (points < last)).all(axis=1)]
    apart = ((places[:, None] - near[None]) ** 2).sum(axis=2).min(axis=1, initial=np.inf)
    clear: Flags = ((places >= inner) & (places <= outer)).all(axis=1) & (apart > far**2)
    return clear
