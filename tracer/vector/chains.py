"""Segments laid out for the refinement: which numbers neighbours share, and a first guess of all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import LINE, Pieces
from tracer.vector.unknowns import Chains

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_FIRM = 1e6
"""Weight of a line's own end in the mean at a joint."""


@dataclass(frozen=True, eq=False)
class Route:
    """One stroke's segments in order.

    Attributes
    ----------
    pieces, numbers : the segments, and the numbers (n, 8) of each, see `cubics`: neighbours' need not agree.
    corner : (n,) bool, the direction may jump where the segment ends.
    closed : the last segment ends where the first begins; smoothly unless that is a corner.
    hold : weight, in samples, that holds corners and the ends of an open stroke at their samples.
    """

    pieces: Pieces
    numbers: Array
    corner: NDArray[np.bool_]
    closed: bool
    hold: float


def chains_of(routes: Sequence[Route], points: Array) -> Chains:
    """Return the segments of all routes through samples `points` (m, 2), laid one behind the other."""
    layout = _Layout()
    for route in routes:
        layout.lay(route)
    pieces = Pieces.together([route.pieces for route in routes])
    unknown = np.array(layout.unknown)
    unknown[:, 3:5] = layout.count + np.arange(2 * len(unknown)).reshape(-1, 2)
    values, hold = np.zeros(layout.count + 2 * len(unknown)), np.zeros(layout.count)
    values[unknown] = _met(routes, points)
    for places, weight in layout.held:
        hold[places] = weight
    return Chains(
        pieces.kind,
        pieces.first,
        pieces.last,
        np.array(layout.following),
        np.array(layout.block),
        unknown,
        values,
        np.array(layout.begin),
        hold,
    )


class _Layout:
    """Counts unknowns while strokes are laid one behind the other."""

    def __init__(self) -> None:
        self.unknown: list[list[int]] = []
        self.block: list[int] = []
        self.following: list[int] = []
        self.begin = [0]
        self.held: list[tuple[list[int], float]] = []
        self.count = 0

    def _new(self, number: int) -> list[int]:
        self.count += number
        return list(range(self.count - number, self.count))

    def lay(self, route: Route) -> None:
        """Lay one stroke: segments between nodes; smooth neighbours share an angle."""
        size, start, corner = len(route.corner), len(self.unknown), route.corner.tolist()
        nodes = [self._new(2) for _ in range(size + (not route.closed))]
        out = [self._new(1)[0] for _ in corner]
        if not route.closed:
            self.held += [(nodes[0], route.hold), (nodes[-1], route.hold)]
        for k in range(size):
            following = (k + 1) % size
            goes_on = route.closed or following > 0
            shared = goes_on and not corner[k]
            into = out[following] if shared else self._new(1)[0]
            end = nodes[(k + 1) % len(nodes)]
            self.unknown.append([*nodes[k], out[k], 0, 0, *end, into])
            if goes_on and corner[k]:
                self.held.append((end, route.hold))
            self.following.append(start + following if shared else -1)
        self.block += [len(self.begin) - 1] * size
        self.begin.append(self.count)


def _met(routes: Sequence[Route], points: Array) -> Array:
    """Return the numbers (s, 8) of all segments, neighbours' ends made one; a line keeps its own.

    Corners and open ends begin at their samples.
    """
    numbers = np.concatenate([route.numbers for route in routes])
    pieces = Pieces.together([route.pieces for route in routes])
    line = pieces.kind == LINE
    corner = np.concatenate([route.corner for route in routes])
    sizes = np.array([len(route.corner) for route in routes])
    last = np.cumsum(sizes) - 1
    following = np.arange(1, len(line) + 1)
    following[last] = np.where([route.closed for route in routes], last - sizes + 1, -1)
    here = np.flatnonzero(following >= 0)
    there = following[here]
    a, b = (np.where(line[k], _FIRM, 1.0)[:, None] for k in (here, there))
    numbers[here, 5:7] = numbers[there, :2] = (a * numbers[here, 5:7] + b * numbers[there, :2]) / (a + b)
    smooth = ~corner[here]
    here, there, a, b = here[smooth], there[smooth], a[smooth, 0], b[smooth, 0]
    turn = np.mod(numbers[there, 2] - numbers[here, 7] + np.pi, 2 * np.pi) - np.pi
    numbers[here, 7] = numbers[there, 2] = numbers[here, 7] + turn * b / (a + b)
    loose = np.ones((2, len(line)), bool)
    loose[0, here] = loose[1, there] = False
    numbers[loose[0], 5:7] = points[pieces.last[loose[0]]]
    numbers[loose[1], :2] = points[pieces.first[loose[1]]]
    return numbers
