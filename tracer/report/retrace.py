"""Which edges to follow twice, so that each part is followed in one go with the least retraced length.

All but two of the odd nodes must be made even. The least way is a matching of least weight
over shortest paths with one pair left open (Edmonds & Johnson 1973): two made-up nodes,
at no distance from every odd node and not matched with each other, take the open pair.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.report.network import Network
from tracer.report.shortest import Ways

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
    ways = Ways(network) if members else None
    again = [least_again(network, ways, one.tolist()) for one in members if ways]
    return np.sort(np.array([edge for edges in again for edge in edges], dtype=np.intp))


def least_again(network: Network, ways: Ways, odd: list[int]) -> list[int]:
    """Return the edges for one part; with many `odd` nodes pairs of near ones alone, where that will do."""
    few = len(odd) <= EXACT_TO
    for most in (len(odd),) if few else (NEAREST + 1, len(odd)):
        known = [ways.leading(node, to=set(odd), most=most) for node in odd]
        pairs = matched(distances([found for found, _ in known], odd))
        if pairs is not None:
            return _followed(network, odd, [before for _, before in known], pairs)
    return []


def distances(known: Sequence[dict[int, float]], odd: list[int]) -> Array:
    """Return how far `odd` nodes (k,) are from one another (k, k), by what is `known` from each; else inf."""
    distance = np.array([[found.get(node, np.inf) for node in odd] for found in known])
    shorter: Array = np.minimum(distance, distance.T)
    return shorter


def _followed(
    network: Network, odd: list[int], before: list[dict[int, int]], pairs: Sequence[tuple[int, int]]
) -> list[int]:
    """Return the edges on the shortest ways between the `pairs`; what lies on two of them is on none."""
    count: dict[int, int] = {}
    for one, other in pairs:
        i, j = (one, other) if odd[other] in before[one] else (other, one)
        node = odd[j]
        while node != odd[i]:
            previous = before[i][node]
            edge = network.shortest[min(node, previous), max(node, previous)]
            count[edge] = count.get(edge, 0) + 1
            node = previous
    return [edge for edge, times in count.items() if times % 2]


def matched(distance: Array) -> list[tuple[int, int]] | None:
    """Match all nodes but two, over the pairs at a distance (k, k) that is known; None where none can be."""
    import rustworkx

    size = len(distance)
    i, j = np.nonzero(np.triu(np.isfinite(distance), 1))
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
