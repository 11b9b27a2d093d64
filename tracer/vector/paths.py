"""Shortest paths from breakpoint to breakpoint, through many sections at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]


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

    def only(self, wanted: Flags) -> "Edges":
        """Return the edges that are wanted."""
        return Edges(self.start[wanted], self.end[wanted], self.cost[wanted], self.straight[wanted])


def cheapest(edges: Edges, section: Index) -> list[list[int]]:
    """Return for each section the edges of its cheapest path, from its first candidate to its last.

    `section` (k,) tells of each candidate to which section it belongs, in rising order. Costs to go are found
    by relaxing all edges until none improves (Bellman 1958, Ford 1956): once for each segment of a path.
    """
    last = np.flatnonzero(np.diff(section, append=-1))
    to_go = np.full(len(section), np.inf)
    to_go[last] = 0
    after_line = to_go.copy()  # the same where the segment before is a line
    active = edges
    while len(active.start):
        begin = np.flatnonzero(np.diff(active.start, prepend=-1))
        node = active.start[begin]
        total = _totals(active, to_go, after_line)
        best = np.minimum.reduceat(total, begin)
        best_curve = np.minimum.reduceat(np.where(active.straight, np.inf, total), begin)
        better = (best < to_go[node]) | (best_curve < after_line[node])
        to_go[node], after_line[node] = best, best_curve
        moved = np.zeros(section[-1] + 1, bool)
        moved[section[node[better]]] = True
        active = active.only(moved[section[active.start]])
    return _walks(edges, _totals(edges, to_go, after_line), section, last)


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
