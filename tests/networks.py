"""Random networks of curved strokes, and what is least for them by trying every walk."""

import heapq

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from tracer.model.drawing import Joint, Stroke
from tracer.report.network import Network, build_network

Array = NDArray[np.float64]
Pairs = list[tuple[int, int]]

PAIRS: st.SearchStrategy[Pairs] = st.lists(
    st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=1, max_size=8
)
"""Strokes by the two nodes of six at which they end: loops, several between the same two, several parts."""


def network_of(pairs: Pairs, points: Array, rng: np.random.Generator | None = None) -> Network:
    """One stroke for each pair of points, joined at them; straight, or curved at random."""
    strokes = []
    for number, (a, b) in enumerate(pairs, start=1):
        curve = points[a] + (points[b] - points[a]) * np.linspace(0, 1, 4)[:, None]
        if rng is not None:
            curve[1:3] += rng.normal(0, 20, (2, 2))
        strokes.append(Stroke(number, curve[None], closed=False, kind="line"))
    members: dict[int, list[tuple[int, float]]] = {}
    for stroke, (a, b) in zip(strokes, pairs, strict=True):
        members.setdefault(a, []).append((stroke.number, 0.0))
        members.setdefault(b, []).append((stroke.number, 1.0))
    return build_network(strokes, [Joint(points[node], tuple(met)) for node, met in members.items()])


def least_by_every_walk(pairs: Pairs, lengths: Array, *, again: bool) -> tuple[int, float]:
    """Return the fewest plunges that follow all edges, and the least length gone over again with so few.

    Dijkstra (1959) over all states (node, set of edges followed); a lift may go to any
    node. Knows nothing of odd nodes, matchings or parts.
    """
    nodes, every = sorted({node for pair in pairs for node in pair}), (1 << len(pairs)) - 1
    best = {(node, 0): (1, 0.0) for node in nodes}
    heap = [(cost, *state) for state, cost in best.items()]
    while heap:
        (plunges, length), node, done = heapq.heappop(heap)
        if done == every:
            return plunges, length
        if best[node, done] < (plunges, length):
            continue
        steps = [((plunges + 1, length), other, done) for other in nodes if other != node]
        for edge, (a, b) in enumerate(pairs):
            over = done >> edge & 1
            if node in {a, b} and (again or not over):
                cost = (plunges, length + (lengths[edge] if over else 0.0))
                steps.append((cost, b if node == a else a, done | 1 << edge))
        for cost, other, after in steps:
            if cost < best.get((other, after), (len(pairs) + 1, 0.0)):
                best[other, after] = cost
                heapq.heappush(heap, (cost, other, after))
    raise AssertionError
