"""Courses: a skeleton's pixels in order, straight on through junctions, without stubs under colouring."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.cells import widened

Mask = NDArray[np.uint8]
Flags = NDArray[np.bool_]
Points = NDArray[np.float64]

STUB = 1.2
"""Pens up to which a free end under colouring is a bump of a line's edge: half a pen lies in the line."""

STRAIGHT = np.radians(40)
"""Turn up to which two branches are one line that passes a junction."""

_AHEAD, _MOUTH = 0.8, 0.9
"""Pens of a branch by which its direction is told, and along a line where another opens into it."""

_OVER = 3.0
"""Pens that a ring goes on over its first pixels."""

_NIB = 3
"""Pixels of a stub that stay at its junction."""


@dataclass(frozen=True, eq=False)
class Course:
    """Where a line goes.

    Attributes
    ----------
    points : (n, 2) column and row of skeleton pixels, in order; a ring goes on over its first ones.
    joined : (n, 2) where another line opens into it on its left, on its right (y is down).
    """

    points: Points
    joined: Flags


def courses(skeleton: Mask, coloured: Mask, pen: float) -> list[Course]:
    """Return the courses of a skeleton (H, W), whose lines are `pen` pixels wide.

    Free ends that are short go where it is `coloured` (H, W), 0 or 1.
    """
    skeleton = _without_stubs(skeleton, coloured, pen)
    crossings = _marked(skeleton)[0]
    branches = _chains(skeleton & (1 - crossings))
    chains = [points for points, closed in branches if not closed]
    junctions = np.asarray(cv2.connectedComponents(crossings, connectivity=8)[1], np.int32)
    found = _passed(chains, _met(chains, junctions, pen), pen)
    for points in (points for points, closed in branches if closed):
        over = points[: round(_OVER * pen)]
        found.append(Course(np.concatenate([points, over]), np.zeros((len(points) + len(over), 2), bool)))
    return found


def _among(skeleton: Mask, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return how many skeleton pixels (n,) there are among those that were asked for and their neighbours."""
    wide = np.asarray(cv2.copyMakeBorder(skeleton, 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0), np.uint8)
    around = [wide[rows + k, columns + m] for k in range(3) for m in range(3)]
    return np.asarray(np.sum(around, axis=0, dtype=np.intp), np.intp)


def _places(mask: Mask) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return rows and columns (n,) where a mask (H, W) is 1, looked through as flags: that is quick."""
    return np.divmod(np.flatnonzero(mask.view(bool)), mask.shape[1])


def _marked(skeleton: Mask) -> tuple[Mask, Mask]:
    """Return 1 where more than two branches meet, and 1 on the last pixels of lines, both (H, W)."""
    rows, columns = _places(skeleton)
    count = _among(skeleton, rows, columns)
    marks = np.zeros((2, *skeleton.shape), np.uint8)
    for mark, chosen in zip(marks, (count > 3, count == 2), strict=True):
        mark[rows[chosen], columns[chosen]] = 1
    return widened(marks[0], 3), marks[1]


def _without_stubs(skeleton: Mask, coloured: Mask, pen: float) -> Mask:
    """Return the skeleton without short free ends under colouring; where two met one goes on."""
    crossings, tips = _marked(skeleton)
    free, left = tips & coloured, skeleton.copy()
    for points, closed in _chains(skeleton & (1 - crossings)):
        if closed or len(points) > STUB * pen:
            continue
        columns, rows = points.astype(np.intp).T
        tied = any(_window(crossings, end).any() for end in (points[0], points[-1]))
        if tied and free[rows[[0, -1]], columns[[0, -1]]].any():
            left[rows, columns] = 0
    for _ in range(_NIB):
        rows, columns = _places(left & crossings)
        nib = _among(left, rows, columns) <= 2
        left[rows[nib], columns[nib]] = 0
    return left


def _window(values: NDArray[np.integer], point: Points) -> NDArray[np.integer]:
    """Return what lies no more than two pixels from a point (2,), column and row."""
    x, y = point.astype(int)
    return values[max(y - 2, 0) : y + 3, max(x - 2, 0) : x + 3]


def _chains(branches: Mask) -> list[tuple[Points, bool]]:
    """Return the pixels (n, 2) of each branch in order, and whether it is a ring.

    The outline of a line one pixel wide goes there and back; its ends are where it turns.
    """
    found = []
    for outline in cv2.findContours(branches, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)[0]:
        ring = outline[:, 0].astype(np.float64)
        around = np.concatenate([ring[-1:], ring, ring[:1]])
        turns = np.flatnonzero((around[2:] == around[:-2]).all(axis=1))
        if not len(turns):
            found.append((ring, True))
            continue
        away = (turns - turns[0]) % len(ring)
        back = int(away[np.abs(away - len(ring) / 2).argmin()]) or len(ring) // 2
        found.append((np.concatenate([ring[turns[0] :], ring[: turns[0]]])[: back + 1], False))
    return found


@dataclass(frozen=True, eq=False)
class _Met:
    """Ends of chains at junctions: `end` is 2 x chain, + 1 at its last point.

    Attributes
    ----------
    onward : the end that goes on where an end stops.
    away : (2,) direction of each end into its chain.
    others : the ends at the same junction.
    """

    onward: dict[int, int]
    away: dict[int, Points]
    others: dict[int, list[int]]


def _met(chains: list[Points], junctions: NDArray[np.int32], pen: float) -> _Met:
    """Return which ends meet at the junctions (H, W), and which go on in which: the straightest first."""
    at: dict[int, list[int]] = {}
    away = {}
    ahead = max(2, round(_AHEAD * pen))
    for k, points in enumerate(chains):
        for last in (0, 1):
            way = points[::-1] if last else points
            junction = int(_window(junctions, way[0]).max())
            step = way[min(ahead, len(way) - 1)] - way[0]
            away[2 * k + last] = step / max(float(np.hypot(*step)), 1e-9)
            if junction:
                at.setdefault(junction, []).append(2 * k + last)
    onward: dict[int, int] = {}
    others = {}
    for ends in at.values():
        others.update({end: [other for other in ends if other != end] for end in ends})
        pairs = [(float(away[a] @ away[b]), a, b) for a in ends for b in ends if a < b and a // 2 != b // 2]
        for along, a, b in sorted(pairs):
            if -along > np.cos(STRAIGHT) and a not in onward and b not in onward:
                onward[a], onward[b] = b, a
    return _Met(onward, away, others)


def _passed(chains: list[Points], met: _Met, pen: float) -> list[Course]:
    """Return chains that go on in one another as courses."""
    left = set(range(len(chains)))
    firsts = [end for k in range(len(chains)) for end in (2 * k, 2 * k + 1) if end not in met.onward]
    found = []
    for first in [*firsts, *range(0, 2 * len(chains), 2)]:  # what has no first end is a ring of chains
        if first // 2 not in left:
            continue
        end: int | None = first
        parts: list[Points] = []
        joins: list[tuple[int, int, int]] = []
        while end is not None and end // 2 in left:
            left.discard(end // 2)
            parts.append(chains[end // 2][::-1] if end % 2 else chains[end // 2])
            stop = end ^ 1
            end = met.onward.get(stop)
            if end is not None:
                joins.append((sum(map(len, parts)), stop, end))
        found.append(Course(np.concatenate(parts), _joined(parts, joins, met, pen)))
    return found


def _joined(parts: list[Points], joins: list[tuple[int, int, int]], met: _Met, pen: float) -> Flags:
    """Return on which sides (n, 2) of a course other lines open into it, where its parts join."""
    flags = np.zeros((sum(map(len, parts)), 2), bool)
    reach = round(_MOUTH * pen)
    for at, stop, end in joins:
        way = met.away[end]
        for other in met.others[stop]:
            if other != end:
                side = met.away[other]
                right = int(way[0] * side[1] - way[1] * side[0] > 0)
                flags[max(0, at - reach) : at + reach, right] = True
    return flags
