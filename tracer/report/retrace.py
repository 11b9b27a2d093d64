"""Which edges to follow twice, so that each part is followed in one go with the least retraced length.

All but two of the odd nodes must be made even. The least way is a matching of least weight
over shortest paths with one pair left open (Edmonds & Johnson 1973): two made-up nodes,
at no distance from every odd node and not matched with each other, take the open pair.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.report.network import Network

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

EXACT_TO = 200
"""Odd nodes in a part up to which every pair is offered to the matching; beyond, each node's NEAREST."""

NEAREST = 12
_UNITS_PER_MM = 10_000
"""The matching counts in whole numbers: 0.1 micrometre."""


def retraced_edges(network: Network) -> Ints:
    """Return the indices of the edges to follow again, so that every part keeps at most two odd nodes."""
    odd = np.flatnonzero(network.degrees % 2)
    again: list[int] = []
    for part in np.unique(network.parts[odd]):
        members = odd[network.parts[odd] == part]
        if len(members) > 2:
            again += _least(network, members)
    return np.array(again, dtype=np.intp)


def _least(network: Network, odd: Ints) -> list[int]:
    """Return the cheapest edges that leave two of the `odd` nodes of one part odd."""
    from scipy.sparse.csgraph import dijkstra

    distance, before = dijkstra(network.graph, directed=False, indices=odd, return_predecessors=True)
    count: dict[int, int] = {}
    for i, j in _matching(distance[:, odd]):
        node = int(odd[j])
        while node != odd[i]:
            previous = int(before[i, node])
            edge = network.shortest[min(node, previous), max(node, previous)]
            count[edge] = count.get(edge, 0) + 1
            node = previous
    return [edge for edge, times in sorted(count.items()) if times % 2]


def _matching(distance: Array) -> Sequence[tuple[int, int]]:
    """Return the pairs that leave two nodes open at least total distance (k, k), k even."""
    near = _match(distance, _nearest(distance, NEAREST)) if len(distance) > EXACT_TO else None
    return near or _match(distance, np.ones(distance.shape, dtype=bool)) or []


def _nearest(distance: Array, count: int) -> NDArray[np.bool_]:
    """Mark for each node the pairs with its nearest others."""
    offered = np.zeros(distance.shape, dtype=bool)
    order = np.argsort(distance, axis=1)[:, : count + 1]
    offered[np.arange(len(distance))[:, None], order] = True
    return offered | offered.T


def _match(distance: Array, offered: NDArray[np.bool_]) -> list[tuple[int, int]] | None:
    """Match all nodes but two, over the pairs that are offered; None where that cannot be done."""
    import rustworkx

    size = len(distance)
    i, j = np.nonzero(np.triu(offered, 1))
    weight = np.rint(distance[i, j] * _UNITS_PER_MM).astype(np.int64)
    top = int(weight.max(initial=0)) + 1
    graph = rustworkx.PyGraph(multigraph=False)
    graph.add_nodes_from(range(size + 2))
    graph.add_edges_from(list(zip(i.tolist(), j.tolist(), (top - weight).tolist(), strict=True)))
    graph.add_edges_from([(node, size + extra, top) for node in range(size) for extra in range(2)])
    found = rustworkx.max_weight_matching(graph, max_cardinality=True, weight_fn=int)
    if 2 * len(found) < size + 2:
        return None
    return [(a, b) for a, b in found if a < size and b < size]
