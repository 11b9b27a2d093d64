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
    pixels = np.column_stack([x, y])
    links = _links(skeleton.shape, pixels)
    node_of, members = _node_pixels(links)
    centres: Array = pixels.astype(np.float64) + 0.5
    nodes = {n: centres[group].mean(axis=0) for n, group in enumerate(members)}
    visited = node_of >= 0
    branches = [_branch(centres, path, node_of) for path in _walks(links, node_of, members, visited)]
    branches += [Branch(centres[path], LOOP, LOOP) for path in _loops(links, visited)]
    return Network(nodes, tuple(branches))


def _links(shape: tuple[int, ...], pixels: Index) -> list[list[int]]:
    """Return for each pixel the indices of those it is linked to."""
    number = np.full((shape[0] + 2, shape[1] + 2), -1)
    x, y = pixels.T + 1
    number[y, x] = np.arange(len(pixels))
    around = np.stack([number[y + dy, x + dx] for dx, dy in _STEPS], axis=1)
    for diagonal, (one, other) in enumerate(_CORNER_OF, start=4):
        around[(around[:, one] >= 0) | (around[:, other] >= 0), diagonal] = -1
    return [[n for n in row if n >= 0] for row in around.tolist()]


def _node_pixels(links: list[list[int]]) -> tuple[Index, list[list[int]]]:
    """Return each pixel's node (-1 for none) and each node's pixels."""
    node_of = np.full(len(links), -1)
    members: list[list[int]] = []
    for seed, around in enumerate(links):
        if len(around) == 2 or node_of[seed] >= 0:
            continue
        group, waiting = [seed], [seed] if len(around) > 2 else []
        node_of[seed] = len(members)
        while waiting:
            for n in links[waiting.pop()]:
                if len(links[n]) > 2 and node_of[n] < 0:
                    node_of[n] = len(members)
                    group.append(n)
                    waiting.append(n)
        members.append(group)
    return node_of, members


def _walks(
    links: list[list[int]], node_of: Index, members: list[list[int]], visited: NDArray[np.bool_]
) -> list[list[int]]:
    """Return the pixel paths from node to node, each once; marks the pixels between as visited."""
    paths = []
    for node, group in enumerate(members):
        for start in group:
            for step in links[start]:
                path = [start, step]
                if node_of[step] >= 0:
                    if node_of[step] != node and start < step:
                        paths.append(path)
                    continue
                if visited[step]:
                    continue
                while node_of[path[-1]] < 0:
                    visited[path[-1]] = True
                    one, other = links[path[-1]]
                    path.append(other if one == path[-2] else one)
                paths.append(path)
    return paths


def _loops(links: list[list[int]], visited: NDArray[np.bool_]) -> list[list[int]]:
    """Return the pixel paths of closed curves that touch no node."""
    loops = []
    for seed in np.flatnonzero(~visited).tolist():
        if visited[seed]:
            continue
        path, came = [seed], -1
        while not visited[path[-1]]:
            here = path[-1]
            visited[here] = True
            one, other = links[here]
            came, step = here, other if one == came else one
            path.append(step)
        loops.append(path[:-1])
    return loops


def _branch(centres: Array, path: list[int], node_of: Index) -> Branch:
    """Return the branch along a pixel path."""
    return Branch(centres[path], int(node_of[path[0]]), int(node_of[path[-1]]))
