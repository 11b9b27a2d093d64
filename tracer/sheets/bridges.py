"""Sheets that show nothing but are needed to join those that do."""

from collections.abc import Collection

from tracer.sheets.tiling import Cell, Tiling

_Place = tuple[int, int]
"""Row and column of a sheet."""


def joined_up(tiling: Tiling, cells: Collection[Cell]) -> tuple[Cell, ...]:
    """Return `cells` row by row, and with them as many more as it takes to join them all.

    Sheets are joined along their edges: two that meet at a corner only cannot be laid on
    each other. Groups that hang together are bridged one by one, the nearest first.
    """
    there = {(cell.row, cell.column) for cell in cells}
    while bridge := _bridge(there, tiling):
        there |= bridge
    return tuple(cell for cell in tiling.cells if (cell.row, cell.column) in there)


def _bridge(there: set[_Place], tiling: Tiling) -> set[_Place]:
    """Return the places from one group of sheets to the nearest other; none where all is one group."""
    group = _group(there, tiling)
    ways: list[tuple[_Place, ...]] = [(place,) for place in group]
    seen = set(group)
    for way in ways:  # grows while it is gone through: the shortest come first
        for place in _beside(way[-1], tiling):
            if place in there - seen:
                return set(way[1:])
            if place not in seen:
                seen.add(place)
                ways.append((*way, place))
    return set()


def _group(there: set[_Place], tiling: Tiling) -> list[_Place]:
    """Return the places that hang together with the first one along edges."""
    group = sorted(there)[:1]
    for place in group:
        group += [one for one in _beside(place, tiling) if one in there and one not in group]
    return group


def _beside(place: _Place, tiling: Tiling) -> list[_Place]:
    """Return the neighbours of a place within the sheets' rows and columns."""
    row, column = place
    around = ((row - 1, column), (row, column - 1), (row, column + 1), (row + 1, column))
    return [(i, j) for i, j in around if 0 <= i < tiling.rows and 0 <= j < tiling.columns]
