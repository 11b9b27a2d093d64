"""Lines led on through ink where no edge is in sight."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.polyline import arc_lengths
from tracer.model.ink import Ink
from tracer.vector.arms import Arms
from tracer.vector.prune import depth_at
from tracer.vector.samples import SPACING
from tracer.vector.stretches import NOTCH
from tracer.vector.strings import End, Joint, Strings
from tracer.vector.visible import ALONE, Piece

Array = NDArray[np.float64]
Index = NDArray[np.intp]

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

MEETS = 0.75
"""Ink pixels within which an end led on comes to a line's points, which are a pixel apart."""

BY = 0.3
"""Line widths that ends may lie beside or beyond one another where they meet."""

HEADED = 0.15, 1.4
"""Line widths from a notch between which a line's heading is taken: nearer its edge gives way a little."""

TURNED = 0.3
"""Ink pixels by which a line comes back nearer to its end behind a tip."""

PARALLEL = 0.2
"""Sine of the angle below which two directions hardly cross."""


def joined(
    ink: Ink, arms: Arms, pieces: Sequence[Piece], bodies: Sequence[Array], width: float
) -> list[Piece]:
    """Return the pieces joined across ink without edges, and their ends led on to lines.

    Ends that go on straightest are joined first; what is left may bend more, then ends meet in a
    corner that comes before any line, and at last they end on the line ahead of them.
    """
    ends = [
        _end(arms, pieces, k, side, width)
        for k, piece in enumerate(pieces)
        for side in (0, 1)
        if (piece.start, piece.end)[side] == NOTCH
    ]
    strings = Strings(pieces)
    for most in (BEND, ROUND):
        strings.join(_straight(ink, ends, width, most))
        ends = [end for end in ends if strings.ends_at(end)]
    strings.drop({k for k, piece in enumerate(pieces) if _is_scrap(piece, width)})
    ends = [end for end in ends if end.piece not in strings.dropped]
    lines = [
        *(np.zeros((0, 2)) if k in strings.dropped else p.points for k, p in enumerate(pieces)),
        *bodies,
        *strings.ways.values(),
    ]
    owner = np.repeat(np.arange(len(lines)), list(map(len, lines)))
    hits, met = _hits(ends, np.concatenate(lines), owner, width)
    strings.join(_corners(ink, ends, hits, met, width))
    for end, place in zip(ends, hits, strict=True):
        way = between(end.place, place)
        if np.isfinite(place).all() and strings.ends_at(end) and _has_room(ink, way, width):
            strings.tails[end.piece, end.side] = np.concatenate([way, place[None]])
    return strings.whole()


def _is_scrap(piece: Piece, width: float) -> bool:
    """Say whether a piece is too short to be a line by itself."""
    return piece.start == piece.end == NOTCH and arc_lengths(piece.points)[-1] < ALONE * width


def _end(arms: Arms, pieces: Sequence[Piece], k: int, side: int, width: float) -> End:
    """Return an end with the heading of the line up to it."""
    piece = pieces[k]
    points = piece.points if side == 1 else piece.points[::-1]
    other = (piece.start, piece.end)[1 - side]
    if other >= 0 and len(points) < 1.5 * width:
        points = np.concatenate([arms.outward[other][::-1], points])
    back = points[::-1]
    far = np.hypot(*(back - back[0]).T)
    turned = far < np.maximum.accumulate(far) - TURNED
    upto = int(np.argmax((far > HEADED[1] * width) | turned)) or len(back)
    near = back[:upto][far[:upto] > HEADED[0] * width]
    near = near if len(near) > 2 else back
    if len(near) < 3:
        return End(k, side, back[0], arms.start.headings[other])
    middle = near - near.mean(axis=0)
    direction = np.linalg.svd(middle, full_matrices=False)[2][0]
    if direction @ (near[0] - near[-1]) < 0:
        direction = -direction
    return End(k, side, back[0], direction)


def _pairs(ends: Sequence[End], reach: float) -> list[tuple[End, End]]:
    """Return the ends of different pieces within `reach` of one another."""
    from shapely import STRtree, points

    if not ends:
        return []
    places = points(np.array([end.place for end in ends]))
    i, j = STRtree(places).query(places, predicate="dwithin", distance=reach)
    found = ((ends[a], ends[b]) for a, b in sorted(zip(i.tolist(), j.tolist(), strict=True)) if a < b)
    return [(one, other) for one, other in found if one.piece != other.piece]


def _straight(ink: Ink, ends: Sequence[End], width: float, most: float) -> list[Joint]:
    """Return the joints of ends that may be one line that turns by `most` radians, the best first."""
    found = []
    for one, other in _pairs(ends, FAR * width):
        gap = other.place - one.place
        far = float(np.hypot(*gap))
        bend = _angle(one.heading, -other.heading)
        if far > BY * width:
            bend = max(_angle(one.heading, gap / far) + _angle(gap / far, -other.heading), bend)
        if bend < most and _has_room(ink, way := _way(one, other), width):
            found.append(Joint(bend / BEND + far / (FAR * width), one, other, way))
    return sorted(found, key=lambda joint: joint.price)


def _angle(u: Array, v: Array) -> float:
    """Return the angle between two unit vectors."""
    return float(np.arccos(np.clip(u @ v, -1, 1)))


def _crossing(one: End, other: End) -> tuple[float, float]:
    """Return how far ahead of two ends their directions cross, infinite where they hardly do."""
    gap, u, v = other.place - one.place, one.heading, other.heading
    cross = u[0] * v[1] - u[1] * v[0]
    if abs(cross) < PARALLEL:
        return np.inf, np.inf
    return float(gap[0] * v[1] - gap[1] * v[0]) / cross, float(gap[0] * u[1] - gap[1] * u[0]) / cross


def _by(one: End, other: End, corner: Array) -> Array:
    """Return the points between two ends by way of a corner."""
    return np.concatenate([between(one.place, corner), corner[None], between(corner, other.place)])


def _way(one: End, other: End) -> Array:
    """Return the points between two ends: by where their directions meet if that is between, else a cubic."""
    far = float(np.hypot(*(other.place - one.place)))
    s, t = _crossing(one, other)
    if s > 0 and t > 0 and s + t < 1.5 * far:
        return _by(one, other, one.place + s * one.heading)
    count = max(2, round(far / SPACING))
    p = (np.arange(1, count) / count)[:, None]
    q = 1 - p
    leave, arrive = far * one.heading, far * other.heading
    way: Array = q * q * ((1 + 2 * p) * one.place + p * leave)
    way += p * p * ((3 - 2 * p) * other.place + q * arrive)
    return way


def between(a: Array, b: Array) -> Array:
    """Return points between two places, about a sample apart."""
    if not np.isfinite(b).all():
        return np.zeros((0, 2))
    count = max(1, round(float(np.hypot(*(b - a))) / SPACING))
    return a + (np.arange(1, count) / count)[:, None] * (b - a)


def _has_room(ink: Ink, way: Array, width: float) -> bool:
    """Say whether the pen would fit into the ink along a way."""
    return bool((depth_at(ink.radius, way) > ROOM * width / 2).all()) if len(way) else True


def _hits(ends: Sequence[End], points: Array, owner: Index, width: float) -> tuple[Array, Index]:
    """Return where (e, 2) ends led straight on come to a line, and to which; nan and -1 where to none.

    `points` (m, 2) are those of all lines, `owner` the line of each; the first lines are the pieces.
    """
    from shapely import STRtree
    from shapely import points as places

    tree, found, met = STRtree(places(points)), np.full((len(ends), 2), np.nan), np.full(len(ends), -1)
    for k, end in enumerate(ends):
        near = tree.query(places(end.place), predicate="dwithin", distance=(AHEAD + 0.5) * width)
        gap = points[near] - end.place
        ahead = gap @ end.heading
        aside = np.abs(gap[:, 0] * end.heading[1] - gap[:, 1] * end.heading[0])
        least = np.where(owner[near] == end.piece, width, 0.0)
        good = (ahead > least) & (ahead < AHEAD * width) & (aside < MEETS)
        if good.any():
            first = near[good][ahead[good].argmin()]
            found[k], met[k] = points[first], owner[first]
    return found, met


def _corners(ink: Ink, ends: Sequence[End], hits: Array, met: Index, width: float) -> list[Joint]:
    """Return the joints of ends that meet in a corner before they come to another line, the nearest first."""
    reach = {
        (end.piece, end.side): (float(np.nan_to_num((hit - end.place) @ end.heading, nan=np.inf)), line)
        for end, hit, line in zip(ends, hits, met.tolist(), strict=True)
    }
    found = []
    for one, other in _pairs(ends, AHEAD * width):
        s, t = _crossing(one, other)
        behind = min(s, t) < -BY * width
        hit = False
        for d, end, to in ((s, one, other), (t, other, one)):
            far, line = reach[end.piece, end.side]
            hit |= line != to.piece and d > far - BY * width
        if behind or max(s, t) > AHEAD * width or hit:
            continue
        way = _by(one, other, one.place + s * one.heading)
        if _has_room(ink, way, width):
            found.append(Joint(s + t, one, other, way))
    return sorted(found, key=lambda joint: joint.price)
