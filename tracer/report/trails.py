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
    node : node of each half-edge.
    toward : angle at which each leaves its node.
    mate : half-edge that follows at the node, -1 where a trail ends.
    """

    node: list[int]
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
    toward = np.arctan2(directions[..., 1], directions[..., 0]).ravel().tolist()
    pairing = _Pairing([node for both in ends for node in both], toward, [-1] * (2 * len(ends)))
    halves_at: dict[int, list[int]] = {}
    for half, node in enumerate(pairing.node):
        halves_at.setdefault(node, []).append(half)
    for halves in halves_at.values():
        for a, b in _least_turning(pairing, halves):
            _join(pairing, a, b)
    while _let_in(pairing, halves_at):
        pass
    return [_steps(trail) for trail in _walk(pairing)[0]]


def _least_turning(pairing: _Pairing, halves: list[int]) -> list[_Pass]:
    """Pair the half-edges of one node so that they turn least in all; an odd one is left as an end."""
    if len(halves) <= 2:
        return [(halves[0], halves[1])] if len(halves) == 2 else []
    turn = {(i, j): pairing.turn(halves[i], halves[j]) for j in range(len(halves)) for i in range(j)}
    if len(halves) <= _COMPARED_TO:
        best = min(_pairings(tuple(range(len(halves)))), key=lambda pairs: sum(turn[pair] for pair in pairs))
        return [(halves[i], halves[j]) for i, j in best]
    free, pairs = set(range(len(halves))), []
    for i, j in sorted(turn, key=lambda pair: (turn[pair], pair)):
        if i in free and j in free:
            free -= {i, j}
            pairs.append((halves[i], halves[j]))
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


def _let_in(pairing: _Pairing, halves_at: dict[int, list[int]]) -> bool:
    """Let closed trails into others they meet, where that turns least; say whether any was."""
    trails, trail_of, closed = _walk(pairing)
    if len(trails) < 2 or not any(closed):
        return False
    options = []
    for halves in halves_at.values():
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
