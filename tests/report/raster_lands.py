"""Wood between grooves, measured from outside: every two places near each other with only wood between.

In our own words, what is at strokes' "own joint": the way from one place to the other along the grooves,
over joints as drawn, is no longer than BEND times the straight way, or than JOINT times where the grooves
part by more than 35 degrees, or than two grooves' widths. What is certainly none: a way of more than EVER
times the straight one (a wedge under 14 degrees) and of more than five widths. Between them a report may say
either. So may it where a third groove is only just in the way, and where the rule would need the land's
direction to a few degrees.
"""

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from report.raster_wood import PIXEL, Dots, Wood, dotted
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import cKDTree

from tracer.model.drawing import Joint

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Rule = Callable[[Array], Array]
"""Least land (m,) for angles (m,) in radians between the land's length and the board's width."""

STEP, LONG = 0.25, 500.0
"""mm between the places that are compared, twice that where all strokes together are longer than LONG; what
is found is good to STEP^2 / 8 / the distance of middles.
"""

BEND, JOINT, EVER = 1.5, 2.6, 8.0
ROOM = 0.6
"""Share of the distance from the nearer wall that must be free to either side of the straight way."""

ALLOWED = 0.05
"""mm; how far a report's width may be off."""


@dataclass(frozen=True, eq=False)
class Places:
    """Pairs of places with wood between them, or grooves that overlap: all arrays (m, ...).

    `pair` numbers of both strokes, the lower first; `where` the middle; `gap` mm, negative for an overlap;
    `low`, `high` the rule, as it may be read; `sure` that the place is neither near a joint nor in doubt;
    `least` that the same two grooves come no nearer about there, joints counted.
    """

    pair: Ints
    where: Array
    gap: Array
    low: Array
    high: Array
    sure: NDArray[np.bool_]
    least: NDArray[np.bool_]

    def only(self, keep: NDArray[np.bool_]) -> "Places":
        return Places(*(getattr(self, name)[keep] for name in self.__dataclass_fields__))


def near_places(wood: Wood, joints: Sequence[Joint], rule: Rule, most: float) -> Places:
    """All pairs of places with less than the rule between them, or perhaps so; `most` is its largest."""
    long = sum(stroke.length for stroke in wood.strokes) > LONG
    dots = dotted(wood.strokes, 2 * STEP if long else STEP)
    i, j = cKDTree(dots.points).query_pairs(wood.widths.max() + most + ALLOWED, output_type="ndarray").T
    across = dots.points[j] - dots.points[i]
    distance = np.hypot(*across.T)
    gap = distance - (wood.widths[dots.stroke[i]] + wood.widths[dots.stroke[j]]) / 2
    i, j, across, distance, gap = (a[gap < most + ALLOWED] for a in (i, j, across, distance, gap))
    angle = np.arctan2(across[:, 0], -across[:, 1])
    low, high = _between(rule, angle, 15), _between(rule, angle, 45)
    way = _ways(wood, dots, joints, i, j)
    size = np.maximum(wood.widths[dots.stroke[i]], wood.widths[dots.stroke[j]])
    parallel = np.abs((dots.tangent[i] * dots.tangent[j]).sum(axis=1)) > math.cos(math.radians(35))
    never = (way <= np.where(parallel, BEND, JOINT) * distance) | (way <= 2 * size)
    numbers = np.array([stroke.number for stroke in wood.strokes])
    everywhere = (
        np.sort(np.column_stack([numbers[dots.stroke[i]], numbers[dots.stroke[j]]]), axis=1),
        (dots.points[i] + dots.points[j]) / 2,
        gap,
    )
    keep = (gap < high + ALLOWED) & ~never
    i, j, across, distance, gap, low, high, way, size = (
        a[keep] for a in (i, j, across, distance, gap, low, high, way, size)
    )
    seen, open_ = _sight(wood, dots, i, j)
    square = _square(dots, i, across) & _square(dots, j, across)
    sure = open_ & square & (way > EVER * distance) & (way > 5 * size) & (gap < low - ALLOWED)
    sure[sure] = _alone(wood, dots, i[sure], j[sure])
    found = Places(*(one[keep] for one in everywhere[:2]), gap, low, high, sure, np.zeros(len(i), dtype=bool))
    return _least(found.only(seen), *everywhere)


def _least(places: Places, pair: Ints, where: Array, gap: Array) -> Places:
    """Mark of each two strokes the least of the sure places, unless any pair has less within a mm of it."""
    for key in np.unique(places.pair[places.sure], axis=0):
        here = np.flatnonzero(places.sure & (places.pair == key).all(axis=1))
        worst = here[places.gap[here].argmin()]
        near = (np.hypot(*(where - places.where[worst]).T) < 1.0) & (pair == key).all(axis=1)
        places.least[worst] = places.gap[worst] < gap[near].min() + 0.02
    return places


def _alone(wood: Wood, dots: Dots, i: Ints, j: Ints) -> NDArray[np.bool_]:
    """Whether no third groove lies at either wall, nor in the middle where the two overlap."""
    a, b = dots.points[i], dots.points[j]
    size = np.maximum(np.hypot(*(b - a).T), 1e-9)
    r, q = wood.widths[dots.stroke[i]] / 2, wood.widths[dots.stroke[j]] / 2
    over = r + q >= size
    unit = (b - a) / size[:, None]
    ends = [(i, np.where(over[:, None], (a + b) / 2, a + unit * r[:, None]))]
    ends += [(j, np.where(over[:, None], (a + b) / 2, b - unit * q[:, None]))]
    free = np.ones(len(i), dtype=bool)
    pairs = np.column_stack([dots.stroke[i], dots.stroke[j]])
    for own, points in ends:
        near, who = cKDTree(dots.points).query(points, k=60)
        foreign = who < len(dots.points)
        who = np.minimum(who, len(dots.points) - 1)
        first, second = (dots.stroke[who] != pairs[:, [k]] for k in (0, 1))
        other = np.where(over[:, None], first & second, dots.stroke[who] != dots.stroke[own][:, None])
        mask = other & foreign
        clear = np.where(mask, near - wood.widths[dots.stroke[who]] / 2, np.inf)
        free &= clear.min(axis=1) > ALLOWED
    return free


def _between(rule: Rule, angle: Array, degrees: float) -> Array:
    """The rule's least (or, for more than 30 degrees, greatest) value so far to either side of `angle`."""
    turned = [rule(angle + math.radians(d)) for d in np.linspace(-degrees, degrees, 7)]
    least: Array = np.max(turned, axis=0) if degrees > 30 else np.min(turned, axis=0)
    return least


def _square(dots: Dots, i: Ints, across: Array) -> NDArray[np.bool_]:
    """Whether the straight way leaves the groove within 15 degrees of square, or at a corner or an end."""
    slant = np.abs((dots.tangent[i] * across).sum(axis=1)) / np.maximum(np.hypot(*across.T), 1e-9)
    square: NDArray[np.bool_] = dots.pointed[i] | (slant < 0.26)
    return square


def _sight(wood: Wood, dots: Dots, i: Ints, j: Ints) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Whether the straight way is perhaps, and surely, over wood only; no overlap in a third groove is."""
    a, b = dots.points[i], dots.points[j]
    size = np.hypot(*(b - a).T)
    walls = wood.widths[dots.stroke[i]] / 2, size - wood.widths[dots.stroke[j]] / 2
    least, room = np.full(len(i), np.inf), np.full(len(i), np.inf)
    for share in np.linspace(0.06, 0.94, 40):
        s = walls[0] + share * (walls[1] - walls[0])
        clear = wood.at(a + (b - a) * (s / np.maximum(size, 1e-9))[:, None])
        least = np.minimum(least, clear)
        room = np.minimum(room, clear - ROOM * min(share, 1 - share) * (walls[1] - walls[0]))
    middle = np.floor(((a + b) / 2 - wood.corner) / PIXEL).astype(int)
    owner = wood.nearest[middle[:, 1], middle[:, 0]]
    merged = walls[1] <= walls[0]
    own = (owner == dots.stroke[i]) | (owner == dots.stroke[j])
    return merged | (least > -0.15), np.where(merged, own, room > -PIXEL / 2)


def _ways(wood: Wood, dots: Dots, joints: Sequence[Joint], i: Ints, j: Ints) -> Array:
    """The way along the grooves from each place to the other, mm; infinite where there is none."""
    from tracer.geometry import bezier

    index = {stroke.number: k for k, stroke in enumerate(wood.strokes)}
    first = np.searchsorted(dots.stroke, np.arange(len(wood.strokes) + 1))
    total = dots.along[first[1:] - 1]
    keys: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for node, joint in enumerate(joints):
        for number, t in joint.members:
            if number in index:
                stroke = wood.strokes[index[number]]
                keys[index[number]].append((float(bezier.lengths_to(stroke.curves, np.array([t]))[0]), node))
    between = _between_joints(wood, keys, total, len(joints))
    way = np.where(dots.stroke[i] == dots.stroke[j], np.abs(dots.along[i] - dots.along[j]), np.inf)
    closed = np.array([stroke.closed for stroke in wood.strokes])
    round_ = closed[dots.stroke[i]] & (dots.stroke[i] == dots.stroke[j])
    way = np.where(round_, np.minimum(way, total[dots.stroke[i]] - way), way)
    for node_i, to_i in _nearest_joints(dots, keys, total, closed, i):
        for node_j, to_j in _nearest_joints(dots, keys, total, closed, j):
            way = np.minimum(way, to_i + between[node_i, node_j] + to_j)
    return way


def _nearest_joints(
    dots: Dots, keys: dict[int, list[tuple[float, int]]], total: Array, closed: NDArray[np.bool_], i: Ints
) -> list[tuple[Ints, Array]]:
    """The joints before and after each place on its stroke, and how far; the last row of joints is none."""
    before, after = np.full(len(dots.stroke), -1), np.full(len(dots.stroke), -1)
    back, on = np.full(len(dots.stroke), np.inf), np.full(len(dots.stroke), np.inf)
    for stroke, places in keys.items():
        here = np.flatnonzero(dots.stroke == stroke)
        size = total[stroke] if closed[stroke] else np.inf
        for along, node in places:
            d = dots.along[here] - along
            behind, ahead = np.where(d >= 0, d, d + size), np.where(d <= 0, -d, size - d)
            nearer = behind < back[here]
            before[here[nearer]], back[here[nearer]] = node, behind[nearer]
            nearer = ahead < on[here]
            after[here[nearer]], on[here[nearer]] = node, ahead[nearer]
    return [(before[i], back[i]), (after[i], on[i])]


def _between_joints(wood: Wood, keys: dict[int, list[tuple[float, int]]], total: Array, count: int) -> Array:
    """Shortest ways (count + 1, count + 1) between joints; none to the last."""
    rows: dict[tuple[int, int], float] = {}
    for stroke, places in keys.items():
        places.sort()
        around = [(places[0][0] + total[stroke], places[0][1])] if wood.strokes[stroke].closed else []
        for (a, u), (b, v) in zip(places, [*places[1:], *around], strict=False):
            if u != v:
                rows[u, v] = min(rows.get((u, v), np.inf), max(b - a, 1e-9))
    way = np.full((count + 1, count + 1), np.inf)
    if count:
        ends = np.array(list(rows), dtype=np.intp).reshape(-1, 2)
        graph = coo_array((np.array(list(rows.values())), (ends[:, 0], ends[:, 1])), shape=(count, count))
        way[:count, :count] = dijkstra(graph.tocsr(), directed=False)
    return way
