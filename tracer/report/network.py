"""The strokes that are cut as a network: nodes where they meet or end, edges between. Wood frame, mm."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.together import together
from tracer.model.drawing import Joint, Stroke
from tracer.report.chain import Chain
from tracer.report.hops import Hop

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
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
    def curves(self) -> list[Array]:
        """Each edge as a chain (n, 4, 2) from its tail to its head."""
        if not self.edges:
            return []
        chain = Chain.of(list({edge.stroke.number: edge.stroke for edge in self.edges}.values()))
        base, size, t = _places_of(self.edges, chain)
        found = bezier.pieces(chain.curves, base + t[:, 0], base + np.minimum(t[:, 1], size))
        passes = np.flatnonzero(t[:, 1] > size)
        rest = bezier.pieces(chain.curves, base[passes], (base + t[:, 1] - size)[passes])
        for index, piece in zip(passes.tolist(), rest, strict=True):
            found[index] = np.concatenate([found[index], piece])
        for index, edge in enumerate(self.edges):
            if edge.across is not None:
                found[index] = bezier.from_polyline(edge.across)
        return found

    @cached_property
    def degrees(self) -> Ints:
        """How many edge ends each node has (n,); an edge from a node to itself counts twice."""
        count: Ints = np.bincount(self.ends.ravel(), minlength=len(self.points))
        return count

    @cached_property
    def parts(self) -> Ints:
        """Number of the connected part, from 0, of each node (n,)."""
        return together(self.ends, len(self.points))

    @cached_property
    def shortest(self) -> dict[tuple[int, int], int]:
        """Index of the shortest edge between each two different nodes that have one; the lower node first."""
        low, high = self.ends.min(axis=1, initial=len(self.points)), self.ends.max(axis=1, initial=0)
        order = np.argsort(-self.lengths, kind="stable")
        order = order[low[order] != high[order]]
        pairs = zip(low[order].tolist(), high[order].tolist(), strict=True)
        return dict(zip(pairs, order.tolist(), strict=True))


@dataclass(frozen=True, eq=False)
class _Places:
    """Where strokes have nodes: index of the stroke, place on its chain, node; (p,) each."""

    stroke: Ints
    t: Array
    node: Ints


def build_network(strokes: Sequence[Stroke], joints: Iterable[Joint], hops: Iterable[Hop] = ()) -> Network:
    """Return the network of `strokes`; joints fall away where fewer than two of their members are cut.

    Free ends are nodes; a closed stroke that meets nothing is one edge from its
    start round to it, and a dot one edge without length.
    """
    if not strokes:
        return Network(np.zeros((0, 2)), (), np.zeros(0), np.zeros((0, 2, 2)))
    chain, hops = Chain.of(strokes), list(hops)
    open_ = np.array([not (s.closed or s.kind == "dot") for s in strokes])
    places, where = _where_they_meet(chain, joints, hops)
    ends = places.node[len(places.node) - 2 * len(hops) :].reshape(-1, 2)
    stops, where = _with_ends(_snapped(places, where, chain, open_), where, chain, open_)
    label, where = _merged(stops, where)
    node = label[stops.node]
    pairs = np.flatnonzero((np.diff(stops.stroke) == 0) & (np.diff(stops.t) > 0))
    columns = (stops.stroke[pairs], stops.t[pairs], stops.t[pairs + 1], node[pairs], node[pairs + 1])
    edges = [Edge(strokes[index], *rest) for index, *rest in zip(*(c.tolist() for c in columns), strict=True)]
    edges += [
        Edge(strokes[chain.index[hop.stroke]], hop.t, hop.t, tail, head, hop.points)
        for hop, (tail, head) in zip(hops, label[ends].tolist(), strict=True)
    ]
    return _measured(where, edges, chain)


def _where_they_meet(chain: Chain, joints: Iterable[Joint], hops: Sequence[Hop]) -> tuple[_Places, Array]:
    """Return the places of joints, then of hops, two each, and the points of their nodes (n, 2)."""
    points: list[Array] = []
    rows: list[tuple[int, float, int]] = []
    for joint in joints:
        members = [(chain.index[number], t) for number, t in joint.members if number in chain.index]
        if len(members) > 1:
            rows += [(index, t, len(points)) for index, t in members]
            points.append(joint.point)
    for hop in hops:
        rows += [
            (chain.index[hop.stroke], hop.t, len(points)),
            (chain.index[hop.other], hop.other_t, len(points) + 1),
        ]
        points += list(hop.points)
    stroke, t, node = (np.array(column) for column in zip(*rows, strict=True)) if rows else np.zeros((3, 0))
    return _Places(stroke.astype(np.intp), t.astype(float), node.astype(np.intp)), np.array(points).reshape(
        -1, 2
    )


def _merged(stops: _Places, where: Array) -> tuple[Ints, Array]:
    """Return the new number of each node, those at one place of a stroke being one, and where they are."""
    again = np.flatnonzero((np.diff(stops.stroke) == 0) & (np.diff(stops.t) == 0))
    if not len(again):
        return np.arange(len(where)), where
    label = together(np.column_stack([stops.node[again], stops.node[again + 1]]), len(where))
    return label, where[np.unique(label, return_index=True)[1]]


def _snapped(places: _Places, where: Array, chain: Chain, open_: Bools) -> _Places:
    """Move places that are all but the end of an open stroke onto it; on the others, t into 0..n."""
    count = chain.count[places.stroke].astype(float)
    t = np.where(open_[places.stroke], places.t, places.t % count)
    gap = where[places.node][:, None] - chain.tips[places.stroke]
    near = (np.hypot(gap[..., 0], gap[..., 1]) <= 2 * STUB) & open_[places.stroke][:, None]
    row, side = np.nonzero(near)
    own = places.stroke[row]
    base, size = chain.first[own].astype(float), count[row]
    on_chain = np.concatenate([base, base + t[row], base + size])
    start, here, end = bezier.lengths_to(chain.curves, on_chain, each=chain.lengths).reshape(3, -1)
    stub = np.where(side == 0, here - start, end - here) < STUB
    moves = stub & (end - start > 2 * STUB)
    t = t.copy()
    t[row[moves]] = np.where(side == 0, 0.0, size)[moves]
    return _Places(places.stroke, t, places.node)


def _with_ends(places: _Places, where: Array, chain: Chain, open_: Bools) -> tuple[_Places, Array]:
    """Return the stops of all strokes in order, each once, with free ends; closed strokes closed again."""
    count = chain.count.astype(float)
    bare = np.ones((2, len(count)), dtype=bool)
    bare[0, places.stroke[(places.t == 0.0) | ~open_[places.stroke]]] = False
    bare[1, places.stroke[places.t == count[places.stroke]]] = False
    starts, ends = np.flatnonzero(bare[0]), np.flatnonzero(bare[1] & open_)
    tips = np.concatenate([chain.tips[starts, 0], chain.tips[ends, 1]])
    stroke = np.concatenate([places.stroke, starts, ends])
    t = np.concatenate([places.t, np.zeros(len(starts)), count[ends]])
    node = np.concatenate([places.node, len(where) + np.arange(len(tips))])
    order = np.lexsort([node, t, stroke])
    stroke, t, node = stroke[order], t[order], node[order]
    again = np.append(False, (np.diff(stroke) == 0) & (np.diff(t) == 0) & (np.diff(node) == 0))
    stroke, t, node = stroke[~again], t[~again], node[~again]
    first = np.flatnonzero(np.append(True, np.diff(stroke) > 0) & ~open_[stroke])
    last = np.searchsorted(stroke, stroke[first], side="right")
    return _Places(
        np.insert(stroke, last, stroke[first]),
        np.insert(t, last, t[first] + count[stroke[first]]),
        np.insert(node, last, node[first]),
    ), np.concatenate([where, tips])


def _places_of(edges: Sequence[Edge], chain: Chain) -> tuple[Array, Array, Array]:
    """Return where each edge's stroke begins (m,), its cubics (m,), start and end on the stroke (m, 2)."""
    own = [chain.index[edge.stroke.number] for edge in edges]
    t = np.array([(edge.start, edge.end) for edge in edges])
    return chain.first[own].astype(float), chain.count[own].astype(float), t


def _measured(points: Array, edges: list[Edge], chain: Chain) -> Network:
    """Work out lengths and directions of all edges at once."""
    base, size, t = _places_of(edges, chain)
    on_chain = base[:, None] + np.where(t > size[:, None], t - size[:, None], t)
    along = bezier.lengths_to(chain.curves, on_chain.ravel(), each=chain.lengths)
    whole = np.add.reduceat(chain.lengths, chain.first)[[chain.index[edge.stroke.number] for edge in edges]]
    lengths = np.diff(along.reshape(-1, 2), axis=1)[:, 0] + whole * (t[:, 1] > size)
    directions = _directions(chain, base, size, t)
    for index, edge in enumerate(edges):
        if edge.across is not None:
            d = edge.across[1] - edge.across[0]
            lengths[index] = np.hypot(*d)
            directions[index] = np.array([d, -d]) / (lengths[index] or 1.0)
    return Network(points, tuple(edges), lengths, directions)


def _directions(chain: Chain, base: Array, size: Array, t: Array) -> Array:
    """Return the unit vectors (m, 2, 2) in which edges leave their tails and heads."""
    start = np.where(t[:, 0] >= size, t[:, 0] - size, t[:, 0])
    end = np.where(t[:, 1] > size, t[:, 1] - size, t[:, 1])
    cubic = np.stack([np.floor(start), np.ceil(end) - 1], axis=1).clip(0, size[:, None] - 1)
    u = np.stack([start, end], axis=1) - cubic
    sign = np.array([1.0, -1.0])
    index = (base[:, None] + cubic).astype(np.intp).ravel()
    span = chain.lengths[index].reshape(-1, 2)
    step = np.minimum(SIGHT / np.where(span > 0, span, 1.0), np.diff(t, axis=1))
    to = np.clip(u + sign * step, 0.0, 1.0)
    d = bezier.evaluate(chain.curves[index], to.ravel()) - bezier.evaluate(chain.curves[index], u.ravel())
    reach = np.hypot(d[:, 0], d[:, 1])
    unit: Array = (d / np.where(reach > 0, reach, 1.0)[:, None]).reshape(-1, 2, 2)
    return unit
