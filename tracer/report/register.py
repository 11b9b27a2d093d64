"""Register marks: places that two set-ups both reach, to see that the board lies in one as in the other.

In the first of the two the bit is brought over each and the board is marked; in the second
the stylus on the same mark of its sheet must bring the bit there again. Wood mm.
"""

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]
Point = tuple[float, float]

_EVERY = 5.0
"""mm between the places that are tried."""

_INSIDE = 5.0
"""mm that a mark keeps from the rim of the reach and of the board, where there is room."""

_CLEAR = 4.0
"""mm that a mark keeps from the edges of grooves, where there is room."""

_NEAR = 40.0
"""mm from where a mark is wanted to one there is already that will do."""


def register_marks(
    windows: Sequence[Box], neighbours: Iterable[tuple[int, int]], board: Box, grooves: tuple[Array, float]
) -> tuple[tuple[Point, ...], ...]:
    """Return the marks of each set-up: two for each pair of `neighbours`, as far apart as may be.

    `grooves` are points (n, 2) along all grooves' middles and their greatest half width. A
    mark that a third set-up reaches as well is its mark, too, where it needs one.
    """
    from scipy.spatial import cKDTree

    tree = cKDTree(grooves[0])
    found: list[list[Point]] = [[] for _ in windows]
    for a, b in neighbours:
        both = _meet(windows[a], windows[b])
        pair = _two(_meet(both, board), tree, grooves[1] + _CLEAR)
        known = [mark for mark in sorted({mark for own in found for mark in own}) if _in(mark, both)]
        near = min(_NEAR, math.dist(*pair) / 3)
        for mark in (_reused(known, one, near) for one in pair):
            for own in (found[a], found[b]):
                if mark not in own:
                    own.append(mark)
    return tuple(tuple(sorted(own)) for own in found)


def neighbours_of(windows: Sequence[Box], joined: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """Return the pairs (lower first) to register: those with a join, and each with an earlier one at least.

    The earlier one is that which shares the longest side with it. Windows that share but a
    corner are no pair: marks there would lie too close together to tell a board askew.
    """
    short = min(min(x1 - x0, y1 - y0) for x0, y0, x1, y1 in windows) / 2
    pairs = {(min(a, b), max(a, b)) for a, b in joined if _side(windows[a], windows[b]) >= short}
    for later in range(1, len(windows)):
        if not any(b == later for _, b in pairs):
            pairs.add((max(range(later), key=lambda k: (_side(windows[k], windows[later]), k)), later))
    return tuple(sorted(pairs))


def _side(a: Box, b: Box) -> float:
    x0, y0, x1, y1 = _meet(a, b)
    return max(x1 - x0, y1 - y0) if x1 > x0 and y1 > y0 else 0.0


def _meet(a: Box, b: Box) -> Box:
    return max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])


def _in(mark: Point, box: Box) -> bool:
    return box[0] <= mark[0] <= box[2] and box[1] <= mark[1] <= box[3]


def _two(room: Box, grooves: Any, clear: float) -> tuple[Point, Point]:
    """Return two places in a room, clear of grooves if there are such, near the ends of its longer side."""
    x, y = (_places(room[k], room[k + 2]) for k in (0, 1))
    tried = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    free = tried[grooves.query(tried)[0] >= clear]
    along = int(room[3] - room[1] > room[2] - room[0])
    some = free if len(free) and np.ptp(free[:, along]) >= np.ptp(tried[:, along]) / 2 else tried
    aside = np.abs(some[:, 1 - along] - (room[1 - along] + room[3 - along]) / 2)
    ends = [int(np.lexsort((aside, sign * some[:, along]))[0]) for sign in (1, -1)]
    first, second = ((float(some[k, 0]), float(some[k, 1])) for k in ends)
    return first, second


def _places(low: float, high: float) -> Array:
    """Return whole millimetres from `low` to `high`, off both; the middle where there is no room."""
    off = min(_INSIDE, (high - low) / 4)
    found: Array = np.arange(np.ceil(low + off), np.floor(high - off) + 1e-6, _EVERY)
    return found if len(found) else np.array([(low + high) / 2])


def _reused(known: Sequence[Point], wanted: Point, near: float) -> Point:
    """Return the known mark nearest to where one is wanted, where it lies so near; else that place."""
    nearest = min(known, key=lambda mark: math.dist(mark, wanted), default=wanted)
    return nearest if math.dist(nearest, wanted) <= near else wanted
