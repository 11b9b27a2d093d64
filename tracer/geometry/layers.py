"""What is seen of areas and lines painted over one another.

All borders and lines are cut where they cross. A piece of border is seen where there is
ink on one side of it and none on the other; a piece of line where no ink lies beside it and
nothing that was painted later covers both its sides. Pieces keep the cubics they were cut from.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.inside import Area, Inside
from tracer.geometry.pieces import Piece, beside, chain_of, cut_up, is_whole, runs_of

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Index = NDArray[np.intp]

SIDE = 0.02
"""How far from a border its two sides are looked at, in the frame's unit (art pixels)."""

AS_DARK = 0.25
"""A line is lost in an area unless it is darker by more than this part of full darkness."""


@dataclass(frozen=True, eq=False)
class Layer:
    """An area as painted.

    Attributes
    ----------
    area : where.
    order : what has a higher one lies above.
    ink : 0 where it hides what lies below as paper would, else its darkness up to 1.
    within : indices of the windows that it shows through: it is seen where it is in all of them.
    """

    area: Area
    order: int
    ink: float
    within: tuple[int, ...] = ()


@dataclass(frozen=True, eq=False)
class Line:
    """A line as painted: cubics (n, 4, 2), and order, darkness and windows as for a Layer."""

    curves: Array
    closed: bool
    order: int
    ink: float = 1.0
    within: tuple[int, ...] = ()


@dataclass(frozen=True, eq=False)
class Seen:
    """What is seen.

    Attributes
    ----------
    rings : closed borders (n, 4, 2) of the ink, the ink on the right hand where y points down.
    loose : pieces of border that close to no ring: where borders run along one another.
    lines : for each line the pieces of it that are seen, as (cubics, closed).
    """

    rings: list[Array]
    loose: list[Array]
    lines: list[list[tuple[Array, bool]]]


def seen(layers: Sequence[Layer], lines: Sequence[Line], windows: Sequence[Area], tolerance: float) -> Seen:
    """Return what is seen of layers and lines through windows; `tolerance` is for where they cross."""
    areas = [layer.area for layer in layers] + list(windows)
    if not areas:
        return Seen([], [], [[(line.curves, line.closed)] for line in lines])
    rings = [ring for area in areas for ring in area.rings]
    chains = [(ring, True) for ring in rings] + [(line.curves, line.closed) for line in lines]
    pieces = cut_up(chains, tolerance, len(rings))
    states = _States(layers, windows, tolerance)
    borders = [piece for piece in pieces if piece.chain < len(rings)] if states.ink.any() else []
    return Seen(
        *_rings(rings, borders, states),
        _lines(lines, [p for p in pieces if p.chain >= len(rings)], len(rings), states),
    )


class _States:
    """What lies uppermost on both sides of pieces."""

    def __init__(self, layers: Sequence[Layer], windows: Sequence[Area], tolerance: float) -> None:
        self.layers = layers
        self.inside = Inside([layer.area for layer in layers] + list(windows), tolerance / 10)
        self.order = np.array([layer.order for layer in layers], float)
        self.ink = np.array([layer.ink for layer in layers], float)
        self.gated = np.array([len(layer.within) > 0 for layer in layers], bool)

    def uppermost(self, points: Array) -> Index:
        """Return the index of the uppermost layer at `points` (m, 2), -1 where there is none."""
        point, area = self.inside.of(points)
        layer = area < len(self.layers)
        gates = self._gates(point[~layer], area[~layer])
        point, area = point[layer], area[layer]
        shown = np.ones(len(area), bool)
        for n in np.flatnonzero(self.gated[area]).tolist():
            shown[n] = all((point[n], window) in gates for window in self.layers[area[n]].within)
        point, area = point[shown], area[shown]
        rising = np.lexsort((self.order[area], point))
        top = np.full(len(points), -1)
        top[point[rising]] = area[rising]  # of several for one point the last stays
        return top

    def through(self, points: Array, within: Sequence[tuple[int, ...]]) -> Flags:
        """Say which `points` (m, 2) lie in all the windows that `within` names for each."""
        shown = np.ones(len(points), bool)
        asked = np.flatnonzero([len(one) > 0 for one in within])
        gates = self._gates(*self.inside.of(points[asked]))
        for n, k in enumerate(asked.tolist()):
            shown[k] = all((n, window) in gates for window in within[k])
        return shown

    def _gates(self, point: Index, area: Index) -> set[tuple[int, int]]:
        """Return (point, window) of all windows that points lie in."""
        return set(zip(point.tolist(), (area - len(self.layers)).tolist(), strict=True))


def _rings(rings: Sequence[Array], pieces: list[Piece], states: _States) -> tuple[list[Array], list[Array]]:
    """Return the seen borders as closed rings with the ink on their right, and what closes to none."""
    right, left = (states.uppermost(side) for side in beside(rings, pieces, SIDE))
    ink = np.append(states.ink > 0, False)  # the last stands for no layer at all
    sides = _once(rings, pieces, ink[right].astype(np.int_) - ink[left])
    runs = [(run, side) for run, side in runs_of(rings, pieces, sides) if side]
    whole = [
        chain_of(rings, run, side) for run, side in runs if run.tail == run.head and is_whole(rings, run)
    ]
    parts = [(run, side) for run, side in runs if not (run.tail == run.head and is_whole(rings, run))]
    linked, loose = _linked(rings, parts)
    return whole + linked, loose


def _once(chains: Sequence[Array], pieces: list[Piece], sides: NDArray[np.int_]) -> NDArray[np.int_]:
    """Return the sides with 0 for pieces that lie on another between the same nodes."""
    known: dict[tuple[float, ...], list[Array]] = {}
    sides = sides.copy()
    for k in np.flatnonzero(sides).tolist():
        piece = pieces[k]
        way = chain_of(chains, piece, int(sides[k]))
        ends: tuple[float, ...] = (piece.tail, piece.head) if sides[k] > 0 else (piece.head, piece.tail)
        if piece.tail < 0:  # a whole ring: its extent tells it from most others
            ends = tuple(round(side, 1) for side in bezier.bounds(way))
        middle = bezier.points_at(way, np.array([len(way) / 2]))[0]
        others = known.setdefault(ends, [])
        if any(_near(other, middle) for other in others):
            sides[k] = 0
        else:
            others.append(way)
    return sides


def _near(way: Array, point: Array) -> bool:
    """Say whether a point lies on a chain, within the reach in which sides are looked at."""
    along = bezier.points_at(way, np.linspace(0, len(way), 64 * len(way) + 1))
    a, d = along[:-1], np.diff(along, axis=0)
    u = np.clip(((point - a) * d).sum(axis=1) / np.maximum((d * d).sum(axis=1), 1e-300), 0, 1)
    return bool(np.hypot(*(a + u[:, None] * d - point).T).min() < 3 * SIDE)


def _linked(chains: Sequence[Array], runs: list[tuple[Piece, int]]) -> tuple[list[Array], list[Array]]:
    """Link runs, each the way that has ink on its right, from node to node into closed rings.

    Where several go on the one that keeps most to the right is taken: what touches at
    a corner stays apart.
    """
    ways = [chain_of(chains, run, side) for run, side in runs]
    ends = [(run.tail, run.head) if side > 0 else (run.head, run.tail) for run, side in runs]
    free: dict[int, list[int]] = {}
    for k, (tail, _) in enumerate(ends):
        free.setdefault(tail, []).append(k)
    rings: list[Array] = []
    loose: list[Array] = []
    for first in range(len(ways)):
        if first not in free.get(ends[first][0], []):
            continue
        free[ends[first][0]].remove(first)
        path, node = [first], ends[first][1]
        while node != ends[first][0] and free.get(node):
            following = max(free[node], key=lambda k: _turn(ways[path[-1]], ways[k]))
            free[node].remove(following)
            path.append(following)
            node = ends[following][1]
        (rings if node == ends[first][0] else loose).append(_joined([ways[k] for k in path]))
    return rings, loose


def _turn(before: Array, after: Array) -> float:
    """Return the angle by which the way turns to the right, y pointing down."""
    a = bezier.tangents_at(before, np.array([float(len(before))]))[0]
    b = bezier.tangents_at(after, np.array([0.0]))[0]
    return float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))


def _joined(ways: list[Array]) -> Array:
    """Return ways that follow one another as one chain; each begins exactly where the last ended."""
    for before, after in zip(ways, [*ways[1:], ways[0]], strict=True):
        gap = after[0, 0] - before[-1, 3]
        if np.hypot(*gap) < 1.0:
            before[-1, 3] += gap
            before[-1, 2] += gap
    return np.concatenate(ways)


def _lines(
    lines: Sequence[Line], pieces: list[Piece], first: int, states: _States
) -> list[list[tuple[Array, bool]]]:
    """Return the pieces that are seen of each line."""
    own = [Piece(p.chain - first, p.start, p.end, p.tail, p.head) for p in pieces]
    curves = [line.curves for line in lines]
    sides = beside(curves, own, SIDE)
    within = [lines[piece.chain].within for piece in own]
    order = np.array([lines[piece.chain].order for piece in own], float)
    ink = np.array([lines[piece.chain].ink for piece in own], float)
    lost, clear = np.zeros(len(own), bool), np.zeros(len(own), bool)
    above, dark = np.append(states.order, -np.inf), np.append(states.ink, 0.0)
    for side in sides:
        top = states.uppermost(side)
        covered = above[top] > order
        lost |= (dark[top] > 0) & (covered | (ink < dark[top] + AS_DARK))
        clear |= ~covered & states.through(side, within)
    parts: list[list[tuple[Array, bool]]] = [[] for _ in lines]
    for run, state in runs_of(curves, own, (clear & ~lost).astype(np.int_)):
        if state:
            whole = lines[run.chain].closed and is_whole(curves, run)
            parts[run.chain].append((chain_of(curves, run, 1), whole))
    return parts
