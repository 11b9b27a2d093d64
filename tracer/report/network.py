"""The strokes that are cut as a network: nodes where they meet or end, edges between. Wood frame, mm."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.model.drawing import Joint, Stroke
from tracer.report.hops import Hop

Array = NDArray[np.float64]

STUB = 0.1
"""mm; a stroke that ends within this of a joint ends at it: the groove's round end hides the rest."""


@dataclass(frozen=True, eq=False)
class Edge:
    """A stretch of a stroke between two nodes, or a hop between two grooves.

    Attributes
    ----------
    stroke : its number; of a hop, the stroke it leaves.
    start, end : places on the stroke's chain, start <= end; on a closed stroke `end` may pass the
        chain's length n, and t then stands for t - n. Equal for a hop.
    tail, head : nodes at start and end; the same for a closed stroke that meets nothing, and for a dot.
    curves : (n, 4, 2) from tail to head.
    length : mm.
    hop : nothing new is cut here.
    """

    stroke: int
    start: float
    end: float
    tail: int
    head: int
    curves: Array
    length: float
    hop: bool = False


@dataclass(frozen=True, eq=False)
class Network:
    """Nodes (n, 2) and the edges between them; two edges may join the same nodes, or one a node to itself."""

    points: Array
    edges: tuple[Edge, ...]

    @cached_property
    def ends(self) -> NDArray[np.intp]:
        """Tail and head of each edge (m, 2)."""
        return np.array([(edge.tail, edge.head) for edge in self.edges], dtype=np.intp).reshape(-1, 2)

    @cached_property
    def degrees(self) -> NDArray[np.intp]:
        """How many edge ends each node has (n,); an edge from a node to itself counts twice."""
        count: NDArray[np.intp] = np.bincount(self.ends.ravel(), minlength=len(self.points))
        return count

    @cached_property
    def parts(self) -> NDArray[np.intp]:
        """Number of the connected part, from 0, of each node (n,)."""
        from scipy.sparse import coo_array
        from scipy.sparse.csgraph import connected_components

        size = len(self.points)
        links = coo_array((np.ones(len(self.ends)), (self.ends[:, 0], self.ends[:, 1])), shape=(size, size))
        return connected_components(links, directed=False)[1].astype(np.intp)

    @cached_property
    def lengths(self) -> Array:
        """Length of each edge (m,), mm."""
        return np.array([edge.length for edge in self.edges])


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
            points.append(np.asarray(joint.point, float))
            for number, t in members:
                places[number].append((t, len(points) - 1))
    hops = tuple(hops)
    for hop in hops:
        for number, t, point in ((hop.stroke, hop.t, hop.start), (hop.other, hop.other_t, hop.end)):
            points.append(point)
            places[number].append((t, len(points) - 1))
    first_hop = len(points) - 2 * len(hops)
    edges = [edge for stroke in strokes for edge in _edges(stroke, places[stroke.number], points)]
    edges += [_hop_edge(hop, first_hop + 2 * i) for i, hop in enumerate(hops)]
    return Network(np.array(points).reshape(-1, 2), tuple(edges))


def _edges(stroke: Stroke, places: list[tuple[float, int]], points: list[Array]) -> Iterable[Edge]:
    """Cut one stroke at its places; `points` gains the free ends."""
    last = float(len(stroke.curves))
    if stroke.closed or stroke.kind == "dot":
        stops = sorted({(t % last, node) for t, node in places}) or [(0.0, _add(points, stroke.curves[0, 0]))]
        stops.append((stops[0][0] + last, stops[0][1]))
    else:
        stops = sorted(_snapped(stroke, place) for place in set(places))
        if not stops or stops[0][0] > 0:
            stops.insert(0, (0.0, _add(points, stroke.curves[0, 0])))
        if stops[-1][0] < last:
            stops.append((last, _add(points, stroke.curves[-1, 3])))
    for (t0, tail), (t1, head) in zip(stops, stops[1:], strict=False):
        curves = _stretch(stroke.curves, t0, t1)
        yield Edge(stroke.number, t0, t1, tail, head, curves, bezier.length(curves))


def _snapped(stroke: Stroke, place: tuple[float, int]) -> tuple[float, int]:
    """Move a place that is all but the end of an open stroke onto it."""
    t, node = place
    last = float(len(stroke.curves))
    for end in (0.0, last):
        near = abs(t - end) < 1 and bezier.length(bezier.between(stroke.curves, min(t, end), max(t, end))) < STUB
        if near and bezier.length(stroke.curves) > 2 * STUB:
            return end, node
    return t, node


def _stretch(curves: Array, t0: float, t1: float) -> Array:
    """Return the chain from t0 to t1, where t1 may go past a closed chain's end and on from its start."""
    last = float(len(curves))
    if t1 <= last:
        return bezier.between(curves, t0, t1)
    if t1 - last <= 0:
        return bezier.between(curves, t0, last)
    return np.concatenate([bezier.between(curves, t0, last), bezier.between(curves, 0.0, t1 - last)])


def _hop_edge(hop: Hop, tail: int) -> Edge:
    curves = bezier.from_polyline(np.array([hop.start, hop.end]))
    return Edge(hop.stroke, hop.t, hop.t, tail, tail + 1, curves, bezier.length(curves), hop=True)


def _add(points: list[Array], point: Array) -> int:
    points.append(np.asarray(point, float))
    return len(points) - 1
