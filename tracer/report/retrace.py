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

NEAREST = 10
"""Others offered to each odd node; 8 gave the least length on a page with 450 of them."""

_UNITS_PER_MM = 10_000
"""The matching counts in whole numbers: 0.1 micrometre."""


def retraced_edges(network: Network) -> Ints:
    """Return the indices of the edges to follow again, so that every part keeps at most two odd nodes."""
    odd = np.flatnonzero(network.degrees % 2)
    order = np.argsort(network.parts[odd], kind="stable")
    _, first = np.unique(network.parts[odd][order], return_index=True)
    members = [one for one in np.split(odd[order], first[1:]) if len(one) > 2]
    few = [one for one in members if len(one) <= EXACT_TO]
    again = [_least(network, one) for one in members if len(one) > EXACT_TO]
    if few:
        distance, before = _ways(network, np.concatenate(few), np.inf)
        ends = np.cumsum([len(one) for one in few])
        for one, end in zip(few, ends.tolist(), strict=True):
            own = slice(end - len(one), end)
            pairs = _match(distance[own, one], np.ones((len(one), len(one)), dtype=bool))
            again.append(_followed(network, one, before[own], pairs or []))
    return np.sort(np.concatenate([np.zeros(0, dtype=np.intp), *again]))


def _least(network: Network, odd: Ints) -> Ints:
    """Return the edges for one part with many `odd` nodes; pairs of near ones alone, where that will do."""
    reach = float(2 * NEAREST * network.lengths.mean())
    while True:
        distance, before = _ways(network, odd, reach)
        between = distance[:, odd]
        if (np.isfinite(between).sum(axis=1) > NEAREST).all():
            break
        reach *= 2.0
    pairs = _match(between, _nearest(between, NEAREST))
    if pairs is None:
        distance, before = _ways(network, odd, np.inf)
        pairs = _match(distance[:, odd], np.ones((len(odd), len(odd)), dtype=bool))
    return _followed(network, odd, before, pairs or [])


def _ways(network: Network, odd: Ints, reach: float) -> tuple[Array, Ints]:
    """Return the shortest distances from `odd` nodes within `reach` (k, n), and the node before each."""
    from scipy.sparse.csgraph import dijkstra

    distance, before = dijkstra(
        network.graph, directed=False, indices=odd, return_predecessors=True, limit=reach
    )
    return distance, before.astype(np.intp)


def _followed(network: Network, odd: Ints, before: Ints, pairs: Sequence[tuple[int, int]]) -> Ints:
    """Return the edges on the shortest ways between the `pairs`; what lies on two of them is on none."""
    count: dict[int, int] = {}
    for i, j in pairs:
        node = int(odd[j])
        while node != odd[i]:
            previous = int(before[i, node])
            edge = network.shortest[min(node, previous), max(node, previous)]
            count[edge] = count.get(edge, 0) + 1
            node = previous
    return np.array([edge for edge, times in count.items() if times % 2], dtype=np.intp)


def _nearest(distance: Array, count: int) -> NDArray[np.bool_]:
    """Mark for each node the pairs with its nearest others."""
    offered = np.zeros(distance.shape, dtype=bool)
    order = np.argpartition(distance, count, axis=1)[:, : count + 1]
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
