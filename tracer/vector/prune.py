"""False branches off the skeleton, and nodes that are none."""

from collections.abc import Iterable
from itertools import product

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.vector.network import LOOP, Branch, Network

SPUR = 0.7
"""A branch reaching out of its junction's inscribed disc by less than this part of its radius is false."""


def prune(network: Network, depth: NDArray[np.float32]) -> Network:
    """Return the network without spurs; `depth` (H, W) is the ink's distance to paper, ink pixels.

    A spur is a dead end whose cap hardly reaches out of the disc inscribed at its
    junction: a ragged edge makes it, not a pen. A pen's stub keeps its cap's radius
    and so reaches out. The shortest at each junction goes first, until none is left.
    """
    while spurs := _spurs(network, depth):
        kept = [branch for k, branch in enumerate(network.branches) if k not in spurs]
        used = {n for branch in kept for n in (branch.a, branch.b)}
        ends = {n for k in spurs for n in (network.branches[k].a, network.branches[k].b)}
        nodes = {n: p for n, p in network.nodes.items() if n in used or n not in ends}
        network = straightened(Network(nodes, tuple(kept)))
    return network


def depth_at(depth: NDArray[np.float32], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the ink's depth (m,) at points (m, 2): the largest of 3 x 3 pixels, less half a pixel."""
    height, width = depth.shape
    x, y = np.floor(points).astype(np.intp).T
    columns = [np.clip(x + dx, 0, width - 1) for dx in (-1, 0, 1)]
    rows = [width * np.clip(y + dy, 0, height - 1) for dy in (-1, 0, 1)]
    flat, best = depth.ravel(), np.zeros(len(points), depth.dtype)
    for row, column in product(rows, columns):
        np.maximum(best, flat.take(row + column), out=best)
    return np.maximum(best.astype(np.float64) - 0.5, 0.5)


def straightened(network: Network) -> Network:
    """Return the network with the two branches at each node of degree two made one."""
    branches: dict[int, Branch] = dict(enumerate(network.branches))
    nodes = dict(network.nodes)
    arms = network.arms()
    for node in list(arms):
        if len(arms[node]) != 2:
            continue
        (i, end_i), (j, end_j) = arms.pop(node)
        del nodes[node]
        if i == j:
            branches[i] = Branch(branches[i].points[:-1], LOOP, LOOP)
            continue
        first, second = _towards(branches[i], end_i), _towards(branches.pop(j), 1 - end_j)
        branches[i] = Branch(np.concatenate([first.points, second.points]), first.a, second.b)
        arms[first.a].remove((i, 1 - end_i))
        arms[second.b].remove((j, 1 - end_j))
        arms[first.a].append((i, 0))
        arms[second.b].append((i, 1))
    return Network(nodes, tuple(branches.values()))


def _towards(branch: Branch, end: int) -> Branch:
    """Return the branch turned so that its last point is the given end."""
    return branch if end == 1 else Branch(branch.points[::-1], branch.b, branch.a)


def _spurs(network: Network, depth: NDArray[np.float32]) -> set[int]:
    """Return the indices of the shortest spur at each junction."""
    arms = network.arms()
    worst: dict[int, tuple[float, int]] = {}
    if not network.nodes:
        return set()
    depths = depth_at(depth, np.array(list(network.nodes.values())))
    deep = dict(zip(network.nodes, depths.tolist(), strict=True))
    for k, branch in enumerate(network.branches):
        if branch.a == LOOP or (len(arms[branch.a]) == 1) == (len(arms[branch.b]) == 1):
            continue
        end, junction = (branch.a, branch.b) if len(arms[branch.a]) == 1 else (branch.b, branch.a)
        r_end, r_junction = deep[end], deep[junction]
        if len(branch.points) > 2 * SPUR * r_junction + 2:
            continue
        reach = _length([network.nodes[junction], *branch.points]) + r_end - r_junction
        if reach < SPUR * r_junction and reach < worst.get(junction, (np.inf, 0))[0]:
            worst[junction] = (float(reach), k)
    return {k for _, k in worst.values()}


def _length(points: Iterable[NDArray[np.float64]]) -> float:
    """Return the length of a pixel path."""
    return float(polyline.arc_lengths(np.array(list(points)))[-1])
