"""The joints of many strokes solved for at once: every other one is eliminated, again and again.

Where two segments meet nothing else hangs on, so a joint can be eliminated with its two segments alone, which
makes one of them (cyclic reduction; Hockney 1965). Each round halves all strokes together.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.vector.unknowns import Chains

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_DIAGONAL = np.arange(6)


def joints_solved(chains: Chains, normal: Array, pull: Array) -> Array:
    """Return the change (begin[-1],) of all places and angles.

    `normal` (s, 7, 7) are the equations of each segment's x, y and angle at its start and at its end, with
    their right side; `pull` (begin[-1],) is added to the right side of each unknown.
    """
    joints = chains.unknown[:, [0, 1, 2, 5, 6, 7]]
    matrix, right = _held(chains, joints, normal, pull)
    step = np.zeros(chains.begin[-1])
    loose = [_without(matrix, right, which, j) for which, j in _loose_angles(chains)]
    at = _nodes_solved(joints[:, 0].copy(), joints[:, 3].copy(), chains.block, matrix, right)
    known = np.concatenate([at[joints[:, 0]], at[joints[:, 3]]], axis=1)
    for angle in reversed(loose):
        known[angle.which, angle.j] = 0
        known[angle.which, angle.j] = angle.constant - (angle.row * known[angle.which]).sum(axis=1)
    step[joints] = known
    return step


def _loose_angles(chains: Chains) -> tuple[tuple[Index, int], tuple[Index, int]]:
    """Return the segments whose angle at the start (2) and at the end (5) is theirs alone."""
    on = chains.following >= 0
    begins = np.ones(len(on), bool)
    begins[chains.following[on]] = False
    return (np.flatnonzero(begins), 2), (np.flatnonzero(~on), 5)


def _held(chains: Chains, joints: Index, normal: Array, pull: Array) -> tuple[Array, Array]:
    """Return the segments' matrices (s, 6, 6) and right sides (s, 6), what holds each unknown added once."""
    matrix, right = normal[:, :6, :6].copy(), normal[:, :6, 6].copy()
    last = np.append(chains.block[1:] != chains.block[:-1], True)
    first = np.flatnonzero(np.append(True, last[:-1]))
    goes_round = np.zeros(len(last), bool)
    goes_round[last] = joints[last, 3] == joints[first, 0]
    once = np.ones(right.shape, bool)
    once[:, 3:5] = (last & ~goes_round)[:, None]
    once[:, 5] = chains.following < 0
    matrix[:, _DIAGONAL, _DIAGONAL] += once * chains.hold[joints]
    right += once * pull[joints]
    return matrix, right


@dataclass(frozen=True, eq=False)
class _Angle:
    """An angle of one segment alone: the j-th of its unknowns is `constant` (k,) less `row` (k, 6) of all."""

    which: Index
    j: int
    row: Array
    constant: Array


def _without(matrix: Array, right: Array, which: Index, j: int) -> _Angle:
    """Eliminate the j-th unknown of some segments, in place."""
    column = matrix[which, :, j]
    pivot = np.where(column[:, j] > 0, column[:, j], 1.0)
    column[:, j] = 0
    row, constant = column / pivot[:, None], right[which, j] / pivot
    matrix[which] -= column[:, :, None] * row[:, None, :]
    right[which] -= column * constant[:, None]
    matrix[which, j] = matrix[which, :, j] = right[which, j] = 0
    return _Angle(which, j, row, constant)


def _nodes_solved(start: Index, end: Index, block: Index, matrix: Array, right: Array) -> Array:
    """Return x, y and angle (n, 3) at the nodes `start` and `end` (s,) of segments, block by block."""
    rounds = []
    while True:
        first = np.append(True, block[1:] != block[:-1])
        rank = np.arange(len(block))
        rank -= np.maximum.accumulate(np.where(first, rank, 0))
        one = np.flatnonzero(rank % 2) - 1
        other = one + 1
        if not len(one):
            break
        cross = np.concatenate([matrix[one, 3:, :3], matrix[other, :3, 3:]], axis=2)
        rest = _solved(matrix[one, 3:, 3:] + matrix[other, :3, :3], cross, right[one, 3:] + right[other, :3])
        matrix[one, 3:, 3:], matrix[one, :3, 3:], matrix[one, 3:, :3] = matrix[other, 3:, 3:], 0, 0
        right[one, 3:] = right[other, 3:]
        across = cross.transpose(0, 2, 1)
        matrix[one] -= across @ rest[:, :, :6]
        right[one] -= (across @ rest[:, :, 6:])[..., 0]
        rounds.append((end[one], start[one], end[other], rest))
        end[one] = end[other]
        left = rank % 2 == 0
        start, end, block, matrix, right = start[left], end[left], block[left], matrix[left], right[left]
    at = np.zeros((max(start.max(), end.max(), *(r[0].max() for r in rounds), 0) + 1, 3))
    _roots_solved(at, start, end, matrix, right)
    for node, before, behind, rest in reversed(rounds):
        beside = np.concatenate([at[before], at[behind]], axis=1)[..., None]
        at[node] = rest[:, :, 6] - (rest[:, :, :6] @ beside)[..., 0]
    return at


def _roots_solved(at: Array, start: Index, end: Index, matrix: Array, right: Array) -> None:
    """Fill in the ends of what is left of each stroke: one segment, which may go round."""
    ring = np.flatnonzero(start == end)
    parts = matrix[ring].reshape(-1, 2, 3, 2, 3).sum(axis=(1, 3))
    at[start[ring]] = _solved(parts, parts[:, :, :0], right[ring, :3] + right[ring, 3:])[..., 0]
    line = np.flatnonzero(start != end)
    both = _solved(matrix[line], matrix[line, :, :0], right[line])[..., 0]
    at[start[line]], at[end[line]] = both[:, :3], both[:, 3:]


def _solved(matrix: Array, cross: Array, right: Array) -> Array:
    """Return x (k, n, m + 1) of matrix (k, n, n) x = (cross (k, n, m), right (k, n)).

    What no equation tells of is nought.
    """
    index = np.arange(matrix.shape[1])
    diagonal = matrix[:, index, index]
    matrix[:, index, index] = np.where(diagonal > 0, diagonal, 1.0)
    return solve_all(matrix, np.concatenate([cross, right[..., None]], axis=2))


def solve_all(matrix: Array, right: Array) -> Array:
    """Return x (k, n, m) of matrix (k, n, n) x = right (k, n, m), for symmetric matrices.

    Where segments shrink to nothing two unknowns may say the same: then a part in 10^6 of the
    diagonal is added, which lets each take half (Levenberg 1944).
    """
    try:
        return np.asarray(np.linalg.solve(matrix, right))
    except np.linalg.LinAlgError:
        n = matrix.shape[1]
        more = 1e-6 * matrix[:, np.arange(n), np.arange(n)]
        return np.asarray(np.linalg.solve(matrix + more[:, :, None] * np.eye(n), right))
