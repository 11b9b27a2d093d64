"""A carving larger than the reach, divided among set-ups: windows on the board, and what is cut in each.

The windows stand in columns, each parted into as many rows as it needs, or the other way about,
whichever takes fewer. All wood mm.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.lengths import Units
from tracer.report.links import LONGEST, Links
from tracer.report.seams import least_seam
from tracer.report.windows import Windows, lay, lay_by, needed

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Box = tuple[float, float, float, float]

MORE = 2
"""Set-ups beyond the fewest that are tried along an axis, to share more, before a small curve is parted."""


@dataclass(frozen=True, eq=False)
class Position:
    """One position of the board: the `window` that the bit reaches, and the links `own` (k,) cut in it."""

    window: Box
    own: Ints


@dataclass(frozen=True, eq=False)
class Division:
    """Positions in the order of cutting, each next to the one before.

    Attributes
    ----------
    positions : all that are needed; none is empty.
    joins : (j,) places at which strokes are parted.
    cost : what the joins cost.
    clean : no stroke is parted in a small curve.
    """

    positions: tuple[Position, ...]
    joins: Ints
    cost: int
    clean: bool


@dataclass(frozen=True, eq=False)
class _Band:
    """Links cut in one window of an axis."""

    start: float
    own: Ints


@dataclass(frozen=True, eq=False)
class _Bands:
    bands: tuple[_Band, ...]
    joins: tuple[Ints, ...]
    cost: int
    clean: bool


def divide(links: Links, extent: Box, reach: tuple[float, float], units: Units) -> Division:
    """Return the division into the fewest positions, of equally many the one whose joins show least.

    `extent` is that of all links, (x0, y0, x1, y1).
    """
    found = [_divided(links, extent, reach, (axis, units)) for axis in (0, 1)]
    return min(found, key=lambda one: (not one.clean, len(one.positions), one.cost))


def _divided(links: Links, extent: Box, reach: tuple[float, float], way: tuple[int, Units]) -> Division:
    """Part along one axis first, then each band along the other, to and fro."""
    axis, units = way
    other = 1 - axis
    grids = [
        lay(
            extent[k], extent[k + 2], reach[k], count=needed(extent[k + 2] - extent[k], reach[k]), units=units
        )
        for k in (0, 1)
    ]
    everything = np.arange(len(links.ends))
    first = _banded(links, everything, (axis, extent[axis], extent[axis + 2]), grids[axis], units)
    positions: list[Position] = []
    parts = [first]
    for number, band in enumerate(first.bands):
        own = links.points[links.ends[band.own], other]
        low, high = float(own.min()) - LONGEST / 2, float(own.max()) + LONGEST / 2
        limits = (max(low, extent[other]), min(high, extent[other + 2]))
        parts.append(_banded(links, band.own, (other, *limits), grids[other], units))
        rows = [_position(band.start, row, axis, reach) for row in parts[-1].bands]
        positions += rows[::-1] if number % 2 else rows
    joins = np.unique(np.concatenate([np.zeros(0, np.intp), *(j for part in parts for j in part.joins)]))
    return Division(
        tuple(positions), joins, sum(part.cost for part in parts), all(part.clean for part in parts)
    )


def _position(start: float, row: _Band, axis: int, reach: tuple[float, float]) -> Position:
    x, y = (start, row.start) if axis == 0 else (row.start, start)
    return Position((x, y, x + reach[0], y + reach[1]), row.own)


def _banded(links: Links, own: Ints, along: tuple[int, float, float], grid: Windows, units: Units) -> _Bands:
    """Part links along an axis, from where to where, into the fewest bands that part no small curve.

    Where some is parted even with MORE than the fewest, into the fewest.
    """
    axis, low, high = along
    least = needed(high - low, grid.reach)
    fewest = None
    for count in range(least, least + MORE + 1):
        found = _parted(links, own, axis, lay_by(grid, low, high, count=count, units=units))
        if found.clean:
            return found
        fewest = fewest or found
    assert fewest is not None
    return fewest


def _parted(links: Links, own: Ints, axis: int, windows: Windows) -> _Bands:
    """Part links along an axis into the windows, one after the other."""
    bands, joins, cost, clean = list[_Band](), list[Ints](), 0, True
    for index, start in enumerate(windows.starts[:-1]):
        low, high = windows.zone(index)
        seam = least_seam(links, own, axis, (low + LONGEST / 2, high - LONGEST / 2))
        bands.append(_Band(start, own[seam.first]))
        joins.append(seam.joins)
        cost, clean, own = cost + seam.cost, clean and seam.clean, own[~seam.first]
    bands.append(_Band(windows.starts[-1], own))
    return _Bands(tuple(band for band in bands if len(band.own)), tuple(joins), cost, clean)
