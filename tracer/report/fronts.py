"""Of many places in many groups, those that no other of the group outdoes."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def fronts(group: NDArray[np.intp], low: Array, high: Array) -> list[NDArray[np.intp]]:
    """Return for each group, by rising key, the indices (r,) of its places that are worst in some way.

    A place goes where another of its group is at most as `low` and at least as `high`; what
    a rule asks for that falls with the one and rises with the other, it asks for one of the rest.

    Parameters
    ----------
    group : (n,) keys of any values.
    low, high : (n,) finite.
    """
    if not len(group):
        return []
    order = np.lexsort((low, -high, group))
    low, high = low[order], high[order]
    starts = np.flatnonzero(np.diff(group[order], prepend=group[order[0]] - 1))
    number = np.repeat(np.arange(len(starts)), np.diff(np.append(starts, len(order))))
    # Each group lies wholly below the one before, so that the least so far is the group's own.
    shifted = low - number * (np.ptp(low) + 1.0)
    least = np.minimum.accumulate(shifted)
    first = np.concatenate([[True], least[1:] < least[:-1]])
    worst, ends = order[first], (np.flatnonzero(np.diff(number[first])) + 1).tolist()
    return [worst[a:b] for a, b in zip([0, *ends], [*ends, len(worst)], strict=True)]
