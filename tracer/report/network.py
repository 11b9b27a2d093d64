"""The strokes that are cut as a network: nodes where they meet or end, edges between. Wood frame, mm."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.model.drawing import Joint, Stroke
from tracer.report.hops import Hop

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

STUB = 0.1
"""mm; a stroke that ends within this of a joint ends at it: the groove's round end hides the rest."""

SIGHT = 2.0
"""mm; the direction in which an edge leaves a node is taken to the point so far along its first cubic."""


@dataclass(frozen=True, eq=False)
class Edge:
    """A stretch of a stroke between two nodes, or a hop between two grooves.

    Attributes
    ----------
    stroke : the stroke; of a hop, the one it leaves.
    start, end : places on the stroke's chain, start <= end; on a closed stroke `end` may pass the
        chain's length n, and t then stands for t - n. Equal for a hop.
    tail, head : nodes at start and end; the same for a closed stroke that meets nothing, and for a dot.
    across : (2, 2) the hop's two points, None for a stretch of a stroke.
    """

    stroke: Stroke
    start: float
    end: float
    tail: int
    head: int
    across: Array | None = None

    @property
    def curves(self) -> Array:
        """The stretch (n, 4, 2) from tail to head."""
        if self.across is not None:
            return bezier.from_polyline(self.across)
        curves, last = self.stroke.curves, float(len(self.stroke.curves))
        if (self.start, self.end) == (0.0, last):
            return curves
        if self.end <= last:
            return bezier.between(curves, self.start, self.end)
        first = bezier.between(curves, self.start, last)
        return np.concatenate([first, bezier.between(curves, 0.0, self.end - last)])


@dataclass(frozen=True, eq=False)
class Network:
    """Nodes and edges; two edges may join the same nodes, or one a node to itself.

    Attributes
    ----------
    points : (n, 2) of the nodes.
    edges : m of them.
    lengths : (m,) mm.
    directions : (m, 2, 2) unit vectors in which each edge leaves its tail and its head; zero for a dot.
    """

    points: Array
    edges: tuple[Edge, ...]
    lengths: Array
    directions: Array

    @cached_property
    def ends(self) -> Ints:
        """Tail and head of each edge (m, 2)."""
        return np.array([(edge.tail, edge.head) for edge in self.edges], dtype=np.intp).reshape(-1, 2)

    @cached_property
    def degrees(self) -> Ints:
        """How many edge ends each node has (n,); an edge from a node to itself counts twice."""
        count: Ints = np.bincount(self.ends.ravel(), minlength=len(self.points))
        return count

    @cached_property
    def parts(self) -> Ints:
        """Number of the connected part, from 0, of each node (n,)."""
        from scipy.sparse import coo_array
        from scipy.sparse.csgraph import connected_components

        size = len(self.points)
        links = coo_array((np.ones(len(self.ends)), (self.ends[:, 0], self.ends[:, 1])), shape=(size, size))
        return connected_components(links, directed=False)[1].astype(np.intp)

    @cached_property
    def shortest(self) -> dict[tuple[int, int], int]:
        """Index of the shortest edge between each two different nodes that have one; the lower node first."""
        low, high = self.ends.min(axis=1, initial=len(self.points)), self.ends.max(axis=1, initial=0)
        order = np.argsort(-self.lengths, kind="stable")
        order = order[low[order] != high[order]]
        pairs = zip(low[order].tolist(), high[order].tolist(), strict=True)
        return dict(zip(pairs, order.tolist(), strict=True))

    @cached_property
    def graph(self) -> Any:
        """Sparse matrix (n, n) of the shortest edges' lengths, each standing once; mm."""
        from scipy.sparse import coo_array

        rows = np.array(list(self.shortest), dtype=np.intp).reshape(-1, 2)
        lengths = self.lengths[np.array(list(self.shortest.values()), dtype=np.intp)]
        size = len(self.points)
        # A sparse matrix has no edge of length 0.
        return coo_array((np.maximum(lengths, 1e-9), (rows[:, 0], rows[:, 1])), shape=(size, size)).tocsr()


def build_network(strokes: Sequence[Stroke], joints: Iterable[Joint], hops: Iterable[Hop] = ()) -> Network:
    """Return the network of `strokes`; joints fall away where fewer than two of their members are cut.

    Free ends are nodes; a closed stroke that meets nothing is one edge from its
    start round to it, and a dot one edge without length.
    """
    by_number = {stroke.number: stroke for stroke in strokes}
    points: list[Array] = []
    places: dict[int, list[tuple[float, int]]] = {number: [] for number in by_number}
    for joint in joints:
        members = [(number, t) for number, t in joint.members if number in by_number]
        if len(members) > 1:
            points.append(joint.point)
            for number, t in members:
                places[number].append((t, len(points) - 1))
    across = []
    for hop in hops:
        across.append(Edge(by_number[hop.stroke], hop.t, hop.t, len(points), len(points) + 1, hop.points))
        places[hop.stroke].append((hop.t, len(points)))
        places[hop.other].append((hop.other_t, len(points) + 1))
        points += list(hop.points)
    edges = [edge for stroke in strokes for edge in _edges(stroke, places[stroke.number], points)]
    return _measured(points, edges + across, strokes)


def _edges(stroke: Stroke, places: list[tuple[float, int]], points: list[Array]) -> Iterator[Edge]:
    """Cut one stroke at its places; `points` gains the free ends."""
    last = float(len(stroke.curves))
    if stroke.closed or stroke.kind == "dot":
        stops = sorted({(t % last, node) for t, node in places}) or [(0.0, _add(points, stroke.curves[0, 0]))]
        stops.append((stops[0][0] + last, stops[0][1]))
    else:
        stops = sorted({_snapped(stroke, place, points) for place in places})
        if not stops or stops[0][0] > 0:
            stops.insert(0, (0.0, _add(points, stroke.curves[0, 0])))
        if stops[-1][0] < last:
            stops.append((last, _add(points, stroke.curves[-1, 3])))
    for (t0, tail), (t1, head) in pairwise(stops):
        yield Edge(stroke, t0, t1, tail, head)


def _snapped(stroke: Stroke, place: tuple[float, int], points: list[Array]) -> tuple[float, int]:
    """Move a place that is all but the end of an open stroke onto it."""
    t, node = place
    last = float(len(stroke.curves))
    for end, tip in ((0.0, stroke.curves[0, 0]), (last, stroke.curves[-1, 3])):
        if t == end or np.hypot(*(points[node] - tip)) > 2 * STUB:
            continue
        if bezier.length(bezier.between(stroke.curves, min(t, end), max(t, end))) < STUB < stroke.length / 2:
            return end, node
    return t, node


def _measured(points: list[Array], edges: list[Edge], strokes: Sequence[Stroke]) -> Network:
    """Work out lengths and directions of all edges at once, on all chains laid end to end."""
    where = np.array(points).reshape(-1, 2)
    if not edges:
        return Network(where, (), np.zeros(0), np.zeros((0, 2, 2)))
    chain = np.concatenate([stroke.curves for stroke in strokes])
    counts = [len(stroke.curves) for stroke in strokes]
    first = dict(zip((s.number for s in strokes), np.cumsum([0, *counts[:-1]]).tolist(), strict=True))
    size = np.array([len(edge.stroke.curves) for edge in edges], dtype=float)
    base = np.array([first[edge.stroke.number] for edge in edges], dtype=float)
    t = np.array([(edge.start, edge.end) for edge in edges])
    on_chain = base[:, None] + np.where(t > size[:, None], t - size[:, None], t)
    along = bezier.lengths_to(chain, on_chain.ravel())
    whole = bezier.lengths_to(chain, base + size) - bezier.lengths_to(chain, base)
    lengths = np.diff(along.reshape(-1, 2), axis=1)[:, 0] + whole * (t[:, 1] > size)
    directions = _directions(chain, base, size, t)
    for index, edge in enumerate(edges):
        if edge.across is not None:
            d = edge.across[1] - edge.across[0]
            lengths[index] = np.hypot(*d)
            directions[index] = np.array([d, -d]) / (lengths[index] or 1.0)
    return Network(where, tuple(edges), lengths, directions)


def _directions(chain: Array, base: Array, size: Array, t: Array) -> Array:
    """Return the unit vectors (m, 2, 2) in which edges leave their tails and heads."""
    start = np.where(t[:, 0] >= size, t[:, 0] - size, t[:, 0])
    end = np.where(t[:, 1] > size, t[:, 1] - size, t[:, 1])
    cubic = np.stack([np.floor(start), np.ceil(end) - 1], axis=1).clip(0, size[:, None] - 1)
    u = np.stack([start, end], axis=1) - cubic
    sign = np.array([1.0, -1.0])
    index = (base[:, None] + cubic).astype(np.intp).ravel()
    span = bezier.lengths(chain[index]).reshape(-1, 2)
    step = np.minimum(SIGHT / np.where(span > 0, span, 1.0), np.diff(t, axis=1))
    to = np.clip(u + sign * step, 0.0, 1.0)
    d = bezier.evaluate(chain[index], to.ravel()) - bezier.evaluate(chain[index], u.ravel())
    reach = np.hypot(d[:, 0], d[:, 1])
    unit: Array = (d / np.where(reach > 0, reach, 1.0)[:, None]).reshape(-1, 2, 2)
    return unit


def _add(points: list[Array], point: Array) -> int:
    points.append(point)
    return len(points) - 1
