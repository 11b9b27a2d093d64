"""Where strokes meet: crossings, touching ends, and ends on another stroke's middle.

One function for pictures, SVG and letters alike.
"""

from collections.abc import Sequence
from dataclasses import dataclass

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


def find_joints(chains: Sequence[tuple[Array, bool]], tolerance: float) -> list[Meeting]:
    """Return all meetings of `chains`, each (cubics (n, 4, 2), closed).

    Two places meet where chains cross, or where the end of an open chain comes
    within `tolerance` (the frame's unit) of another chain or of its own far
    stretch. Places of one meeting lie within about `tolerance` of its point. Dots
    (chains of no length) meet nothing. Meetings come sorted by point, members by
    index and place, so that the order of work does not show.
    """
    segments = _cut(chains, tolerance)
    if segments is None:
        return []
    contacts = np.concatenate([_crossings(segments, tolerance), _touching_ends(segments, chains, tolerance)])
    return _gather(contacts, chains, tolerance)


def _cut(chains: Sequence[tuple[Array, bool]], tolerance: float) -> _Segments | None:
    """Flatten all chains that have a length to a tenth of the tolerance."""
    parts = []
    for index, (curves, closed) in enumerate(chains):
        t = places(curves, tolerance / 10)
        points = bezier.points_at(curves, t)
        steps = np.hypot(*np.diff(points, axis=0).T)
        if steps.sum() > tolerance:
            along = np.cumsum(steps) - steps
            owner = np.full(len(steps), index), np.full(len(steps), closed)
            parts.append((points[:-1], points[1:], t[:-1], t[1:], along, *owner))
    return _Segments(*(np.concatenate(column) for column in zip(*parts, strict=True))) if parts else None


def _crossings(s: _Segments, tolerance: float) -> Array:
    """Return contacts (m, 6): chain, t, chain, t, x, y of all proper crossings of segments."""
    import shapely

    lines = shapely.linestrings(np.stack([s.a, s.b], axis=1))
    i, j = shapely.STRtree(lines).query(lines, predicate="intersects")
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
    contacts = np.column_stack([s.chain[i], s.place(i, u), s.chain[j], s.place(j, v), *point.T])
    return np.take(contacts, sound, axis=0)


def _close_on_chain(s: _Segments, i: Index, j: Index, tolerance: float) -> NDArray[np.bool_]:
    """Say which pairs of segments of one chain are neighbours rather than a meeting with itself."""
    total = np.zeros(int(s.chain.max()) + 1)
    size = np.hypot(*(s.b - s.a).T)
    np.add.at(total, s.chain, size)
    gap = np.maximum(s.along[i], s.along[j]) - np.minimum(s.along[i] + size[i], s.along[j] + size[j])
    around = total[s.chain[i]] - (gap + size[i] + size[j])
    gap = np.where(s.closed[i], np.minimum(gap, around), gap)
    near: NDArray[np.bool_] = gap < 3 * tolerance
    return near


def _touching_ends(s: _Segments, chains: Sequence[tuple[Array, bool]], tolerance: float) -> Array:
    """Return contacts (m, 6) of the ends of open chains with whatever lies within the tolerance."""
    import shapely

    first = np.flatnonzero(np.diff(s.chain, prepend=-1))
    last = np.append(first[1:] - 1, len(s.chain) - 1)
    is_open = np.array([not chains[c][1] for c in s.chain[first]])
    at = np.concatenate([first[is_open], last[is_open]])
    ends = np.concatenate([s.a[first[is_open]], s.b[last[is_open]]])
    end_t = np.concatenate([s.t0[first[is_open]], s.t1[last[is_open]]])
    tree = shapely.STRtree(shapely.linestrings(np.stack([s.a, s.b], axis=1)))
    e, j = tree.query(shapely.points(ends), predicate="dwithin", distance=tolerance)
    own = (s.chain[at[e]] == s.chain[j]) & _close_on_chain(s, at[e], j, tolerance)
    e, j = e[~own], j[~own]
    d = s.b[j] - s.a[j]
    u = np.clip(((ends[e] - s.a[j]) * d).sum(axis=1) / np.maximum((d * d).sum(axis=1), 1e-300), 0, 1)
    distance = np.hypot(*(s.a[j] + u[:, None] * d - ends[e]).T)
    order = np.lexsort((distance, s.chain[j], e))
    e, j, u = e[order], j[order], u[order]
    nearest = np.flatnonzero((np.diff(e, prepend=-1) != 0) | (np.diff(s.chain[j], prepend=-1) != 0))
    e, j, u = e[nearest], j[nearest], u[nearest]
    return np.column_stack([s.chain[at[e]], end_t[e], s.chain[j], s.place(j, u), *ends[e].T])


def _gather(contacts: Array, chains: Sequence[tuple[Array, bool]], tolerance: float) -> list[Meeting]:
    """Join contacts that lie within the tolerance of one another into meetings."""
    if not len(contacts):
        return []
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    pairs = cKDTree(contacts[:, 4:]).query_pairs(tolerance, output_type="ndarray")
    links = coo_array((np.ones(len(pairs)), pairs.T), shape=(len(contacts),) * 2)
    count, label = connected_components(links, directed=False)
    meetings = []
    for k in range(count):
        group = contacts[label == k]
        members = _distinct(np.vstack([group[:, :2], group[:, 2:4]]), chains, tolerance)
        x, y = group[:, 4:].mean(axis=0)
        meetings.append(Meeting((float(x), float(y)), members))
    return sorted(meetings, key=lambda meeting: (meeting.point, meeting.members))


def _distinct(
    passages: Array, chains: Sequence[tuple[Array, bool]], tolerance: float
) -> tuple[tuple[int, float], ...]:
    """Drop places of one chain that are the same passage; ends are kept before places beside them."""
    kept: list[tuple[int, float]] = []
    for _, c, t in sorted((t not in (0, len(chains[int(c)][0])), int(c), float(t)) for c, t in passages):
        if not any(c == d and _same_passage(chains[c], t, other, 4 * tolerance) for d, other in kept):
            kept.append((c, t))
    return tuple(sorted(kept))


def _same_passage(chain: tuple[Array, bool], t: float, other: float, reach: float) -> bool:
    """Say whether two places of one chain lie within `reach` of one another along it."""
    curves, closed = chain
    inside = bezier.length(bezier.between(curves, min(t, other), max(t, other)))
    if inside <= reach:
        return True
    return closed and bezier.length(curves) - inside <= reach
