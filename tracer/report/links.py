"""The strokes as short links end to end, and how well each place bears that its groove is parted there.

A groove that is cut in two set-ups is parted at a place that both reach. Where strokes cross,
meet or end nobody looks for a join; in a plain straight stretch it hardly shows; in a small
curve the two halves never meet fair. All wood mm.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.model.drawing import Stroke
from tracer.report.network import Edge, Network
from tracer.report.samples import sample

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

STEP = 1.0
"""mm from place to place: finer than anyone could see where a plain stretch was joined."""

LONGEST = 1.5 * STEP
"""mm; a link is no longer, since samples between two corners are spread evenly."""

SEEN = 5.0
"""mm to each side of a place over which its bend is taken (our own choice)."""

SMALL_CURVE = math.radians(30.0)
"""A stroke is not parted where it turns more within SEEN to both sides: in curves of under 19 mm radius."""

MEETING, PLAIN, BENT = 30, 100, 1000
"""What a join costs where strokes meet or end, where straight, and where most bent (our own choice)."""

NEVER = 200_000
"""What a join in a small curve costs: more than all others of a seam together."""


@dataclass(frozen=True, eq=False)
class Links:
    """Links between places; each node of the network is one place, others lie along its edges.

    Attributes
    ----------
    points : (n, 2) of the places.
    cost : (n,) what it costs to part a stroke at each.
    ends : (m, 2) places at both ends of each link; the same twice for a dot.
    edge : (m,) index of the edge each lies on, links of one edge side by side and in order.
    start, end : (m,) places on the stroke's chain; on a closed stroke they may pass its length.
    """

    points: Array
    cost: Ints
    ends: Ints
    edge: Ints
    start: Array
    end: Array


def links_of(network: Network) -> Links:
    """Return the links of a network that has edges, none of them a hop."""
    chains = [Stroke(k, curves, closed=False, kind="line") for k, curves in enumerate(network.curves)]
    found = sample(chains, STEP)
    bounds = np.searchsorted(found.stroke, np.arange(len(chains) + 1))
    nodes = len(network.points)
    points, cost = [network.points], [np.full(nodes, MEETING, dtype=np.intp)]
    rows: list[Array] = []
    for k, edge in enumerate(network.edges):
        own = slice(bounds[k], bounds[k + 1])
        t = np.interp(found.t[own], np.arange(len(network.curves[k]) + 1.0), knots(edge.start, edge.end))
        if len(t) < 2:
            rows.append(np.array([[edge.tail, edge.head, k, edge.start, edge.end]]))
            continue
        inner, lone = found.points[own][1:-1], _lone(network, edge)
        bends = _bends(found.points[own], found.along[own], ring=lone)
        if lone:
            cost[0][edge.tail] = _by_bend(bends[:1])[0]
        place = np.concatenate([[edge.tail], nodes + np.arange(len(inner)), [edge.head]])
        nodes += len(inner)
        points.append(inner)
        cost.append(_by_bend(bends[1:-1]))
        rows.append(np.column_stack([place[:-1], place[1:], np.full(len(t) - 1, k), t[:-1], t[1:]]))
    table = np.concatenate(rows)
    ends, edges = table[:, :2].astype(np.intp), table[:, 2].astype(np.intp)
    return Links(np.concatenate(points), np.concatenate(cost), ends, edges, table[:, 3], table[:, 4])


def knots(start: float, end: float) -> Array:
    """Return the places on a stroke's chain where the cubics of its piece `start` to `end` begin and end.

    They go with the places 0, 1, 2 .. on the piece's own chain; start < end.
    """
    first, last = math.floor(start), max(math.ceil(end) - 1, math.floor(start))
    return np.concatenate([[start], np.arange(first + 1.0, last + 1.0), [end]])


def _lone(network: Network, edge: Edge) -> bool:
    """Say whether an edge goes round to its own start and meets nothing there."""
    return edge.tail == edge.head and int(network.degrees[edge.tail]) == 2


def _bends(points: Array, along: Array, *, ring: bool) -> Array:
    """Return by how much a polyline turns within SEEN of each of its points (k,), radians."""
    count, length = len(points), float(along[-1])
    if ring:
        points = np.concatenate([points[:-1], points[:-1], points])
        along = np.concatenate([along[:-1] - length, along[:-1], along + length])
    way = np.diff(points, axis=0)
    cross = way[:-1, 0] * way[1:, 1] - way[:-1, 1] * way[1:, 0]
    turn = np.abs(np.arctan2(cross, (way[:-1] * way[1:]).sum(axis=1)))
    turned = np.concatenate([[0.0, 0.0], np.cumsum(turn)])  # before each inner point, and after all
    low = np.searchsorted(along[1:-1], along - SEEN, side="left")
    high = np.searchsorted(along[1:-1], along + SEEN, side="right")
    bends: Array = turned[high + 1] - turned[low + 1]
    return bends[count - 1 : 2 * count - 1] if ring else bends


def _by_bend(bends: Array) -> Ints:
    """Return what a join costs by the bend at its place."""
    share = bends / SMALL_CURVE
    cost = PLAIN + (BENT - PLAIN) * np.minimum(share, 1.0) ** 2
    found: Ints = np.where(share > 1.0, NEVER, np.rint(cost)).astype(np.intp)
    return found
