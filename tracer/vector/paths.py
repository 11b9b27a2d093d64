"""Shortest paths from breakpoint to breakpoint, through many sections at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

_LOT = 16
"""Candidates of each section whose costs are found together: their edges hold few segments in a row."""


@dataclass(frozen=True, eq=False)
class Edges:
    """Spans that may become segments.

    Attributes
    ----------
    start, end : (e,) the candidates they join, start < end; sorted by start.
    cost : (e,)
    straight : (e,) lines: no two of them follow one another, as they would meet in a corner.
    """

    start: Index
    end: Index
    cost: Array
    straight: Flags

    def only(self, wanted: Flags | Index) -> "Edges":
        """Return the edges that are wanted."""
        return Edges(self.start[wanted], self.end[wanted], self.cost[wanted], self.straight[wanted])


def cheapest(edges: Edges, section: Index) -> list[list[int]]:
    """Return for each section the edges of its cheapest path, from its first candidate to its last.

    `section` (k,) tells of each candidate to which section it belongs, in rising order. Costs to go are found
    from the sections' ends backwards, a few candidates at a time: their edges are relaxed until none improves
    (Bellman 1958, Ford 1956), and what lies behind them stands.
    """
    last = np.flatnonzero(np.diff(section, append=-1))
    to_go = np.full(len(section), np.inf)
    to_go[last] = 0
    after_line = to_go.copy()  # the same where the segment before is a line
    lot = (last[section] - np.arange(len(section)))[edges.start] // _LOT
    order = np.argsort(lot, kind="stable")
    for own in np.split(order, np.cumsum(np.bincount(lot))[:-1]) if len(order) else []:
        _relax(edges.only(own), to_go, after_line)
    return _walks(edges, _totals(edges, to_go, after_line), section, last)


def _relax(edges: Edges, to_go: Array, after_line: Array) -> None:
    """Lower the costs to go from the starts of edges, and those behind a line, until they stand."""
    begin = np.flatnonzero(np.diff(edges.start, prepend=-1))
    node = edges.start[begin]
    while True:
        total = _totals(edges, to_go, after_line)
        best = np.minimum.reduceat(total, begin)
        best_curve = np.minimum.reduceat(np.where(edges.straight, np.inf, total), begin)
        if not ((best < to_go[node]) | (best_curve < after_line[node])).any():
            break
        to_go[node], after_line[node] = best, best_curve


def _totals(edges: Edges, to_go: Array, after_line: Array) -> Array:
    """Return the cost to go over each edge."""
    rest: Array = np.where(edges.straight, after_line[edges.end], to_go[edges.end])
    return edges.cost + rest


def _walks(edges: Edges, total: Array, section: Index, last: Index) -> list[list[int]]:
    """Return the edges of each section's path by the costs to go over each edge."""
    best = _choices(edges.start, total, len(section))
    best_curve = _choices(edges.start, np.where(edges.straight, np.inf, total), len(section))
    walks = []
    first = np.concatenate([[0], last[:-1] + 1])
    for begin, goal in zip(first.tolist(), last.tolist(), strict=True):
        walk: list[int] = []
        here = begin
        while here < goal:
            curve_only = walk and edges.straight[walk[-1]]
            walk.append(int((best_curve if curve_only else best)[here]))
            here = int(edges.end[walk[-1]])
        walks.append(walk)
    return walks


def _choices(start: Index, total: Array, count: int) -> Index:
    """Return for each of `count` candidates its cheapest edge, the first of equals."""
    begin = np.flatnonzero(np.diff(start, prepend=-1))
    least = np.minimum.reduceat(total, begin)
    hits = np.flatnonzero(total == np.repeat(least, np.diff(begin, append=len(start))))
    chosen = np.full(count, -1)
    chosen[start[hits[::-1]]] = hits[::-1]
    return chosen
