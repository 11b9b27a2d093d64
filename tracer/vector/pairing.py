"""Which two arms of a junction are one line that passes through it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.vector.arms import Arms
from tracer.vector.ends import Ends
from tracer.vector.samples import SPACING
from tracer.vector.track import STEPS, Start, Tracks

Array = NDArray[np.float64]
Index = NDArray[np.intp]

NEAR = 7.0
"""Line widths apart up to which two arms can be the same line."""

MEETS = 0.6
"""Line widths within which a track passes the start of the arm that it goes on in."""

TURN = np.radians(35)
"""Angle between a track and the arm it goes on in that is as bad as half a width's offset."""

AGREE = 0.12
"""Line widths within which two tracks between the same cuts agree."""

STRAIGHT_ON = np.radians(15)
"""Angle within which two arms lie in one straight line."""

ALONG = 0.3
"""Line widths within which a track has run along another arm as far as that is looked at."""

WORST = 1.2
"""Sum of offsets and angles from which on two arms are not one line."""


@dataclass(frozen=True, eq=False)
class Pair:
    """Two arms (indices) that are one line, and the points (m, 2) between their cuts."""

    one: int
    other: int
    bridge: Array


def neighbours(arms: Arms) -> tuple[Index, Index]:
    """Return all pairs of arms (i < j) that start near one another."""
    from shapely import STRtree, points

    starts = points(arms.start.points)
    i, j = STRtree(starts).query(starts, predicate="dwithin", distance=NEAR * arms.start.widths)
    ordered = (i < j) & ~arms.free[i] & ~arms.free[j]
    return i[ordered], j[ordered]


def paired(arms: Arms, tracks: Tracks, ends: Ends, i: Index, j: Index) -> list[Pair]:
    """Return the pairs of arms that pass through a junction, each arm in one pair at the most.

    An arm goes on in another if its track comes by the other's start in the other's
    direction, and the other way round; the smaller the offset, the angle and the
    stretch between without any edge in sight, the better. One that goes on to an end of
    its own does not turn into another.
    """
    there, back = _misfit(arms, tracks, i, j), _misfit(arms, tracks, j, i)
    both = np.where(np.isfinite(there) & np.isfinite(back), (there + back) / 2, np.minimum(there, back) + 0.4)
    widths = arms.start.widths
    both = np.minimum(both, _in_line(arms, i, j)) + 0.5 * _bent(arms.start, i, j) / TURN
    both += np.abs(np.log(widths[i] / widths[j]))
    both[_parts(arms, tracks, ends, i, j) | _parts(arms, tracks, ends, j, i)] = np.inf
    pairs, taken = [], set[int]()
    for k in np.lexsort((j, i, both)).tolist():
        if not both[k] < WORST:
            break
        a, b = int(i[k]), int(j[k])
        if not {a, b} & taken:
            taken |= {a, b}
            pairs.append(Pair(a, b, _bridge(arms, tracks, a, b)))
    return pairs


def _bent(start: Start, i: Index, j: Index) -> Array:
    """Return by how much (p,) more a line from arm `i` to arm `j` turns than the two bend by themselves."""
    u, v = start.headings[i], -start.headings[j]
    turn = np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], (u * v).sum(axis=1))
    far = np.hypot(*(start.points[j] - start.points[i]).T)
    bent: Array = np.abs(turn - (start.bends[i] - start.bends[j]) / 2 * far)
    return bent


def _in_line(arms: Arms, i: Index, j: Index) -> Array:
    """Return how badly (p,) arms lie in one straight line, inf where not at all: tracks may go astray."""
    start, width = arms.start, arms.start.widths[i]
    gap = start.points[j] - start.points[i]
    u, v = start.headings[i], -start.headings[j]
    aside = np.maximum(*(np.abs(gap[:, 0] * w[:, 1] - gap[:, 1] * w[:, 0]) for w in (u, v)))
    angle = np.arccos(np.clip((u * v).sum(axis=1), -1, 1))
    far = (gap * u).sum(axis=1)
    near = (far > 0) & (far < NEAR * width) & (angle < STRAIGHT_ON) & (aside < 0.3 * width)
    near &= (arms.branch[i] != arms.branch[j]) | (arms.kept[i] * SPACING > 2 * width)
    return np.where(near, aside / (0.5 * width) + angle / TURN + 0.2, np.inf)


def _parts(arms: Arms, tracks: Tracks, ends: Ends, i: Index, j: Index) -> NDArray[np.bool_]:
    """Say which arms `i` visibly go on to an end that does not lie on arms `j`, nor beyond them."""
    width = arms.start.widths[i]
    step = np.nan_to_num(ends.length[i] / width * STEPS).astype(int)
    end = tracks.points[i, np.clip(step, 0, tracks.points.shape[1] - 1)]
    away = np.hypot(*(arms.outward[j] - end[:, None]).transpose(2, 0, 1)).min(axis=1)
    parts: NDArray[np.bool_] = ends.through[i] & (away > MEETS * width)
    k = np.flatnonzero(parts)
    last = arms.outward[j[k], -1]
    gap = tracks.points[i[k], _passing(tracks, i[k], last)] - last
    parts[k] = np.hypot(*gap.T) > ALONG * width[k]
    return parts


def _misfit(arms: Arms, tracks: Tracks, i: Index, j: Index) -> Array:
    """Return how badly (p,) the tracks of arms `i` run into the starts of arms `j`, inf where not at all."""
    start, width = arms.start, arms.start.widths[i]
    goal, outward = start.points[j], -start.headings[j]
    at = _passing(tracks, i, goal)
    rows = np.arange(len(i))
    heading = tracks.headings[i, at]
    gap = goal - tracks.points[i, at]
    ahead = (gap * heading).sum(axis=1)
    beyond = np.where(tracks.locked[i], 2.5, MEETS) * width
    within = (ahead < beyond) & (ahead > -MEETS * width)
    aside = np.abs(gap[:, 0] * heading[:, 1] - gap[:, 1] * heading[:, 0]) - 0.1 * np.maximum(ahead, 0)
    angle = np.arccos(np.clip((heading * outward).sum(axis=1), -1, 1))
    steps = np.arange(tracks.seen.shape[1])
    blind = ((tracks.seen[i] == 0) & (steps <= at[rows, None])).sum(axis=1) / STEPS
    misfit = np.maximum(aside, 0) / (0.5 * width) + angle / TURN + 0.1 * blind
    within &= (arms.branch[i] != arms.branch[j]) | (arms.kept[i] * SPACING > 2 * width)
    return np.where(within & (angle < TURN) & (aside < MEETS * width), misfit, np.inf)


def _passing(tracks: Tracks, i: Index, goal: Array) -> Index:
    """Return the step (p,) at which each track comes nearest to its goal (p, 2)."""
    gap = tracks.points[i] - goal[:, None]
    away = gap[..., 0] ** 2 + gap[..., 1] ** 2
    away[np.arange(away.shape[1]) >= tracks.count[i][:, None]] = np.inf
    nearest: Index = away.argmin(axis=1)
    return nearest


def _bridge(arms: Arms, tracks: Tracks, one: int, other: int) -> Array:
    """Return the points between the cuts of two arms: their tracks, each where it has edges in sight.

    Where the two do not agree one of them strayed into another line: the smoother is taken,
    or, if both did, the cubic between the arms.
    """
    there, sure = _way(arms, tracks, one, other)
    back, sure_back = _way(arms, tracks, other, one)
    size = max(polyline.arc_lengths(there)[-1], polyline.arc_lengths(back)[-1])
    count = max(2, round(size / SPACING))
    u = np.linspace(0, 1, count + 1)[1:-1]
    a, s = _at(there, sure, u)
    b, t = _at(back[::-1], sure_back[::-1], u)
    weight, rest = (1 - u) * (s + 0.05), u * (t + 0.05)
    share = (rest / (weight + rest))[:, None]
    bridge: Array = (1 - share) * a + share * b
    if _apart(a, b) > AGREE * arms.start.widths[one]:
        smooth = _smooth_way(arms.start, one, other, u)
        bridge = min(a, b, key=lambda way: _apart(way, smooth))
        if _apart(bridge, smooth) > 2 * AGREE * arms.start.widths[one]:
            return smooth
    return bridge


def _apart(a: Array, b: Array) -> float:
    """Return the largest distance between points (m, 2) of the same rank."""
    return float(np.hypot(*(a - b).T).max())


def _smooth_way(start: Start, one: int, other: int, u: Array) -> Array:
    """Return the cubic from one arm's start to another's in their directions, at parameters `u` (Hermite)."""
    p, q = start.points[one], start.points[other]
    size = float(np.hypot(*(q - p)))
    leave, arrive = size * start.headings[one], -size * start.headings[other]
    u = u[:, None]
    v = 1 - u
    way: Array = v * v * ((1 + 2 * u) * p + u * leave) + u * u * ((3 - 2 * u) * q - v * arrive)
    return way


def _way(arms: Arms, tracks: Tracks, one: int, other: int) -> tuple[Array, Array]:
    """Return a track from its cut to the other's start, drawn onto it, and how many edges each point has."""
    goal = arms.start.points[other]
    at = int(_passing(tracks, np.array([one]), goal[None])[0])
    points, seen = tracks.points[one, : at + 1], tracks.seen[one, : at + 1]
    gap = goal - points[-1]
    ahead = float(gap @ tracks.headings[one, at])
    if ahead > arms.start.widths[one] / STEPS:
        points, seen = np.concatenate([points, goal[None]]), np.append(seen, 0)
    elif at > 0:
        along = polyline.arc_lengths(points)
        points = points + (along / max(along[-1], 1e-9))[:, None] ** 2 * gap
    else:
        points, seen = np.concatenate([points, goal[None]]), np.append(seen, 0)
    return points, seen.astype(float)


def _at(points: Array, values: Array, u: Array) -> tuple[Array, Array]:
    """Return points and values at fractions `u` of a polyline's length."""
    along = polyline.arc_lengths(points)
    along /= max(along[-1], 1e-9)
    x, y, value = (np.interp(u, along, column) for column in (*points.T, values))
    return np.column_stack([x, y]), value
