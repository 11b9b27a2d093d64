"""Free ends, connected parts and crossings of lines."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from benchmarks.strokes.lines import PIECE, Lines, to_pieces

Array = NDArray[np.float64]

MEETING = 0.35
"""mm: an end nearer to a line meets it."""

DOT = 0.3
"""mm: a shorter line is a dot, which has one end."""

PASSING = 3.0
"""mm along a line beyond which it comes back to itself rather than just going on."""


@dataclass(frozen=True, eq=False)
class Ends:
    """Ends of lines: `points` (n, 2), and the distance (n,) from each to the nearest other line."""

    points: Array
    clearance: Array


class Crossing(NamedTuple):
    """Where two lines pass through each other: place (page mm) and angle between them (radians)."""

    x: float
    y: float
    angle: float


def ends_of(lines: Lines, reach: float) -> Ends:
    """Return all ends; clearances are looked for within `reach` mm, beyond it they are infinite."""
    points, clearance = [], []
    for owner, pair in enumerate(lines.ends):
        if lines.closed[owner]:
            continue
        dot = lines.lengths[owner] < DOT
        for point, along in zip(pair[:1] if dot else pair, (0.0, lines.lengths[owner]), strict=False):
            points.append(point)
            near = _others(lines, owner, point, along, reach)
            clearance.append(_away(lines, point, near))
    return Ends(np.array(points).reshape(-1, 2), np.array(clearance))


def _away(lines: Lines, point: Array, pieces: NDArray[np.intp]) -> float:
    """Return the distance from a point to the nearest of some pieces."""
    if not len(pieces):
        return math.inf
    return float(to_pieces(point, lines.start[pieces], lines.step[pieces]).min())


def _others(lines: Lines, owner: int, point: Array, along: float, reach: float) -> NDArray[np.intp]:
    """Return the pieces near an end that belong to another line, or to its own far along."""
    near = lines.within(point, reach)
    far = np.abs(lines.along[near] - along) > max(PASSING, 2 * reach)
    return near[(lines.owner[near] != owner) | far]


def parts_by_meeting(lines: Lines) -> int:
    """Return how many connected parts lines form that end on each other, within `MEETING`, or cross."""
    pairs = lines.tree.query_pairs(PIECE, output_type="ndarray")
    links = [lines.owner[pairs]]
    for owner, ends in enumerate(lines.ends):
        for point in ends if not lines.closed[owner] else ():
            met = np.unique(lines.owner[lines.within(point, MEETING)])
            links.append(np.column_stack([np.full(len(met), owner), met]))
    return _components(len(lines.lengths), np.concatenate(links))


def parts_by_ink(polylines: list[Array], pen: float, slack: float) -> tuple[int, int]:
    """Return the fewest and most connected parts of ink drawn by a round pen.

    Gaps and overlaps under `slack` mm may be seen either way.
    """
    strings = [shapely.LineString(p) if len(p) > 1 else shapely.Point(p[0]) for p in polylines]
    tree = shapely.STRtree(strings)
    few, many = (
        _components(len(strings), tree.query(strings, predicate="dwithin", distance=d).T)
        for d in (pen + slack, pen - slack)
    )
    return few, many


def _components(count: int, pairs: NDArray[np.intp]) -> int:
    """Return the number of connected components."""
    graph = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    return int(connected_components(graph, directed=False)[0])


def crossings_of(lines: Lines, pen: float, *, least: float, stays: float) -> list[Crossing]:
    """Return where lines pass through each other at `least` radians or more.

    Each must go on for `stays` pens either side, so that a stem that ends a little beyond
    a bar is none; directions are those of chords one pen either side, so that
    two bent lines that touch at their bends are none.
    """
    found: list[Crossing] = []
    for a, b in _meeting_pieces(lines):
        owners = int(lines.owner[a]), int(lines.owner[b])
        places = float(lines.along[a]), float(lines.along[b])
        if not all(_goes_on(lines, o, s, stays * pen) for o, s in zip(owners, places, strict=True)):
            continue
        angle = _angle(*(_chord(lines, o, s, pen) for o, s in zip(owners, places, strict=True)))
        x, y = lines.middles[a]
        if angle >= least and all(math.hypot(x - c.x, y - c.y) > 0.5 * pen for c in found):
            found.append(Crossing(float(x), float(y), angle))
    return found


def _meeting_pieces(lines: Lines) -> NDArray[np.intp]:
    """Return pairs of pieces (k, 2) that cut each other and do not just follow one another."""
    pairs = lines.tree.query_pairs(PIECE * 1.001, output_type="ndarray")
    a, b = pairs[:, 0], pairs[:, 1]
    same = lines.owner[a] == lines.owner[b]
    away = np.abs(lines.along[a] - lines.along[b])
    round_ = np.where(lines.closed[lines.owner[a]], lines.lengths[lines.owner[a]] - away, away)
    pairs = pairs[~same | (np.minimum(away, round_) > PASSING)]
    a, b = pairs[:, 0], pairs[:, 1]
    cut = _sides(lines, a, b) & _sides(lines, b, a)
    return pairs[cut]


def _sides(lines: Lines, a: NDArray[np.intp], b: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Return whether the ends of pieces `b` lie on both sides of pieces `a` (or on them)."""
    step = lines.step[a]
    first = lines.start[b] - lines.start[a]
    second = first + lines.step[b]
    turns = [step[:, 0] * v[:, 1] - step[:, 1] * v[:, 0] for v in (first, second)]
    return turns[0] * turns[1] <= 1e-12


def _goes_on(lines: Lines, owner: int, along: float, reach: float) -> bool:
    """Return whether a line goes on for `reach` either side of a place."""
    return bool(lines.closed[owner]) or reach <= along <= lines.lengths[owner] - reach


def _chord(lines: Lines, owner: int, along: float, reach: float) -> Array:
    """Return the way from `reach` before a place to as far after it."""
    return lines.at(owner, along + reach) - lines.at(owner, along - reach)


def _angle(a: Array, b: Array) -> float:
    """Return the angle between two undirected lines, 0 to 90 degrees in radians."""
    return math.atan2(abs(a[0] * b[1] - a[1] * b[0]), abs(float(a @ b)))


def arms_at(lines: Lines, point: Array, pen: float) -> int:
    """Return how many arms leave a place: two of a line that passes, one of a line that ends there."""
    near = lines.within(point, MEETING)
    arms = 0
    for owner in np.unique(lines.owner[near]):
        mine = near[lines.owner[near] == owner]
        along = lines.along[mine]
        passes = bool(lines.closed[owner]) or bool(
            np.any((along > pen) & (along < lines.lengths[owner] - pen))
        )
        arms += 2 if passes else 1
    return arms
