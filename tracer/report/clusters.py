"""Values grouped about a few of the levels that can be had, as well as can be."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_NOISE = 1e-9
"""Share of the misfit about one level that more levels must save to be worth having."""


def best_levels(values: Array, weights: Array, levels: Array, *, most: int, apart: float = 0.0) -> Index:
    """Return which of the `levels` (m,), at most `most`, lie nearest to the `values` (n,).

    Each value goes to its nearest level; the sum of weight x squared distance is the
    least there is, and no more levels are taken than lower it.

    Parameters
    ----------
    values, weights : in any order, n >= 1; weights not negative.
    levels : rising, m >= 1.
    apart : least distance between two levels that are taken.

    Returns
    -------
    Indices into `levels`, rising.

    Notes
    -----
    One-dimensional clustering is exact by dynamic programming over sorted values (Fisher 1958;
    Wang & Song 2011, The R Journal 3/2). There the centres are free; here they are the levels,
    so that the programme runs over these: the misfit of the values between two neighbouring
    levels depends on no other. O(n log n + m^2 (log n + most)).
    """
    between, before, after = _misfits(values, weights, levels)
    between[levels[None, :] - levels[:, None] < max(apart, np.finfo(float).tiny)] = np.inf
    best, chosen = np.inf, np.zeros(0, np.intp)
    cost, ways = before, [np.arange(len(levels))[:, None]]
    least = _NOISE * float((before + after).min())
    for count in range(most):
        if count:
            through = cost[:, None] + between
            source = through.argmin(axis=0)
            cost = through[source, np.arange(len(levels))]
            ways.append(np.column_stack([ways[-1][source], np.arange(len(levels))]))
        last = int((cost + after).argmin())
        total = float(cost[last] + after[last])
        if total < best - least:
            best, chosen = total, ways[-1][last]
    return chosen


def nearest(values: Array, levels: Array) -> Index:
    """Return the index (n,) of the level (m,) nearest to each value (n,), the first of two as near."""
    index: Index = np.abs(values[:, None] - levels[None, :]).argmin(axis=1)
    return index


def _misfits(values: Array, weights: Array, levels: Array) -> tuple[Array, Array, Array]:
    """Return the misfit of what lies between any two levels (m, m), before each (m,) and after each (m,).

    What lies between two goes to the nearer.
    """
    order = np.argsort(values, kind="stable")
    middle = np.average(values, weights=weights) if weights.any() else values.mean()
    x, w, level = values[order] - middle, weights[order], levels - middle
    sums = np.zeros((len(x) + 1, 3))
    sums[1:] = np.cumsum(np.column_stack([w * x * x, w * x, w]), axis=0)
    at = np.searchsorted(x, level)
    half = np.searchsorted(x, (level[:, None] + level[None, :]) / 2)

    def misfit(first: Index, end: Index, centre: Array) -> Array:
        square, plain, weight = np.moveaxis(sums[end] - sums[first], -1, 0)
        total: Array = np.maximum(square - 2 * centre * plain + centre**2 * weight, 0.0)
        return total

    between = misfit(at[:, None], half, level[:, None]) + misfit(half, at[None, :], level[None, :])
    return between, misfit(np.zeros_like(at), at, level), misfit(at, np.full_like(at, len(x)), level)
