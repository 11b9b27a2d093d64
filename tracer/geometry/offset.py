"""Rings at an even distance from closed chains, as cubics."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.fit import fit_cubics
from tracer.geometry.flatten import places

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

_FINE = 0.2
"""Part of the tolerance within which chains are flattened first; feet are found on the cubics themselves."""

_FITTED = 0.8
"""Part of the tolerance that the fit may take; the rest is for what lies between its points."""

_AT_KNOT = 1e-6
"""A foot so near to a whole place on its chain lies where two cubics meet."""

_BESIDE = 0.02
"""Part of the way to the next point at which the direction just beside a point is taken."""

_MAY_TURN = np.cos(np.radians(5))
"""Chords of a ring that turn by less are no corner."""

_CORNER = np.cos(np.radians(15))
"""Where the ring turns by more than 15 deg within a tolerance it has a corner."""

_STEPS = 4
"""Newton steps from the nearest place on the flattened chain to the foot on its cubic."""


@dataclass(frozen=True, eq=False)
class Ring:
    """One closed chain (n, 4, 2) at the distance, and the index of the chain that most of it goes along."""

    curves: Array
    of: int


def polygon_of(curves: Array, tolerance: float) -> Any:
    """Return the shapely area that a closed chain (n, 4, 2) goes round, within `tolerance` of it."""
    import shapely

    polygon = shapely.Polygon(bezier.points_at(curves, places(curves, tolerance)))
    return polygon if polygon.is_valid else polygon.buffer(0)


def drawn_area(curves: Array, width: float, tolerance: float) -> list[Array]:
    """Return the rings (n, 4, 2) round what a round pen of a width leaves along a chain, largest first.

    The chain (n, 4, 2) may be open or closed; width and tolerance are in its frame's unit.
    """
    import shapely

    line = shapely.LineString(bezier.points_at(curves, places(curves, tolerance / 10)))
    return [ring.curves for ring in rings_at([curves], line, -width / 2, tolerance)]


def rings_at(chains: Sequence[Array], area: Any, distance: float, tolerance: float) -> list[Ring]:
    """Return the rings `distance` inside `area` (outside, where negative), largest first.

    Parameters
    ----------
    chains : closed chains (n, 4, 2) that `area`, a shapely polygon, lies between.
    distance, tolerance : in the frame's unit; the rings are within the tolerance of the true distance,
        corners stay where two stretches meet, and go round the corners of the chains as a bit does.
    """
    import shapely

    source = _Source(chains, tolerance)
    turn = np.arccos(max(0.0, 1 - tolerance / abs(distance)))
    segments = int(np.clip(np.ceil(np.pi / 4 / max(turn, 1e-3)), 8, 256))
    moved = area.buffer(-distance, quad_segs=segments, join_style="round")
    moved = shapely.segmentize(moved, max(abs(distance) / 4, 10 * tolerance))
    rings = [ring for one in shapely.get_parts(moved) if not one.is_empty for ring in _rings(one)]
    rings = [ring for ring in rings if shapely.Polygon(ring).area > tolerance**2]
    rings.sort(key=lambda ring: -shapely.Polygon(ring).area)
    return [source.ring(np.asarray(ring.coords)[:-1], abs(distance), tolerance) for ring in rings]


def _rings(polygon: Any) -> list[Any]:
    return [polygon.exterior, *polygon.interiors]


class _Source:
    """The chains a ring keeps its distance from, laid end to end, with the feet of points on them."""

    def __init__(self, chains: Sequence[Array], tolerance: float):
        import shapely

        self.chains = chains
        self.curves = np.concatenate(list(chains))
        self.first = np.cumsum([0, *(len(chain) for chain in chains)])
        self.after = np.arange(1, len(self.curves) + 1)
        self.after[self.first[1:] - 1] = self.first[:-1]
        self.before = np.argsort(self.after)
        t = [places(chain, _FINE * tolerance) for chain in chains]
        pairs = [
            np.stack([one[:-1], one[1:]], axis=1) + base for one, base in zip(t, self.first[:-1], strict=True)
        ]
        self.t = np.concatenate(pairs)
        index = np.minimum(np.floor(self.t[:, 0] + 1e-9), len(self.curves) - 1).astype(np.intp)
        self.cubic = index
        ends = [bezier.evaluate(self.curves[index], self.t[:, k] - index) for k in (0, 1)]
        self.tree = shapely.STRtree(shapely.linestrings(np.stack(ends, axis=1)))
        self.ends = np.stack(ends, axis=1)

    def feet(self, points: Array) -> tuple[Array, Array]:
        """Return the nearest points (m, 2) on the cubics to points (m, 2), and their places t (m,)."""
        import shapely

        where, segment = self.tree.query_nearest(shapely.points(points), all_matches=False)
        segment = segment[np.argsort(where)]
        a, b = self.ends[segment, 0], self.ends[segment, 1]
        d = b - a
        part = ((points - a) * d).sum(axis=1) / np.maximum((d * d).sum(axis=1), 1e-300)
        index = self.cubic[segment]
        t = self.t[segment]
        u = np.clip(t[:, 0] + np.clip(part, 0, 1) * (t[:, 1] - t[:, 0]) - index, 0.0, 1.0)
        u = _foot(self.curves[index], points, u)
        feet, t = bezier.evaluate(self.curves[index], u), index + u
        ended = np.flatnonzero((u == 0) | (u == 1))  # the foot may lie beyond where the cubic ends
        index = np.where(u[ended] == 0, self.before[index[ended]], self.after[index[ended]])
        u = _foot(self.curves[index], points[ended], 1 - u[ended])
        beyond = bezier.evaluate(self.curves[index], u)
        gaps = [np.hypot(*(points[ended] - one).T) for one in (feet[ended], beyond)]
        nearer = gaps[1] < gaps[0]
        feet[ended[nearer]], t[ended[nearer]] = beyond[nearer], (index + u)[nearer]
        return feet, t

    def knots(self, t: Array) -> Ints:
        """Return which of a ring of feet (m,), in the order of the ring, lie where one cubic ends.

        Of several at one corner of the chain, round which the ring goes as an arc, the first and the last.
        """
        index = np.minimum(np.floor(t + _AT_KNOT), len(self.curves) - 1).astype(np.intp)
        index = np.where(t - index > 1 - _AT_KNOT, self.after[index], index)
        at = np.abs(t - np.round(t)) < _AT_KNOT
        label = np.where(at, -1 - index, index)
        new = np.flatnonzero(label != np.roll(label, 1))
        first, last = new, np.roll(new, -1) - 1
        ends = np.concatenate([first[at[first]], last[at[first]]]) % len(t)
        jumps = first[~at[first] & ~at[first - 1]]
        return np.unique(np.concatenate([ends, jumps]))

    def ring(self, points: Array, distance: float, tolerance: float) -> Ring:
        """Return the ring of cubics through points (m, 2) about `distance` away, moved to be so exactly."""
        feet, t = self.feet(points)
        away = points - feet
        points = feet + distance * away / np.hypot(away[:, 0], away[:, 1])[:, None]
        new = np.hypot(*(points - np.roll(points, 1, axis=0)).T) > tolerance / 100
        points, away, t = points[new], away[new], t[new]
        chains = np.searchsorted(self.first, t, side="right") - 1
        of = int(np.bincount(np.minimum(chains, len(self.chains) - 1)).argmax())
        order = self._order(points, of)
        points, t = points[order], t[order]
        at = _along(away[order], np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0))
        corner, sides = self._corners(points, at)
        knot = np.zeros(len(t), bool)
        knot[self.knots(t)] = True
        breaks = np.flatnonzero(corner | (knot & ~np.roll(corner, 1) & ~np.roll(corner, -1)))
        return Ring(_closed(points, sides, at, breaks, tolerance=tolerance), of)

    def _order(self, points: Array, of: int) -> Ints:
        """Return the order in which a ring of points runs as its chain does, from near where that begins."""
        own = bezier.points_at(self.chains[of], places(self.chains[of], 0.1))
        order = np.roll(np.arange(len(points)), -int(np.hypot(*(points - own[0]).T).argmin()))
        return order if (_area(points) > 0) == (_area(own) > 0) else np.roll(order[::-1], 1)

    def _corners(self, points: Array, at: Array) -> tuple[NDArray[np.bool_], list[Array]]:
        """Say at which points (m, 2) a ring has corners; its directions just before and after each point.

        Off corners these are those `at` the points.
        """
        ways = [points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points]
        units = [way / np.hypot(way[:, 0], way[:, 1])[:, None] for way in ways]
        suspects = np.flatnonzero((units[0] * units[1]).sum(axis=1) < _MAY_TURN)
        found = []
        for way, sign in zip(ways, (-1, 1), strict=True):
            beside = points[suspects] + sign * _BESIDE * way[suspects]
            found.append(_along(beside - self.feet(beside)[0], way[suspects]))
        turns = (found[0] * found[1]).sum(axis=1) < _CORNER
        corner = np.zeros(len(points), bool)
        corner[suspects[turns]] = True
        sides = [at.copy(), at.copy()]
        for side, one in zip(sides, found, strict=True):
            side[suspects[turns]] = one[turns]
        return corner, sides


def _along(away: Array, step: Array) -> Array:
    """Return the unit directions (m, 2) square to `away` from the chain, the way of `step` (m, 2)."""
    along = np.column_stack([-away[:, 1], away[:, 0]])
    along *= (np.sign((along * step).sum(axis=1)) / np.hypot(along[:, 0], along[:, 1]))[:, None]
    return along


def _foot(curves: Array, points: Array, u: Array) -> Array:
    """Return the parameters (m,) of the feet of points (m, 2) on cubics (m, 4, 2), from near ones."""
    for _ in range(_STEPS):
        gap = bezier.evaluate(curves, u) - points
        slope, bend = bezier.derivative(curves, u), bezier.second_derivative(curves, u)
        speed = (slope * slope).sum(axis=1)
        below = np.maximum(speed + (gap * bend).sum(axis=1), 0.1 * speed)
        u = np.clip(u - (gap * slope).sum(axis=1) / np.maximum(below, 1e-12), 0.0, 1.0)
    return u


def _area(points: Array) -> float:
    """Return twice the signed area inside a ring of points (m, 2)."""
    x, y = points.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def _closed(points: Array, sides: Sequence[Array], at: Array, breaks: Ints, *, tolerance: float) -> Array:
    """Return the closed chain through a ring of points, cut at `breaks`.

    Its directions are `at` the points, but beside `breaks` those of both `sides`.
    """
    breaks = breaks if len(breaks) else np.zeros(1, dtype=np.intp)
    before, after = sides
    chain = []
    for a, b in zip(breaks.tolist(), [*breaks[1:].tolist(), int(breaks[0]) + len(points)], strict=True):
        span = np.arange(a, b + 1) % len(points)
        tangents = at[span]
        tangents[0], tangents[-1] = after[span[0]], before[span[-1]]
        chain.append(fit_cubics(points[span], tangents, _FITTED * tolerance))
    return np.concatenate(chain)
