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

from tracer.job import Job
from tracer.model.plan import Land
from tracer.report.cut import Cut
from tracer.report.fronts import fronts
from tracer.report.mesh import Mesh
from tracer.report.network import Network
from tracer.report.samples import Samples
from tracer.report.walls import least_for, most_between

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

SHARP = math.radians(20)
"""Grooves that part at less leave a wedge that is said (our own choice)."""

_BEND = 2.0
"""A way round so many times the distance across is a bend and no neighbour; a half circle has pi / 2."""

_BESIDE_JOINT = 3.0
"""Groove widths along the grooves, both legs together, within which a joint is a joint."""

_WEDGE = 0.8
"""Share of a straight wedge's width from which on the wood counts as that wedge."""

_SLANT = 0.7
"""Cosine between a groove and the line across from which on it is no wall of the wood between."""

_GAP = 1.0
"""Times distance of middles and grooves' width together, along a stroke, that part one land from the next."""

_NOISE = 1e-9

_FAR = 4.0
"""Times the distance between middles and the rule: a way round longer than this is no wedge any more."""


@dataclass(frozen=True)
class Near:
    """A land under the rule, with what is needed to ask again at another groove or size.

    Attributes
    ----------
    wedge : the grooves only part too slowly from a joint or bend near by.
    places : (r, 2) where the land could be worst: distance of the middles in mm, and the squared sine of the
        angle between the land's length and the grain; no other place is both nearer and more across.
    """

    land: Land
    wedge: bool
    places: Array


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Pairs of samples i, j: distance of middles, half widths together, rule, way round (inf: far); mm.

    `across` is the squared sine of the angle between the wood's length and the grain.
    """

    i: Ints
    j: Ints
    distance: Array
    groove: Array
    limit: Array
    across: Array
    way: Array

    def only(self, keep: NDArray[np.bool_] | Ints) -> "_Pairs":
        """Return the pairs that are marked, or whose indices are given, in that order."""
        i, j, distance, groove = self.i[keep], self.j[keep], self.distance[keep], self.groove[keep]
        return _Pairs(i, j, distance, groove, self.limit[keep], self.across[keep], self.way[keep])


def find_lands(
    cut: Cut, samples: Samples, mesh: Mesh, network: Network, job: Job
) -> tuple[Near, ...]:
    """Return the thin lands, thinnest first: one for each stretch along which two grooves come near.

    `samples` and `network` are of the strokes of `cut`, `mesh` of the samples. Only wood
    that has no other groove in it lies between two: that between neighbours in the mesh.
    The least width is exact to the samples' polylines.
    """
    pairs = _thin(cut, samples, mesh, job)
    if not len(pairs.i):
        return ()
    pairs = _apart(_with_way(pairs, samples, cut.numbers, network), samples)
    groups = _stretches(pairs, samples)
    worst = np.array([group[0] for group in groups], dtype=np.intp)
    distances, middles = _least(samples, pairs.i[worst], pairs.j[worst])
    stretch = np.repeat(np.arange(len(groups)), [len(group) for group in groups])
    listed = pairs.only(np.concatenate(groups)) if groups else pairs
    # The samples lie a little farther apart than the grooves' middles.
    nearer = np.maximum(0.0, pairs.distance[worst] - distances)
    places = fronts(stretch, listed.distance - nearer[stretch], listed.across)
    found = [
        replace(_near(pairs.only(group), samples, cut.numbers, distance=distance, where=(x, y)), places=own)
        for group, distance, (x, y), own in zip(
            groups, distances.tolist(), middles.tolist(), places, strict=True
        )
    ]
    return tuple(sorted(found, key=lambda near: (near.land.width, near.land.strokes, near.land.where)))


def _thin(cut: Cut, samples: Samples, mesh: Mesh, job: Job) -> _Pairs:
    """Return all neighbours with less than the rule between them, but for bends of one stroke."""
    i, j = _neighbours(samples, mesh)
    d = samples.points[j] - samples.points[i]
    distance = np.hypot(d[:, 0], d[:, 1])
    groove = cut.radius[samples.stroke[i]] + cut.radius[samples.stroke[j]]
    depth = np.maximum(cut.depth[samples.stroke[i]], cut.depth[samples.stroke[j]])
    most = {one: most_between(job, one) for one in np.unique(cut.depth).tolist()}
    close = distance - groove < np.array([most[one] for one in depth.tolist()])
    bend = np.abs(samples.along[i] - samples.along[j]) <= _BEND * distance
    keep = close & ~(bend & (samples.stroke[i] == samples.stroke[j]))
    i, j, d, distance, groove, depth = (one[keep] for one in (i, j, d, distance, groove, depth))
    length = _length_of_land(samples, i, j, d / np.where(distance > 0, distance, 1.0)[:, None])
    grain = math.radians(job.grain_deg)
    sine = length[:, 0] * math.sin(grain) - length[:, 1] * math.cos(grain)
    limit = least_for(job, depth, sine**2)
    pairs = _Pairs(i, j, distance, groove, limit, sine**2, np.full(len(i), np.inf))
    return pairs.only(distance - groove < limit - _NOISE)


def _neighbours(samples: Samples, mesh: Mesh) -> tuple[Ints, Ints]:
    """Return the pairs of samples at the two ends of each side of the mesh, but for those along a stroke."""
    sides = mesh.sides[(mesh.sides < mesh.real).all(axis=1)]
    i, j = mesh.sample_of[sides].T
    along = (samples.stroke[i] == samples.stroke[j]) & (np.abs(i - j) == 1)
    return i[~along], j[~along]


def _stretches(pairs: _Pairs, samples: Samples) -> list[Ints]:
    """Gather pairs of the same two strokes that follow one another along them; the worst comes first."""
    swap = samples.stroke[pairs.i] > samples.stroke[pairs.j]
    first, second = np.where(swap, pairs.j, pairs.i), np.where(swap, pairs.i, pairs.j)
    # Of two places on one stroke the earlier goes along with the earlier.
    key = samples.stroke[first] * len(samples.totals) + samples.stroke[second]
    order = np.lexsort((samples.along[first], key))
    step = _GAP * (pairs.groove[order][1:] + pairs.distance[order][1:])
    same = np.diff(key[order]) == 0
    breaks = ~same | (np.abs(np.diff(samples.along[first[order]])) > step)
    groups = np.split(order, np.flatnonzero(breaks) + 1) if len(order) else []
    short = pairs.distance - pairs.groove - pairs.limit
    return [group[np.argsort(short[group], kind="stable")] for group in groups]


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
    from scipy.sparse.csgraph import dijkstra

    edge, to_tail = _on_edges(samples, numbers, network)
    a, b = edge[pairs.i], edge[pairs.j]
    way = np.where(a == b, np.abs(to_tail[pairs.i] - to_tail[pairs.j]), np.inf)
    reach = _FAR * float((pairs.limit + pairs.distance).max())
    nodes = np.unique(network.ends[np.concatenate([a, b])])
    between = dijkstra(network.graph, directed=False, indices=nodes, limit=reach)[:, nodes]
    row = np.zeros(len(network.points), dtype=np.intp)
    row[nodes] = np.arange(len(nodes))
    from_a = ((0, to_tail[pairs.i]), (1, network.lengths[a] - to_tail[pairs.i]))
    from_b = ((0, to_tail[pairs.j]), (1, network.lengths[b] - to_tail[pairs.j]))
    for u, p in from_a:
        for v, q in from_b:
            way = np.minimum(way, between[row[network.ends[a, u]], row[network.ends[b, v]]] + p + q)
    return replace(pairs, way=np.where(way <= reach, way, np.inf))


def _on_edges(samples: Samples, numbers: list[int], network: Network) -> tuple[Ints, Array]:
    """Return for each sample its edge and the distance along it from the tail."""
    index = {number: k for k, number in enumerate(numbers)}
    first = np.searchsorted(samples.stroke, np.arange(len(numbers) + 1))
    edge_of = np.zeros(len(samples.t), dtype=np.intp)
    to_tail = np.zeros(len(samples.t))
    for number, edge in enumerate(network.edges):
        if edge.across is not None:
            continue
        k = index[edge.stroke.number]
        here = slice(first[k], first[k + 1])
        t, along, total = samples.t[here], samples.along[here], samples.totals[k]
        foot = float(np.interp(edge.start, t, along))
        inside = (t >= edge.start) & (t <= edge.end)
        last = float(t[-1])
        wrapped = ~inside & (t + last <= edge.end) & (edge.end > last)
        edge_of[here] = np.where(inside | wrapped, number, edge_of[here])
        to_tail[here] = np.where(inside, along - foot, np.where(wrapped, along + total - foot, to_tail[here]))
    return edge_of, np.minimum(np.maximum(to_tail, 0.0), network.lengths[edge_of])


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


def _near(
    pairs: _Pairs, samples: Samples, numbers: list[int], *, distance: float, where: tuple[float, float]
) -> Near:
    """Sum up one stretch along which two grooves come near; the pairs come worst first."""
    i, j = int(pairs.i[0]), int(pairs.j[0])
    first = samples.stroke[pairs.i] == samples.stroke[i]
    places = np.unique(np.concatenate([pairs.i[first], pairs.j[~first]]))
    a, b = sorted((numbers[samples.stroke[i]], numbers[samples.stroke[j]]))
    length = len(places) * float(samples.step[samples.stroke[i]])
    near_by = np.isfinite(pairs.way)
    merged = pairs.distance <= pairs.groove
    wedge = bool(near_by[merged].all() if merged.any() else near_by.all())
    land = Land((a, b), where, distance - float(pairs.groove[0]), float(pairs.limit[0]), length)
    return Near(land, wedge, np.array([[distance, pairs.across[0]]]))
