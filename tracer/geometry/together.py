"""What hangs together by pairs: connected components by least members (Shiloach & Vishkin 1982)."""

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.intp]


def together(pairs: Ints, count: int) -> Ints:
    """Return the group, from 0, that each of 0..count - 1 (count,) hangs together with by the pairs (m, 2).

    Groups are numbered in the order of their least members.
    """
    least = np.arange(count)
    while len(pairs):
        roots = least[pairs]
        pairs = pairs[roots[:, 0] != roots[:, 1]]
        np.minimum.at(least, roots.max(axis=1), roots.min(axis=1))
        while not np.array_equal(least[least], least):
            least = least[least]
    groups: Ints = np.unique(least, return_inverse=True)[1]
    return groups
