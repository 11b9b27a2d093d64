"""Lines led on through ink where no edge is in sight."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arms import Arms
from tracer.vector.prune import depth_at
from tracer.vector.samples import SPACING
from tracer.vector.stretches import NOTCH, ON_LINE
from tracer.vector.visible import Piece

Array = NDArray[np.float64]

FAR = 4.5
"""Line widths over which two ends are joined: a crossing of 15 degrees hides 3.9."""

BEND = np.radians(50)
"""Turn from which on two ends are not one line."""

ROUND = np.radians(75)
"""Turn from which on two ends are not one line though nothing else goes on from them."""

ROOM = 0.72
"""Part of the pen's radius that ink out of sight must be deep."""

AHEAD = 3.0
"""Line widths that an end is led on to a line."""

MEETS = 0.12
"""Line widths within which an end led on meets a line."""


class End(NamedTuple):
    """An end of a piece at a notch: its piece and side, its place and its heading."""

    piece: int
    side: int
    place: Array
    heading: Array


def joined(
    ink: Ink, arms: Arms, pieces: Sequence[Piece], bodies: Sequence[Array], width: float
) -> list[Piece]:
    """Return the pieces joined across ink without edges, and their ends led on to lines."""
    ends = [
        _end(arms, pieces, k, side, width)
        for k, piece in enumerate(pieces)
        for side in (0, 1)
        if (piece.start, piece.end)[side] == NOTCH
    ]
    partner: dict[tuple[int, int], tuple[int, int]] = {}
    ways: dict[tuple[int, int], Array] = {}

    def free(end: End) -> bool:
        return (end.piece, end.side) not in partner

    def pair(one: End, other: End, way: Array) -> None:
        partner[one.piece, one.side] = other.piece, other.side
        partner[other.piece, other.side] = one.piece, one.side
        ways[one.piece, one.side] = way

    for _, a, b, way in _candidates(ink, ends, width):
        if free(ends[a]) and free(ends[b]):
            pair(ends[a], ends[b], way)
    ends = [end for end in ends if free(end)]
    for _, a, b, way in _candidates(ink, ends, width, ROUND):
        if free(ends[a]) and free(ends[b]):
            pair(ends[a], ends[b], way)
    ends = [end for end in ends if free(end)]
    more = [*bodies, *ways.values()]
    corners, hits = _led_on(ink, ends, pieces, [line for line in more if len(line)], width)
    for _, a, b, way in corners:
        if free(ends[a]) and free(ends[b]):
            pair(ends[a], ends[b], way)
    tails = {(ends[k].piece, ends[k].side): way for k, way in hits.items() if free(ends[k])}
    return _chained(pieces, partner, ways, tails)


def _end(arms: Arms, pieces: Sequence[Piece], k: int, side: int, width: float) -> End:
    """Return an end with the heading of the line up to it."""
    piece = pieces[k]
    points = piece.points if side == 1 else piece.points[::-1]
    other = (piece.start, piece.end)[1 - side]
    if other >= 0 and len(points) < 1.5 * width:
        points = np.concatenate([arms.outward[other][::-1], points])
    back = points[::-1]
    far = np.hypot(*(back - back[0]).T)
    near = back[: max(3, int(np.argmax(far > 1.2 * width)) or len(back))]
    if len(near) < 3:
        return End(k, side, back[0], arms.start.headings[other])
    middle = near - near.mean(axis=0)
    direction = np.linalg.svd(middle, full_matrices=False)[2][0]
    if direction @ (near[0] - near[-1]) < 0:
        direction = -direction
    return End(k, side, back[0], direction)


def _candidates(
    ink: Ink, ends: Sequence[End], width: float, most: float = BEND
) -> list[tuple[float, int, int, Array]]:
    """Return the pairs of ends that may be one line, the best first, and the ways between."""
    found = []
    for a, one in enumerate(ends):
        for b in range(a + 1, len(ends)):
            other = ends[b]
            gap = other.place - one.place
            far = float(np.hypot(*gap))
            if far > FAR * width or one.piece == other.piece:
                continue
            turn = _angle(one.heading, -other.heading)
            if far < 0.3 * width:
                bend = turn
            else:
                bend = max(_angle(one.heading, gap / far) + _angle(gap / far, -other.heading), turn)
            if bend > most:
                continue
            way = _way(one, other)
            if not _has_room(ink, way, width):
                continue
            found.append((bend / BEND + far / (FAR * width), a, b, way))
    return sorted(found, key=lambda c: c[0])


def _angle(u: Array, v: Array) -> float:
    """Return the angle between two unit vectors."""
    return float(np.arccos(np.clip(u @ v, -1, 1)))


def _way(one: End, other: End) -> Array:
    """Return the points between two ends: by where their directions meet if that is between, else a cubic."""
    gap = other.place - one.place
    far = float(np.hypot(*gap))
    u, v = one.heading, other.heading
    cross = u[0] * v[1] - u[1] * v[0]
    if abs(cross) > np.sin(np.radians(12)):
        s = (gap[0] * v[1] - gap[1] * v[0]) / cross
        t = (gap[0] * u[1] - gap[1] * u[0]) / cross
        if s > 0 and t > 0 and s + t < 1.5 * far:
            corner = one.place + s * u
            return np.concatenate([_line(one.place, corner), corner[None], _line(corner, other.place)])
    count = max(2, round(far / SPACING))
    p = (np.arange(1, count) / count)[:, None]
    q = 1 - p
    way: Array = q * q * ((1 + 2 * p) * one.place + p * far * u) + p * p * (
        (3 - 2 * p) * other.place + q * far * v
    )
    return way


def _line(a: Array, b: Array) -> Array:
    """Return points between two places, about a sample apart."""
    count = max(1, round(float(np.hypot(*(b - a))) / SPACING))
    return a + (np.arange(1, count) / count)[:, None] * (b - a)


def _has_room(ink: Ink, way: Array, width: float) -> bool:
    """Say whether the pen would fit into the ink along a way."""
    return bool((depth_at(ink.radius, way) > ROOM * width / 2).all()) if len(way) else True


def _led_on(
    ink: Ink, ends: Sequence[End], pieces: Sequence[Piece], bodies: Sequence[Array], width: float
) -> tuple[list[tuple[float, int, int, Array]], dict[int, Array]]:
    """Return the ends (a, b, way) that meet in a corner out of sight, and for others the points to a line."""
    lines = [piece.points for piece in pieces] + list(bodies)
    points = np.concatenate(lines)
    owner = np.repeat(np.arange(len(lines)), [len(line) for line in lines])
    corners, hits = [], {}
    reach = {}
    for k, end in enumerate(ends):
        near = np.flatnonzero(np.abs(points - end.place).max(axis=1) < (AHEAD + 0.5) * width)
        gap = points[near] - end.place
        ahead = gap @ end.heading
        aside = np.abs(gap[:, 0] * end.heading[1] - gap[:, 1] * end.heading[0])
        own = owner[near] == end.piece
        good = (ahead > (np.where(own, 1.0, 0.0) * width)) & (ahead < AHEAD * width) & (aside < 0.75)
        if not good.any():
            continue
        first = near[good][np.argmin(ahead[good])]
        reach[k] = float((points[first] - end.place) @ end.heading)
        way = _line(end.place, points[first])
        if _has_room(ink, way, width):
            hits[k] = np.concatenate([way, points[first][None]])
    for a, one in enumerate(ends):
        for b in range(a + 1, len(ends)):
            other = ends[b]
            gap = other.place - one.place
            if np.hypot(*gap) > AHEAD * width or one.piece == other.piece:
                continue
            u, v = one.heading, other.heading
            cross = u[0] * v[1] - u[1] * v[0]
            if abs(cross) < 0.2:
                continue
            s = (gap[0] * v[1] - gap[1] * v[0]) / cross
            t = (gap[0] * u[1] - gap[1] * u[0]) / cross
            if min(s, t) < -0.3 * width or max(s, t) > 2.5 * width:
                continue
            if s > reach.get(a, np.inf) - 0.3 * width or t > reach.get(b, np.inf) - 0.3 * width:
                continue
            corner = one.place + s * u
            way = np.concatenate([_line(one.place, corner), corner[None], _line(corner, other.place)])
            if _has_room(ink, way, width):
                corners.append((s + t, a, b, way))
    return sorted(corners, key=lambda c: c[0]), hits


def _chained(
    pieces: Sequence[Piece],
    partner: dict[tuple[int, int], tuple[int, int]],
    ways: dict[tuple[int, int], Array],
    tails: dict[tuple[int, int], Array],
) -> list[Piece]:
    """Return the pieces, those joined made one."""
    done: set[int] = set()
    whole = []
    for k in range(len(pieces)):
        if k in done:
            continue
        at = (k, 0)
        seen = {k}
        while (before := partner.get(at)) is not None and before[0] not in seen:
            seen.add(before[0])
            at = (before[0], 1 - before[1])
        first = at
        parts = [tails[at][::-1]] if at in tails else []
        while True:
            done.add(at[0])
            piece = pieces[at[0]]
            parts.append(piece.points if at[1] == 0 else piece.points[::-1])
            last = (at[0], 1 - at[1])
            onward = partner.get(last)
            if onward is None or onward[0] in done:
                break
            parts.append(ways[last] if last in ways else ways[onward][::-1])
            at = onward
        if last in tails:
            parts.append(tails[last])
        ends = [(pieces[p].start, pieces[p].end)[s] for p, s in (first, last)]
        ends = [ON_LINE if e in tails else end for e, end in zip((first, last), ends, strict=True)]
        whole.append(Piece(ends[0], ends[1], np.concatenate(parts)))
    return whole
