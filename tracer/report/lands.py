"""The wood left between grooves that come near one another, where it is less than the rule asks for.

Near a joint there is always less wood than the rule asks for, and a bend is always near
itself. So pairs of places that are also near along the grooves are judged by that way round:
smooth bends and the wood right beside a joint are let pass, and so is the wedge
between two grooves that part at a fair angle; a sharp wedge is not.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.nearby import Nearby
from tracer.job import Job
from tracer.model.plan import Land
from tracer.report.cut import Cut
from tracer.report.fronts import fronts
from tracer.report.mesh import Mesh
from tracer.report.network import Network
from tracer.report.samples import Samples
from tracer.report.shortest import Ways
from tracer.report.walls import least_for, most_between
from tracer.report.waste import Waste

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

SHARP = math.radians(20)
"""Grooves that part at less leave a wedge that is said (our own choice)."""

_BEND = 2.5
"""A way round so many times the distance across is a bend and no neighbour; a half circle has pi / 2."""

_BESIDE_JOINT = 3.0
"""Groove widths along the grooves, both legs together, within which a joint is a joint."""

_WEDGE = 0.8
"""Share of a straight wedge's width from which on the wood counts as that wedge."""

_SLANT = 0.7
"""Cosine between a groove and the line across from which on it is no wall of the wood between."""

_WIDENS = 0.2
"""Share of the rule by which the wood of a wedge widens at least; what does not lies between neighbours."""

_GAP = 1.0
"""Times distance of middles and grooves' width together, along a stroke, that part one land from the next."""

_NOISE = 1e-9

_STATIONS = np.array([0.02, 0.25, 0.5, 0.75, 0.98])
"""Shares of the way across at which another groove is looked for."""

_MIDDLE = 0.2
"""Share of the way across from which on it is looked at where grooves run together."""

_GRAZE = 0.03
"""mm; a groove that reaches less far over the way across does not part the wood."""

_FAR = 4.0
"""Times the distance between middles and the rule: a way round longer than this is no wedge any more."""


@dataclass(frozen=True)
class Near:
    """A land under the rule, with what is needed to ask again at another groove or size.

    Attributes
    ----------
    places : (r, 2) where the land could be worst: distance of the middles in mm, and the squared sine of the
        angle between the land's length and the grain; no other place is both nearer and more across.
    """

    land: Land
    places: Array

    @property
    def wedge(self) -> bool:
        """Whether the grooves only part too slowly from a joint or bend near by."""
        return self.land.wedge


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Pairs of samples i, j: distance of middles, half widths together, rule, way round (inf: far); mm.

    `across` is the squared sine of the angle between the wood's length and the grain;
    `straight` says that nothing else is nearer to the middle between the two.
    """

    i: Ints
    j: Ints
    distance: Array
    groove: Array
    limit: Array
    across: Array
    straight: NDArray[np.bool_]
    way: Array

    def only(self, keep: NDArray[np.bool_] | Ints) -> "_Pairs":
        """Return the pairs that are marked, or whose indices are given, in that order."""
        return _Pairs(
            i=self.i[keep],
            j=self.j[keep],
            distance=self.distance[keep],
            groove=self.groove[keep],
            limit=self.limit[keep],
            across=self.across[keep],
            straight=self.straight[keep],
            way=self.way[keep],
        )


def find_lands(
    cut: Cut, samples: Samples, mesh: Mesh, network: Network, job: Job, *, waste: Waste | None = None
) -> tuple[Near, ...]:
    """Return the thin lands, thinnest first: one for each stretch along which two grooves come near.

    `samples` and `network` are of the strokes of `cut`, `mesh` of the samples. Only wood
    that has no other groove in it lies between two: that between neighbours in the mesh.
    The least width is exact to the samples' polylines. Grooves that run together in `waste` are no lands.
    """
    pairs = _thin(cut, samples, mesh, job)
    if waste is not None:
        merged = pairs.distance <= pairs.groove
        pairs = pairs.only(~waste.wanted(np.array(cut.numbers), samples, pairs.i, pairs.j, merged=merged))
    if not len(pairs.i):
        return ()
    pairs = _apart(_with_way(pairs, samples, cut.numbers, network), samples)
    if not len(pairs.i):
        return ()
    closed = np.array([stroke.closed for stroke in cut.strokes])
    pairs, stretch = _stretches(pairs, samples, closed)
    # All of a stretch is looked at only where its narrowest place is none.
    narrowest = np.flatnonzero(np.diff(stretch, prepend=-1))
    doubtful = ~pairs.straight | _parted(pairs.only(narrowest), cut, samples)[stretch]
    keep = ~doubtful
    keep[doubtful] = ~_parted(pairs.only(doubtful), cut, samples)
    return _summed_up(pairs.only(keep), stretch[keep], samples, cut.numbers) if keep.any() else ()


def _thin(cut: Cut, samples: Samples, mesh: Mesh, job: Job) -> _Pairs:
    """Return all neighbours with less than the rule between them, but for bends of one stroke."""
    i, j, straight = _neighbours(samples, mesh)
    d = samples.points[j] - samples.points[i]
    distance = np.hypot(d[:, 0], d[:, 1])
    groove = cut.radius[samples.stroke[i]] + cut.radius[samples.stroke[j]]
    levels, level = np.unique(cut.depth, return_inverse=True)
    deeper = np.maximum(level[samples.stroke[i]], level[samples.stroke[j]])
    depth = levels[deeper]
    close = distance - groove < np.array([most_between(job, one) for one in levels.tolist()])[deeper]
    bend = np.abs(samples.along[i] - samples.along[j]) <= _BEND * distance
    keep = close & ~(bend & (samples.stroke[i] == samples.stroke[j]))
    i, j, d, distance, groove, depth = (one[keep] for one in (i, j, d, distance, groove, depth))
    length = _length_of_land(samples, i, j, d / np.where(distance > 0, distance, 1.0)[:, None])
    grain = math.radians(job.grain_deg)
    sine = length[:, 0] * math.sin(grain) - length[:, 1] * math.cos(grain)
    limit = least_for(job, depth, sine**2)
    pairs = _Pairs(i, j, distance, groove, limit, sine**2, straight[keep], np.full(len(i), np.inf))
    return pairs.only(distance - groove < limit - _NOISE)


def _parted(pairs: _Pairs, cut: Cut, samples: Samples) -> NDArray[np.bool_]:
    """Say in which pairs a third groove lies between the walls; where the two overlap, between middles."""
    a, b = samples.points[pairs.i], samples.points[pairs.j]
    own_i, own_j = samples.stroke[pairs.i], samples.stroke[pairs.j]
    apart = pairs.distance > pairs.groove
    wall_a = np.where(apart, cut.radius[own_i] / np.maximum(pairs.distance, 1e-9), _MIDDLE)
    wall_b = np.where(apart, 1 - cut.radius[own_j] / np.maximum(pairs.distance, 1e-9), 1 - _MIDDLE)
    shares = wall_a[:, None] + _STATIONS * (wall_b - wall_a)[:, None]
    stations = (a[:, None] + shares[..., None] * (b - a)[:, None]).reshape(-1, 2)
    reach = max(_GRAZE, float(cut.radius.max()) - _GRAZE)
    away, nearest = (found.reshape(shares.shape) for found in Nearby(samples.points, reach).nearest(stations))
    third = np.append(samples.stroke, 0)[nearest]  # infinitely far where nothing is near enough
    inside = away < cut.radius[third] - _GRAZE
    parted: NDArray[np.bool_] = (inside & (third != own_i[:, None]) & (third != own_j[:, None])).any(axis=1)
    return parted


def _neighbours(samples: Samples, mesh: Mesh) -> tuple[Ints, Ints, NDArray[np.bool_]]:
    """Return the pairs of samples at the two ends of each side of the mesh, but for those along a stroke.

    And of which nothing else is nearer to the middle between them.
    """
    real = (mesh.sides < mesh.real).all(axis=1)
    i, j = mesh.sample_of[mesh.sides[real]].T
    apart = (samples.stroke[i] != samples.stroke[j]) | (np.abs(i - j) != 1)
    return i[apart], j[apart], mesh.straight[real][apart]


def _stretches(pairs: _Pairs, samples: Samples, closed: NDArray[np.bool_]) -> tuple[_Pairs, Ints]:
    """Gather pairs of the same two strokes that follow one another along them.

    Return the pairs stretch by stretch, the narrowest of each first, and the stretch of each, from 0.
    """
    i, j = pairs.i, pairs.j
    same = samples.stroke[i] == samples.stroke[j]
    swap = np.where(same, samples.along[i] > samples.along[j], samples.stroke[i] > samples.stroke[j])
    one, other = np.where(swap, j, i), np.where(swap, i, j)
    key = samples.stroke[one] * len(samples.totals) + samples.stroke[other]
    order = np.lexsort((samples.along[one], key))
    step = _GAP * (pairs.groove[order][1:] + pairs.distance[order][1:])
    breaks = (np.diff(key[order]) != 0) | (np.diff(samples.along[one[order]]) > step)
    stretch = _round(np.concatenate([[0], np.cumsum(breaks)]), key[order], one[order], samples, closed)
    again = np.lexsort(((pairs.distance - pairs.groove)[order], stretch))
    order = order[again]
    number = np.cumsum(np.diff(stretch[again], prepend=0) != 0)
    return replace(pairs.only(order), i=one[order], j=other[order]), number


def _round(stretch: Ints, key: Ints, one: Ints, samples: Samples, closed: NDArray[np.bool_]) -> Ints:
    """Return the stretches (m,) with those made one that follow one another over a closed stroke's start."""
    first = np.flatnonzero(np.diff(key, prepend=-1))
    last = np.append(first[1:], len(key)) - 1
    stroke = samples.stroke[one[first]]
    left = samples.along[one[first]] + samples.totals[stroke] - samples.along[one[last]]
    over = closed[stroke] & (left <= 3 * samples.step[stroke]) & (stretch[first] != stretch[last])
    renamed = np.arange(stretch.max() + 1)
    renamed[stretch[last[over]]] = stretch[first[over]]
    return renamed[stretch]


def _length_of_land(samples: Samples, i: Ints, j: Ints, over: Array) -> Array:
    """Return the unit vectors (m, 2) along which the wood between samples runs; `over` (m, 2) leads across.

    It runs as the groove does that lies more square to the line across; where neither
    does, as between two ends, square to that line.
    """
    slant_i = np.abs((samples.tangents[i] * over).sum(axis=1))
    slant_j = np.abs((samples.tangents[j] * over).sum(axis=1))
    dot = samples.totals == 0
    slant_i[dot[samples.stroke[i]]], slant_j[dot[samples.stroke[j]]] = 1.0, 1.0
    groove = np.where((slant_i <= slant_j)[:, None], samples.tangents[i], samples.tangents[j])
    square = np.column_stack([-over[:, 1], over[:, 0]])
    length: Array = np.where((np.minimum(slant_i, slant_j) > _SLANT)[:, None], square, groove)
    return length


def _with_way(pairs: _Pairs, samples: Samples, numbers: list[int], network: Network) -> _Pairs:
    """Find the way round along the grooves for each pair, where it is no longer than _FAR allows."""
    edge, to_tail = _on_edges(samples, numbers, network)
    a, b = edge[pairs.i], edge[pairs.j]
    way = np.where(a == b, np.abs(to_tail[pairs.i] - to_tail[pairs.j]), np.inf)
    reach = _FAR * float((pairs.limit + pairs.distance).max())
    nodes = np.unique(network.ends[np.concatenate([a, b])])
    ways, row = Ways(network), np.full(len(network.points), len(nodes))  # others' column is not asked for
    row[nodes] = np.arange(len(nodes))
    between = np.full((len(nodes), len(nodes) + 1), np.inf)
    for node in nodes.tolist():
        found, _ = ways.leading(node, reach)
        between[row[node], row[list(found)]] = list(found.values())
    from_a = ((0, to_tail[pairs.i]), (1, network.lengths[a] - to_tail[pairs.i]))
    from_b = ((0, to_tail[pairs.j]), (1, network.lengths[b] - to_tail[pairs.j]))
    for u, p in from_a:
        for v, q in from_b:
            way = np.minimum(way, between[row[network.ends[a, u]], row[network.ends[b, v]]] + p + q)
    return replace(pairs, way=np.where(way <= reach, way, np.inf))


def _on_edges(samples: Samples, numbers: list[int], network: Network) -> tuple[Ints, Array]:
    """Return for each sample its edge and the distance along it from the tail."""
    index = {number: k for k, number in enumerate(numbers)}
    own = np.array([n for n, edge in enumerate(network.edges) if edge.across is None], dtype=np.intp)
    stroke = np.array([index[network.edges[n].stroke.number] for n in own], dtype=np.intp)
    start = np.array([network.edges[n].start for n in own])
    beyond = float(max(samples.t.max(), start.max())) + 1.0
    order = np.argsort(stroke * beyond + start, kind="stable")
    own, stroke, key = own[order], stroke[order], (stroke * beyond + start)[order]
    place = samples.stroke * beyond + samples.t
    foot = np.interp(key, place, samples.along)
    at = np.searchsorted(key, place, side="right") - 1
    # Before the first edge of a closed stroke its last one comes round.
    ends = np.searchsorted(stroke, np.arange(len(numbers)), side="right") - 1
    wrapped = (at < 0) | (stroke[np.maximum(at, 0)] != samples.stroke)
    at = np.where(wrapped, ends[samples.stroke], at)
    to_tail = samples.along - foot[at] + np.where(wrapped, samples.totals[samples.stroke], 0.0)
    return own[at], np.minimum(np.maximum(to_tail, 0.0), network.lengths[own[at]])


def _apart(pairs: _Pairs, samples: Samples) -> _Pairs:
    """Keep the pairs that are neighbours, not the same bend, joint or fair wedge."""
    cosine = np.abs((samples.tangents[pairs.i] * samples.tangents[pairs.j]).sum(axis=1))
    opening = np.arccos(np.clip(cosine, 0.0, 1.0))
    bend = pairs.way <= _BEND * pairs.distance
    joint = pairs.way <= _BESIDE_JOINT * pairs.groove
    share = _WEDGE * np.sin(np.maximum(opening, SHARP) / 2)
    wedge = (opening >= SHARP) & (pairs.way <= pairs.distance / share)
    return pairs.only(~(bend | joint | wedge))


def _least(samples: Samples, i: Ints, j: Ints) -> tuple[Array, Array]:
    """Return the least distances (k,) between the stretches a step to either side of samples i and j (k,).

    And the middles (k, 2) of the shortest lines across.
    """
    import shapely

    lines = shapely.shortest_line(*(shapely.linestrings(_stretch(samples, k)) for k in (i, j)))
    ends = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    d = ends[:, 1] - ends[:, 0]
    return np.hypot(d[:, 0], d[:, 1]), ends.mean(axis=1)


def _stretch(samples: Samples, k: Ints) -> Array:
    """Return the three points (m, 3, 2) about samples k (m,), an end standing twice."""
    near = np.clip(k[:, None] + np.array([-1, 0, 1]), 0, len(samples.stroke) - 1)
    own = samples.stroke[near] == samples.stroke[k][:, None]
    points: Array = samples.points[np.where(own, near, k[:, None])]
    return points


def _span(along: Array, first: Ints) -> Array:
    span: Array = np.maximum.reduceat(along, first) - np.minimum.reduceat(along, first)
    return span


def _summed_up(pairs: _Pairs, stretch: Ints, samples: Samples, numbers: list[int]) -> tuple[Near, ...]:
    """Return one land for each stretch; the pairs come stretch by stretch, the narrowest first."""
    first = np.flatnonzero(np.diff(stretch, prepend=-1))
    step = samples.step[samples.stroke[pairs.i[first]]]
    along, total = samples.along[pairs.i], samples.totals[samples.stroke[pairs.i]]
    # Over the start of a closed stroke the stretch is the shorter way round.
    past = np.where(along > total / 2, along - total, along)
    length = step + np.minimum(_span(along, first), _span(past, first))
    merged, near_by = pairs.distance <= pairs.groove, np.isfinite(pairs.way)
    any_merged = np.repeat(np.logical_or.reduceat(merged, first), np.diff(np.append(first, len(merged))))
    # Where grooves run together, only the places where they do tell whether it is a wedge.
    wedge = np.logical_and.reduceat(near_by | (~merged & any_merged), first)
    widens = np.maximum.reduceat(pairs.distance, first) - np.minimum.reduceat(pairs.distance, first)
    wedge &= widens > _WIDENS * pairs.limit[first]
    front = fronts(stretch, pairs.distance, pairs.across)
    listed = pairs.only(np.concatenate(front))
    distance, middle = _least(samples, listed.i, listed.j)
    count = np.array([len(own) for own in front])
    begins = np.cumsum(count) - count
    least = np.lexsort((distance, np.repeat(np.arange(len(front)), count)))[begins]
    own = samples.stroke[np.column_stack([listed.i[least], listed.j[least]])]
    strokes = map(tuple, np.sort(np.array(numbers)[own], axis=1).tolist())
    where, width = map(tuple, middle[least].tolist()), (distance - listed.groove)[least].tolist()
    limit = listed.limit[least].tolist()
    lands = map(Land, strokes, where, width, limit, length.tolist(), wedge.tolist())
    places = np.column_stack([distance, listed.across])
    spans = zip(begins.tolist(), (begins + count).tolist(), strict=True)
    found = map(Near, lands, (places[a:b] for a, b in spans))
    return tuple(sorted(found, key=lambda near: (near.land.width, near.land.strokes, near.land.where)))
