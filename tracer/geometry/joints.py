"""Where strokes meet: crossings, touching ends, and ends on another stroke's middle.

One function for pictures, SVG and letters alike.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.flatten import places

Array = NDArray[np.float64]
Index = NDArray[np.intp]


@dataclass(frozen=True)
class Meeting:
    """A point (x, y) and the (index, place t) of all chains that meet there."""

    point: tuple[float, float]
    members: tuple[tuple[int, float], ...]


@dataclass(frozen=True, eq=False)
class _Segments:
    """All chains cut into straight segments: `a`, `b` (m, 2) their ends, `t0`, `t1` (m,) their places,
    `along` (m,) the distance of `a` from its chain's start, `chain` (m,) its index, `closed` (m,).
    """

    a: Array
    b: Array
    t0: Array
    t1: Array
    along: Array
    chain: Index
    closed: NDArray[np.bool_]

    def place(self, i: Index, u: Array) -> Array:
        """Return the places t (m,) at fractions `u` (m,) of segments `i` (m,)."""
        place: Array = self.t0[i] + u * (self.t1[i] - self.t0[i])
        return place

    @cached_property
    def size(self) -> Array:
        """Return the lengths (m,)."""
        size: Array = np.hypot(*(self.b - self.a).T)
        return size

    @cached_property
    def total(self) -> Array:
        """Return the length of each chain, by its index."""
        total: Array = np.bincount(self.chain, self.size).astype(np.float64)
        return total

    def passage(self, i: Index, u: Array) -> Array:
        """Return (chain, place t, distance along it) (m, 3) at fractions `u` (m,) of segments `i` (m,)."""
        return np.column_stack([self.chain[i], self.place(i, u), self.along[i] + u * self.size[i]])


def find_joints(
    chains: Sequence[tuple[Array, bool]], tolerance: float, *, first: int | None = None
) -> list[Meeting]:
    """Return all meetings of `chains`, each (cubics (n, 4, 2), closed); of so many `first` ones, if said.

    Two places meet where chains cross, or where the end of an open chain comes
    within `tolerance` (the frame's unit) of another chain or of its own far
    stretch. Places of one meeting lie within about `tolerance` of its point. Dots
    (chains of no length) meet nothing. Meetings come sorted by point, members by
    index and place, so that the order of work does not show.
    """
    segments = _cut(chains, tolerance)
    if segments is None:
        return []
    first = len(chains) if first is None else first
    crossings = _crossings(segments, tolerance, first)
    contacts = np.concatenate([crossings, _touching_ends(segments, chains, tolerance, first)])
    return _gather(segments, contacts, chains, tolerance)


def _cut(chains: Sequence[tuple[Array, bool]], tolerance: float) -> _Segments | None:
    """Flatten all chains that have a length to a tenth of the tolerance."""
    if not chains:
        return None
    curves, count = np.concatenate([c for c, _ in chains]), np.array([len(c) for c, _ in chains])
    first = np.cumsum(count) - count
    t = places(curves, tolerance / 10)[:-1]
    chain = np.repeat(np.arange(len(chains)), count)[t.astype(np.intp)]
    last = np.flatnonzero(np.diff(chain, append=-1))
    a, t0 = bezier.points_at(curves, t), t - first[chain]
    b, t1 = np.roll(a, -1, axis=0), np.roll(t0, -1)
    b[last], t1[last] = curves[first + count - 1, 3], count
    steps = np.hypot(*(b - a).T)
    each = np.split(steps, last[:-1] + 1)
    along = np.concatenate([np.cumsum(own) - own for own in each])
    long = np.array([own.sum() > tolerance for own in each])[chain]
    columns = a, b, t0, t1, along, chain, np.array([closed for _, closed in chains])[chain]
    return _Segments(*(column[long] for column in columns)) if long.any() else None


def _crossings(s: _Segments, tolerance: float, first: int) -> Array:
    """Return contacts (m, 8) of all proper crossings with the first chains' segments: two passages, x, y."""
    import shapely

    lines = shapely.linestrings(np.stack([s.a, s.b], axis=1))
    count = int(np.searchsorted(s.chain, first))
    i, j = shapely.STRtree(lines).query(lines[:count], predicate="intersects")
    i, j = i[i < j], j[i < j]
    near = (s.chain[i] == s.chain[j]) & _close_on_chain(s, i, j, tolerance)
    i, j = i[~near], j[~near]
    d, e, f = s.b[i] - s.a[i], s.b[j] - s.a[j], s.a[j] - s.a[i]
    cross = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]
    flat = np.abs(cross) <= 1e-12 * np.hypot(*d.T) * np.hypot(*e.T)
    cross[flat] = 1.0
    u = np.clip((f[:, 0] * e[:, 1] - f[:, 1] * e[:, 0]) / cross, 0, 1)
    v = np.clip((f[:, 0] * d[:, 1] - f[:, 1] * d[:, 0]) / cross, 0, 1)
    point = s.a[i] + u[:, None] * d
    sound = np.flatnonzero(~flat)
    contacts = np.column_stack([s.passage(i, u), s.passage(j, v), point])
    return np.take(contacts, sound, axis=0)


def _close_on_chain(s: _Segments, i: Index, j: Index, tolerance: float) -> NDArray[np.bool_]:
    """Say which pairs of segments of one chain are neighbours rather than a meeting with itself."""
    size = s.size
    gap = np.maximum(s.along[i], s.along[j]) - np.minimum(s.along[i] + size[i], s.along[j] + size[j])
    around = s.total[s.chain[i]] - (gap + size[i] + size[j])
    gap = np.where(s.closed[i], np.minimum(gap, around), gap)
    near: NDArray[np.bool_] = gap < 3 * tolerance
    return near


def _touching_ends(s: _Segments, chains: Sequence[tuple[Array, bool]], tolerance: float, among: int) -> Array:
    """Return contacts (m, 8) of the ends of open chains with what lies within the tolerance.

    One of the two is `among` so many first chains.
    """
    import shapely

    first = np.flatnonzero(np.diff(s.chain, prepend=-1))
    last = np.append(first[1:] - 1, len(s.chain) - 1)
    is_open = np.array([not chains[c][1] for c in s.chain[first]])
    at = np.concatenate([first[is_open], last[is_open]])
    ends = np.concatenate([s.a[first[is_open]], s.b[last[is_open]]])
    at_end = np.repeat([0.0, 1.0], is_open.sum())
    tree = shapely.STRtree(shapely.linestrings(np.stack([s.a, s.b], axis=1)))
    e, j = tree.query(shapely.points(ends), predicate="dwithin", distance=tolerance)
    own = (s.chain[at[e]] == s.chain[j]) & _close_on_chain(s, at[e], j, tolerance)
    own |= np.minimum(s.chain[at[e]], s.chain[j]) >= among
    e, j = e[~own], j[~own]
    d = s.b[j] - s.a[j]
    u = np.clip(((ends[e] - s.a[j]) * d).sum(axis=1) / np.maximum((d * d).sum(axis=1), 1e-300), 0, 1)
    distance = np.hypot(*(s.a[j] + u[:, None] * d - ends[e]).T)
    order = np.lexsort((distance, s.chain[j], e))
    e, j, u = e[order], j[order], u[order]
    nearest = np.flatnonzero((np.diff(e, prepend=-1) != 0) | (np.diff(s.chain[j], prepend=-1) != 0))
    e, j, u = e[nearest], j[nearest], u[nearest]
    return np.column_stack([s.passage(at[e], at_end[e]), s.passage(j, u), ends[e]])


def _gather(
    s: _Segments, contacts: Array, chains: Sequence[tuple[Array, bool]], tolerance: float
) -> list[Meeting]:
    """Join contacts that lie within the tolerance of one another into meetings."""
    import shapely

    places = shapely.points(contacts[:, 6:])
    i, j = shapely.STRtree(places).query(places, predicate="dwithin", distance=tolerance)
    meetings = []
    for group in _groups(len(contacts), i, j):
        passages = contacts[group, :6].reshape(-1, 3)
        x, y = contacts[group, 6:].mean(axis=0)
        members = _distinct(s, passages, chains, 4 * tolerance)
        meetings.append(Meeting((float(x), float(y)), members))
    return sorted(meetings, key=lambda meeting: (meeting.point, meeting.members))


def _groups(count: int, i: Index, j: Index) -> list[Index]:
    """Return the indices of each group of 0..count - 1 that the pairs i, j connect."""
    label = np.arange(count)
    while True:
        least = label.copy()
        np.minimum.at(least, i, label[j])
        least = least[least]
        if (least == label).all():
            break
        label = least
    order = np.argsort(label, kind="stable")
    return np.split(order, np.flatnonzero(np.diff(label[order])) + 1) if count else []


def _distinct(
    s: _Segments, passages: Array, chains: Sequence[tuple[Array, bool]], reach: float
) -> tuple[tuple[int, float], ...]:
    """Drop places of one chain within `reach` along it; ends are kept before places beside them."""
    kept: list[tuple[int, float, float]] = []
    known = [(int(c), t, along) for c, t, along in passages.tolist()]
    for c, t, along in sorted(known, key=lambda p: (p[1] not in (0, len(chains[p[0]][0])), p)):
        gaps = [abs(along - other) for d, _, other in kept if d == c]
        if chains[c][1]:
            gaps = [min(gap, s.total[c] - gap) for gap in gaps]
        if not any(gap <= reach for gap in gaps):
            kept.append((c, t, along))
    return tuple(sorted((c, t) for c, t, _ in kept))
