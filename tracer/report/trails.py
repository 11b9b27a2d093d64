"""Followed without going over a groove twice: as few trails as there can be, straight on at crossings.

A connected network with 2k odd nodes, k >= 1, takes exactly k trails, and one without odd
nodes takes one (Euler; Hierholzer 1873). The edges that meet at a node are paired so that
the bit turns least; that gives k open trails and perhaps some closed ones, which are then
let into the others where they meet.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
_Pass = tuple[int, int]

SHARP = math.radians(150)
"""A turn so sharp is one right back, and counts for so much more: the hand has to stop."""

_COMPARED_TO = 8
"""Edges at a node up to which all pairings are compared: 105; beyond, the straightest pair goes first."""


@dataclass(frozen=True)
class Step:
    """One edge of a trail, by its index, followed from tail to head or back."""

    edge: int
    forward: bool


@dataclass
class _Pairing:
    """Half-edges 2e (leaving the tail of edge e) and 2e + 1 (leaving its head), and which follows which.

    Attributes
    ----------
    toward : angle at which each leaves its node.
    mate : half-edge that follows at the node, -1 where a trail ends.
    """

    toward: list[float]
    mate: list[int]

    def turn(self, a: int, b: int) -> float:
        """Angle turned through, 0 straight on, with SHARP more for right back; 0 for an end of a trail."""
        if a < 0 or b < 0:
            return 0.0
        between = abs(self.toward[a] - self.toward[b])
        turned = abs(math.pi - between)
        return turned + SHARP if turned > SHARP else turned


def find_trails(ends: Sequence[tuple[int, int]], directions: Array) -> list[list[Step]]:
    """Return the trails that follow every edge exactly once, sum of max(1, odd nodes / 2) over the parts.

    Parameters
    ----------
    ends : nodes at the tail and head of each of m edges.
    directions : (m, 2, 2) unit vectors in which each edge leaves its tail and its head.
    """
    node = np.array(ends, dtype=np.intp).ravel()
    toward = np.arctan2(directions[..., 1], directions[..., 0]).ravel()
    order = np.argsort(node, kind="stable")
    first = np.flatnonzero(np.append(True, np.diff(node[order]) > 0))
    degree = np.diff(np.append(first, len(node)))
    mate = np.full(len(node), -1)
    for arms in np.unique(degree[degree > 1]).tolist():
        met = order[first[degree == arms][:, None] + np.arange(arms)]
        for pair in _least_turning(toward[met]):
            a, b = (np.take_along_axis(met, pair[:, side, None], axis=1) for side in (0, 1))
            mate[a], mate[b] = b, a
    pairing = _Pairing(toward.tolist(), mate.tolist())
    halves_at = [met.tolist() for met in np.split(order, first[1:])]
    while _let_in(pairing, halves_at):
        pass
    return [_steps(trail) for trail in _walk(pairing)[0]]


def _least_turning(toward: Array) -> list[Ints]:
    """Pair the k edges that meet at each of n nodes so that they turn least; of an odd k one is left over.

    `toward` (n, k) are the angles at which they leave. Returns k // 2 pairs (n, 2) at each node.
    """
    turned = np.abs(np.pi - np.abs(toward[:, :, None] - toward[:, None]))
    turned += np.where(turned > SHARP, SHARP, 0.0)
    count = toward.shape[1]
    if count <= _COMPARED_TO:
        table = np.array(_pairings(tuple(range(count))))
        cost = turned[:, table[..., 0], table[..., 1]].sum(axis=2)
        return list(table[cost.argmin(axis=1)].transpose(1, 0, 2))
    turned[:, np.arange(count), np.arange(count)] = np.inf
    pairs, at = [], np.arange(len(toward))
    for _ in range(count // 2):
        pair = np.column_stack(
            np.unravel_index(turned.reshape(len(toward), -1).argmin(axis=1), (count, count))
        )
        turned[at[:, None], pair] = np.inf
        turned.transpose(0, 2, 1)[at[:, None], pair] = np.inf
        pairs.append(pair)
    return pairs


@cache
def _pairings(items: tuple[int, ...]) -> list[tuple[_Pass, ...]]:
    """Return all ways to pair the items; one is left over where their number is odd."""
    if len(items) < 2:
        return [()]
    first, rest = items[0], items[1:]
    found = [
        ((first, other), *pairs)
        for index, other in enumerate(rest)
        for pairs in _pairings(rest[:index] + rest[index + 1 :])
    ]
    return found + _pairings(rest) if len(items) % 2 else found


def _walk(pairing: _Pairing) -> tuple[list[list[int]], list[int], list[bool]]:
    """Return the trails as half-edges in order of travel, each half-edge's trail, and which are closed."""
    trail_of = [-1] * len(pairing.mate)
    trails: list[list[int]] = []
    closed: list[bool] = []
    starts = [h for h, mate in enumerate(pairing.mate) if mate < 0]
    for is_closed, candidates in ((False, starts), (True, range(len(pairing.mate)))):
        for start in candidates:
            if trail_of[start] >= 0:
                continue
            trail, half = [], start
            while half >= 0 and trail_of[half] < 0:
                trail.append(half)
                trail_of[half] = trail_of[half ^ 1] = len(trails)
                half = pairing.mate[half ^ 1]
            trails.append(trail)
            closed.append(is_closed)
    return trails, trail_of, closed


def _let_in(pairing: _Pairing, halves_at: Sequence[list[int]]) -> bool:
    """Let closed trails into others they meet, where that turns least; say whether any was."""
    trails, trail_of, closed = _walk(pairing)
    if len(trails) < 2 or not any(closed):
        return False
    options = []
    for halves in halves_at:
        if len({trail_of[half] for half in halves}) < 2:
            continue
        passes = [(a, pairing.mate[a]) for a in halves if pairing.mate[a] < a]
        for a, b in passes:
            if not closed[trail_of[a]]:
                continue
            for c, d in passes:
                if trail_of[a] != trail_of[c]:
                    options += [_swap(pairing, (a, b), (c, d)), _swap(pairing, (b, a), (c, d))]
    root = list(range(len(trails)))
    done = False
    for _, (a, b), (c, d) in sorted(options):
        here, there = _root(root, trail_of[a]), _root(root, trail_of[c])
        fresh = pairing.mate[a] == b and (pairing.mate[c] == d if d >= 0 else pairing.mate[c] < 0)
        if fresh and here != there and (closed[here] or closed[there]):
            _join(pairing, a, c)
            _join(pairing, b, d)
            root[here] = there
            closed[there] = closed[here] and closed[there]
            done = True
    return done


def _swap(pairing: _Pairing, ab: _Pass, cd: _Pass) -> tuple[float, _Pass, _Pass]:
    """Return what it costs in turning to follow a by c and b by d, and the two passes."""
    (a, b), (c, d) = ab, cd
    if c < 0 or d < 0:
        c, d = max(c, d), -1
    before = pairing.turn(a, b) + pairing.turn(c, d)
    return pairing.turn(a, c) + pairing.turn(b, d) - before, (a, b), (c, d)


def _join(pairing: _Pairing, a: int, b: int) -> None:
    if a >= 0:
        pairing.mate[a] = b
    if b >= 0:
        pairing.mate[b] = a


def _root(root: list[int], i: int) -> int:
    while root[i] != i:
        i = root[i]
    return i


def _steps(trail: list[int]) -> list[Step]:
    return [Step(half // 2, half % 2 == 0) for half in trail]
