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
from tracer.report.fronts import fronts
from tracer.report.network import Network
from tracer.report.samples import Samples
from tracer.shop.wood import least_land

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
    """Pairs of samples i, j: distance of middles, what the rule asks for, way round (inf where far); mm.

    `across` is the squared sine of the angle between the wood's length and the grain.
    """

    i: Ints
    j: Ints
    distance: Array
    limit: Array
    way: Array
    across: Array

    def only(self, keep: NDArray[np.bool_] | Ints) -> "_Pairs":
        """Return the pairs that are marked, or whose indices are given, in that order."""
        i, j, distance, limit = self.i[keep], self.j[keep], self.distance[keep], self.limit[keep]
        return _Pairs(i, j, distance, limit, self.way[keep], self.across[keep])


def find_lands(samples: Samples, numbers: list[int], network: Network, job: Job) -> tuple[Near, ...]:
    """Return the thin lands, one for each pair of strokes at the least width, thinnest first.

    `numbers` are stroke numbers by the samples' stroke index; `network` is of the
    same strokes. Places are sampled, so a dip shorter than the samples' step may be missed;
    the least width found is exact to the polylines.
    """
    pairs = _thin(samples, job)
    if not len(pairs.i):
        return ()
    pairs = _apart(_with_way(pairs, samples, numbers, network), samples, job.groove)
    owner = np.sort(np.column_stack([samples.stroke[pairs.i], samples.stroke[pairs.j]]), axis=1)
    key = owner[:, 0] * len(numbers) + owner[:, 1]
    order = np.lexsort((pairs.distance - pairs.limit, key))
    groups = np.split(order, np.flatnonzero(np.diff(key[order])) + 1) if len(order) else []
    worst = np.array([group[0] for group in groups], dtype=np.intp)
    places = fronts(key, pairs.distance, pairs.across)
    distances, middles = _least(samples, pairs.i[worst], pairs.j[worst])
    found = [
        replace(
            _near(
                pairs.only(group), samples, numbers, distance=float(distance), where=(x, y), groove=job.groove
            ),
            # The samples lie a little farther apart than the grooves' middles.
            places=own - (max(0.0, float(pairs.distance[group[0]] - distance)), 0.0),
        )
        for group, distance, (x, y), own in zip(groups, distances, middles.tolist(), places, strict=True)
    ]
    return tuple(sorted(found, key=lambda near: (near.land.width, near.land.strokes)))


def _thin(samples: Samples, job: Job) -> _Pairs:
    """Return all pairs of samples with less than the rule between them, but for bends of one stroke."""
    from scipy.spatial import cKDTree

    rule = _rule(job)
    i, j = cKDTree(samples.points).query_pairs(job.groove + rule.max(), output_type="ndarray").T
    d = samples.points[j] - samples.points[i]
    distance = np.hypot(d[:, 0], d[:, 1])
    bend = np.abs(samples.along[i] - samples.along[j]) <= _BEND * distance
    keep = ~(bend & (samples.stroke[i] == samples.stroke[j]))
    i, j, d, distance = i[keep], j[keep], d[keep], distance[keep]
    length = _length_of_land(samples, i, j, d / np.where(distance > 0, distance, 1.0)[:, None])
    grain = math.radians(job.grain_deg)
    sine = length[:, 0] * math.sin(grain) - length[:, 1] * math.cos(grain)
    across = sine**2
    limit = np.interp(across, np.linspace(0, 1, len(rule)), rule)
    close = distance - job.groove < limit - 1e-9
    way = np.full(len(i), np.inf)
    return _Pairs(i, j, distance, limit, way, across).only(close)


def _rule(job: Job) -> Array:
    """Return the least land (101,) for squared sines of the angle to the grain from 0 to 1."""
    angles = np.arcsin(np.sqrt(np.linspace(0, 1, 101)))
    return np.array(
        [
            least_land(job.wood, grain_angle=a, depth=job.depth, straight_walled=job.bit.straight_walled)
            for a in angles.tolist()
        ]
    )


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


def _apart(pairs: _Pairs, samples: Samples, groove: float) -> _Pairs:
    """Keep the pairs that are neighbours, not the same bend, joint or fair wedge."""
    cosine = np.abs((samples.tangents[pairs.i] * samples.tangents[pairs.j]).sum(axis=1))
    opening = np.arccos(np.clip(cosine, 0.0, 1.0))
    bend = pairs.way <= _BEND * pairs.distance
    joint = pairs.way <= _BESIDE_JOINT * groove
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
    pairs: _Pairs,
    samples: Samples,
    numbers: list[int],
    *,
    distance: float,
    where: tuple[float, float],
    groove: float,
) -> Near:
    """Sum up the thin places between two strokes; the pairs come worst first."""
    i, j = int(pairs.i[0]), int(pairs.j[0])
    first = samples.stroke[pairs.i] == samples.stroke[i]
    places = np.unique(np.concatenate([pairs.i[first], pairs.j[~first]]))
    a, b = sorted((numbers[samples.stroke[i]], numbers[samples.stroke[j]]))
    length = len(places) * float(samples.step[samples.stroke[i]])
    near_by = np.isfinite(pairs.way)
    merged = pairs.distance <= groove
    wedge = bool(near_by[merged].all() if merged.any() else near_by.all())
    worst = np.array([[distance, pairs.across[0]]])
    return Near(Land((a, b), where, distance - groove, float(pairs.limit[0]), length), wedge, worst)
