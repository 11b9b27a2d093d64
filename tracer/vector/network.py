"""The skeleton as a network: branches of pixels between nodes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

LOOP = -1
"""Node number at both ends of a branch that closes on itself without a node."""

# Neighbours in the order of their offsets (dx, dy): four straight, then four diagonal.
_STEPS = np.array([(1, 0), (0, 1), (-1, 0), (0, -1), (1, 1), (-1, 1), (-1, -1), (1, -1)])
_CORNER_OF = ((0, 1), (2, 1), (2, 3), (0, 3))


@dataclass(frozen=True, eq=False)
class Branch:
    """Pixel centres (m, 2) in ink pixels from node `a` to node `b`; both LOOP where it has none.

    A loop's first point is not repeated at its end.
    """

    points: Array
    a: int
    b: int


@dataclass(frozen=True, eq=False)
class Network:
    """Nodes (points (2,), ink pixels; ends, junctions and single pixels) and the branches between them."""

    nodes: dict[int, Array]
    branches: tuple[Branch, ...]

    def arms(self) -> dict[int, list[tuple[int, int]]]:
        """Return for each node the (branch index, end 0 or 1) that leave it."""
        arms: dict[int, list[tuple[int, int]]] = {node: [] for node in self.nodes}
        for k, branch in enumerate(self.branches):
            if branch.a != LOOP:
                arms[branch.a].append((k, 0))
                arms[branch.b].append((k, 1))
        return arms


def skeleton_network(skeleton: NDArray[np.bool_]) -> Network:
    """Return the network of a skeleton (H, W).

    Pixels are linked to their eight neighbours, diagonally only where no straight
    way leads round. Pixels with one link, none, or more than two are nodes;
    neighbouring ones of more than two are one node, at their mean.
    """
    y, x = np.nonzero(skeleton)
    if not len(x):
        return Network({}, ())
    around = _links(skeleton.shape, x, y)
    degree = (around >= 0).sum(axis=1)
    centres: Array = np.column_stack([x, y]).astype(np.float64) + 0.5
    node_of = _node_pixels(around, degree)
    count = int(node_of.max(initial=-1)) + 1
    members = np.bincount(node_of[node_of >= 0], minlength=count)
    inside = node_of >= 0
    sums = [np.bincount(node_of[inside], column[inside], minlength=count) for column in centres.T]
    nodes = dict(enumerate(np.column_stack(sums) / members[:, None]))
    branches = [_branch(centres, path, node_of) for path in _walks(around, node_of)]
    return Network(nodes, tuple(branches))


def _links(shape: tuple[int, ...], x: Index, y: Index) -> Index:
    """Return the indices (n, 8) of the pixels that each is linked to, -1 where there is none.

    The pixels come row by row.
    """
    place = y * (shape[1] + 2) + x
    around = np.full((len(x), len(_STEPS)), -1)
    for k, (dx, dy) in enumerate(_STEPS.tolist()):
        wanted = place + dy * (shape[1] + 2) + dx
        found = np.minimum(np.searchsorted(place, wanted), len(place) - 1)
        around[:, k] = np.where(place[found] == wanted, found, -1)
    for diagonal, (one, other) in enumerate(_CORNER_OF, start=4):
        around[(around[:, one] >= 0) | (around[:, other] >= 0), diagonal] = -1
    return around


def _node_pixels(around: Index, degree: Index) -> Index:
    """Return each pixel's node (n,), -1 for none."""
    node_of = np.full(len(around), -1)
    seeds = np.flatnonzero(degree != 2).tolist()
    crowded = {p: [n for n in around[p].tolist() if n >= 0 and degree[n] > 2] for p in seeds if degree[p] > 2}
    count = 0
    for seed in seeds:
        if node_of[seed] >= 0:
            continue
        node_of[seed] = count
        waiting = [seed] if seed in crowded else []
        while waiting:
            for n in crowded[waiting.pop()]:
                if node_of[n] < 0:
                    node_of[n] = count
                    waiting.append(n)
        count += 1
    return node_of


def _walks(around: Index, node_of: Index) -> list[Index]:
    """Return the pixel paths from node to node, then those that close on themselves, each once."""
    node = node_of.tolist()
    both = np.where(around >= 0, around, 0).sum(axis=1).tolist()
    start, slot = np.nonzero((around >= 0) & (node_of >= 0)[:, None])
    paths: list[list[int]] = []
    known = set[tuple[int, int]]()
    for first, second in zip(start.tolist(), around[start, slot].tolist(), strict=True):
        if node[first] != node[second] and (first, second) not in known:
            paths.append(_walk(first, second, node, both))
            known.add((paths[-1][-1], paths[-1][-2]))
    left = node_of < 0
    left[[pixel for path in paths for pixel in path]] = False
    for first in np.flatnonzero(left).tolist():
        if left[first]:
            second = min(n for n in around[first].tolist() if n >= 0)
            paths.append(_walk(first, second, node, both))
            left[paths[-1]] = False
    turned = [min(path, path[::-1], key=lambda path: path[:2]) for path in paths]
    return [np.array(path) for path in sorted(turned, key=lambda path: (node[path[0]] < 0, path[:2]))]


def _walk(first: int, second: int, node: list[int], both: list[int]) -> list[int]:
    """Return the pixels from one over the next to a node, or round to the first again.

    `both` is the sum of a pixel's two neighbours: less the one that the path comes from it is the other.
    """
    path, here = [first], second
    while node[here] < 0 and here != first:
        here, before = both[here] - path[-1], here
        path.append(before)
    return [*path, here]


def _branch(centres: Array, path: Index, node_of: Index) -> Branch:
    """Return the branch along a pixel path."""
    if node_of[path[0]] < 0:
        return Branch(centres[path[:-1]], LOOP, LOOP)
    return Branch(centres[path], int(node_of[path[0]]), int(node_of[path[-1]]))
