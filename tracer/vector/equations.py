"""One step of Gauss and Newton for all segments of many strokes: one small matrix a stroke.

Lines and arcs are kept by heavy rows of their own.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import LINE
from tracer.vector.cubics import rows, terms
from tracer.vector.kept import kept_rows
from tracer.vector.unknowns import Chains

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_HEAVY = 1e6
"""Weight of what must hold, against one sample."""


def totals(place: Index, values: Array, count: int) -> Array:
    """Return the sums (count,) of the values at each place."""
    sums: Array = np.bincount(place, values, count).astype(float)
    return sums


def _lined(row: Array, kind: Index, u: Array) -> Array:
    """Return the rows of samples with those of lines told by the lines' ends alone."""
    line = np.flatnonzero(kind == LINE)
    normal = row[0:2, line] + row[5:7, line]
    row[0:2, line], row[5:7, line] = (1 - u[line]) * normal, u[line] * normal
    row[2:5, line] = row[7, line] = 0
    return row


def step(
    chains: Chains, values: Array, own: Index, u: Array, *, wanted: Array, weight: Array, damping: Array
) -> Array:
    """Return the change (v,) of all `values` that brings them nearer to samples.

    `wanted` (2, m) are the samples, of `weight` (m,), at parameters `u` (m,) of their `own` segments (m,).
    `damping` (blocks,) is the share of each unknown's own weight that is added to it.
    """
    order = np.argsort(own, kind="stable")
    own, u, wanted, weight = own[order], u[order], wanted[:, order], weight[order]
    row = _lined(rows(terms(values[chains.unknown])[:, own], u, wanted), chains.kind[own], u)
    weighted, across = weight * row, row.T
    bound = np.searchsorted(own, np.arange(len(chains.kind) + 1)).tolist()
    normal = np.array([weighted[:, a:b] @ across[a:b] for a, b in pairwise(bound)])
    diagonal = np.arange(8)
    normal[:, diagonal, diagonal] *= 1 + damping[chains.block][:, None]
    kept = kept_rows(chains.kind, values[chains.unknown])
    normal += _HEAVY * (kept.transpose(0, 2, 1) @ kept)
    pull = chains.hold * (chains.values - values)[: chains.begin[-1]]
    return _solved(chains, normal, pull)


def _solved(chains: Chains, normal: Array, pull: Array) -> Array:
    """Return the change (v,) of all values by the segments' normal equations (s, 9, 9).

    Handles belong to one segment each: they are eliminated first and found last.
    """
    own, shared = [3, 4], [0, 1, 2, 5, 6, 7, 8]
    inner = normal[:, own][:, :, own] + 1e-9 * np.eye(2)
    cross = np.linalg.solve(inner, normal[:, own][:, :, shared])
    rest = normal[:, shared][:, :, shared] - normal[:, shared][:, :, own] @ cross
    joints = chains.unknown[:, [0, 1, 2, 5, 6, 7]]
    step = np.zeros(len(chains.values))
    step[: chains.begin[-1]] = _joints_solved(chains, joints, rest, pull)
    step[chains.unknown[:, 3:5]] = cross[:, :, 6] - (cross[:, :, :6] @ step[joints][..., None])[..., 0]
    return step


def _joints_solved(chains: Chains, joints: Index, normal: Array, pull: Array) -> Array:
    """Return the change of all places and angles; blocks of the same room are solved together.

    `joints` (s, 6) are those of each segment, `normal` (s, 7, 7) its equations.
    """
    size = np.diff(chains.begin)
    step = np.zeros(chains.begin[-1])
    local = joints - chains.begin[chains.block][:, None]
    for n in np.unique(chains.room).tolist():
        members = np.flatnonzero(chains.room == n)
        slot = np.full(len(size), -1)
        slot[members] = np.arange(len(members))
        s = np.flatnonzero(slot[chains.block] >= 0)
        row = slot[chains.block[s]][:, None] * n + local[s]
        cell = row[:, :, None] * n + local[s][:, None, :]
        matrix = totals(cell.ravel(), normal[s, :6, :6].ravel(), len(members) * n * n).reshape(-1, n, n)
        right = totals(row.ravel(), normal[s, :6, 6].ravel(), len(members) * n)
        here = np.flatnonzero(np.repeat(slot, size) >= 0)
        place = np.repeat(slot * n - chains.begin[:-1], size)[here] + here
        right[place] += pull[here]
        hold = np.zeros(len(right))
        hold[place] = chains.hold[here]
        diagonal = matrix[:, np.arange(n), np.arange(n)] + hold.reshape(-1, n)
        matrix[:, np.arange(n), np.arange(n)] = np.where(diagonal > 0, diagonal, 1.0)
        step[here] = solve_all(matrix, right.reshape(-1, n, 1)).ravel()[place]
    return step


def solve_all(matrix: Array, right: Array) -> Array:
    """Return x (k, n, 1) of matrix (k, n, n) x = right (k, n, 1), for symmetric matrices.

    Where segments shrink to nothing two unknowns may say the same: then a part in 10^6 of the
    diagonal is added, which lets each take half (Levenberg 1944).
    """
    try:
        return np.asarray(np.linalg.solve(matrix, right))
    except np.linalg.LinAlgError:
        n = matrix.shape[1]
        more = 1e-6 * matrix[:, np.arange(n), np.arange(n)]
        return np.asarray(np.linalg.solve(matrix + more[:, :, None] * np.eye(n), right))
