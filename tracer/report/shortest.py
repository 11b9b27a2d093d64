"""Shortest ways along the edges of a network, from one node at a time (Dijkstra 1959)."""

import math
from collections.abc import Collection
from heapq import heappop, heappush

from tracer.report.network import Network


class Ways:
    """The ways of a network, to be asked where they lead; lengths in mm.

    Most questions end near where they began, and a package for the rest takes half a second to load.
    """

    def __init__(self, network: Network) -> None:
        self._beside: list[list[tuple[int, float]]] = [[] for _ in network.points]
        lengths = network.lengths.tolist()
        for (a, b), edge in network.shortest.items():
            self._beside[a].append((b, lengths[edge]))
            self._beside[b].append((a, lengths[edge]))

    def leading(
        self, start: int, reach: float = math.inf, *, to: Collection[int] = (), most: int = 0
    ) -> tuple[dict[int, float], dict[int, int]]:
        """Return how far nodes are from `start`, the nearest first, and which node comes before each.

        None beyond `reach` is among them; and where `most` of `to` are, no other.
        """
        found: dict[int, float] = {}
        least, before, left = {start: 0.0}, {start: start}, most
        ahead = [(0.0, start)]
        while ahead:
            far, node = heappop(ahead)
            if node in found:
                continue
            found[node] = far
            left -= node in to
            if most and not left:
                break
            for other, length in self._beside[node]:
                there = far + length
                if there <= reach and there < least.get(other, math.inf):
                    least[other], before[other] = there, node
                    heappush(ahead, (there, other))
        return found, before
