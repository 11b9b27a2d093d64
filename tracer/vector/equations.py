"""One step of Gauss and Newton for all segments of many strokes: one small matrix a segment.

Lines and arcs are kept by heavy rows of their own.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import LINE
from tracer.vector.cubics import rows, terms
from tracer.vector.elimination import joints_solved
from tracer.vector.kept import kept_rows
from tracer.vector.unknowns import Chains

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_HEAVY = 1e6
"""Weight of what must hold, against one sample."""


_ALIKE = 0.3
"""Share of the damping up to which it grows that holds places alike in all directions: slight damping lets
them slide along lines, where they find their ends."""


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
    own_weight = normal[:, diagonal, diagonal]
    share = damping[chains.block][:, None]
    normal[:, diagonal, diagonal] += share * own_weight
    for place in ([0, 1], [5, 6]):  # along a line nothing else holds its ends
        more = share * np.minimum(share, _ALIKE) * own_weight[:, place].mean(axis=1, keepdims=True)
        normal[:, place, place] += more
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
    step[: chains.begin[-1]] = joints_solved(chains, rest, pull)
    step[chains.unknown[:, 3:5]] = cross[:, :, 6] - (cross[:, :, :6] @ step[joints][..., None])[..., 0]
    return step
