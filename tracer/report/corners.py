"""Sharp corners that the round bit leaves blunt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.model.drawing import Joint, Stroke

Array = NDArray[np.float64]
Index = NDArray[np.intp]

VISIBLE = 0.5
"""mm on the wood; less is not seen at arm's length (our own choice)."""

_CORNER = np.radians(30.0)
"""Turn from which a break of direction ends a side of the figure, for the lengths of its sides."""

SHARPEST = np.radians(11.5)
"""Sharper corners of lines are two that run together, with no point: mitres are cut off there where pictures
are drawn (limit of 10 line widths, PostScript Language Reference). Those of edges are taken to be so sharp.
"""


@dataclass(frozen=True)
class Corner:
    """A sharp corner whose point the groove's round end does not reach.

    Attributes
    ----------
    strokes : that it is a corner of: one, or the two that end in it.
    where : its vertex on the middle line, wood mm.
    angle : between its two sides, radians.
    groove, drawn : widths there, mm; `drawn` 0 for an edge.
    side : length of its shorter side, mm.
    lost : how much blunter than drawn, mm.
    """

    strokes: tuple[int, ...]
    where: tuple[float, float]
    angle: float
    groove: float
    drawn: float
    side: float
    lost: float


def short_of_point(width: Array | float, angle: Array | float) -> Array:
    """Return how far a round line `width` (mm) wide ends short of the mitred point of a corner, mm.

    w/2 (1 / sin(angle / 2) - 1) [D]; `angle` between the two sides, radians.
    """
    short: Array = np.asarray(width) / 2 * (1 / np.sin(np.asarray(angle) / 2) - 1)
    return short


def blunter(groove: Array | float, drawn: Array, angle: Array) -> Array:
    """Return how much further a corner of the groove ends from its point than one of the drawn line, mm."""
    return short_of_point(np.maximum(groove - drawn, 0.0), np.maximum(angle, SHARPEST))


def find_corners(
    strokes: Sequence[Stroke],
    joints: Sequence[Joint],
    grooves: Mapping[int, float],
    *,
    visible: float = VISIBLE,
) -> tuple[Corner, ...]:
    """Return the corners that come out blunter than drawn by more than `visible` mm, the worst first.

    A corner is a break of direction within a stroke, or a joint where two strokes end and
    nothing else passes. The groove is compared with the line as drawn with a round pen of the
    drawn width: such a line ends short of the point, too, and only what the groove lacks beyond
    that is lost. An edge is as sharp as can be, so that all is lost there. Nothing is lost
    where the groove is no wider than the line, nor in strokes without a drawn width other than
    edges (single-stroke letters), where the groove itself is the line. No more can be lost than
    the corner's shorter side is long. Within a line's width of a busy joint no corner is looked for:
    other grooves lie round its point.

    Parameters
    ----------
    strokes : wood mm.
    joints : of which those are looked at whose strokes are all among `strokes`.
    grooves : width of each stroke's groove, mm.
    """
    able = [s for s in strokes if s.kind != "dot" and (s.kind == "edge" or s.width)]
    if not able:
        return ()
    arms = _arms(able)
    pairs = np.concatenate([arms.breaks, _meetings(able, joints, arms)])
    angle = arms.angles(pairs)
    owner = arms.owner[pairs // 2]
    groove = np.array([grooves[stroke.number] for stroke in able])[owner].max(axis=1)
    drawn = np.array([_drawn(stroke) for stroke in able])[owner].max(axis=1)
    side = arms.sides[pairs].min(axis=1)
    lost = np.minimum(blunter(groove, drawn, angle), side)
    lost[(drawn > 0) & (angle < SHARPEST)] = 0.0
    vertex, busy = arms.vertex[pairs[:, 0]], busy_joints(able, joints)
    seen = np.flatnonzero(lost > visible)
    found = [
        Corner(
            strokes=tuple(sorted({able[index].number for index in owner[k]})),
            where=(float(vertex[k, 0]), float(vertex[k, 1])),
            angle=float(angle[k]),
            groove=float(groove[k]),
            drawn=float(drawn[k]),
            side=float(side[k]),
            lost=float(lost[k]),
        )
        for k in seen[away_from(busy, vertex[seen], drawn[seen])]
    ]
    return tuple(sorted(found, key=lambda corner: (-corner.lost, corner.strokes, corner.where)))


def busy_joints(strokes: Sequence[Stroke], joints: Sequence[Joint]) -> Array:
    """Return the joints (m, 2), wood mm, from which the `strokes` leave in three directions or more."""
    ends = {stroke.number: (-1,) if stroke.closed else (0, len(stroke.curves)) for stroke in strokes}
    busy = [
        joint.point
        for joint in joints
        if sum(1 if t in ends[number] else 2 for number, t in joint.members if number in ends) > 2
    ]
    return np.array(busy).reshape(-1, 2)


def away_from(busy: Array, points: Array, reach: Array) -> NDArray[np.bool_]:
    """Return which of the `points` (n, 2) are further than their `reach` (n,) from all `busy` (m, 2)."""
    gap = points[:, None] - busy[None]
    away: NDArray[np.bool_] = np.all(np.hypot(gap[..., 0], gap[..., 1]) > reach[:, None], axis=1)
    return away


def _drawn(stroke: Stroke) -> float:
    return 0.0 if stroke.kind == "edge" else stroke.width or 0.0


@dataclass(frozen=True, eq=False)
class _Arms:
    """The ends of all cubics, seen from the vertex they leave: 2 i the start of cubic i, 2 i + 1 its end.

    `vertex`, `leaves` (2 n, 2) its place and the unit direction away from it; `sides` (2 n,) how
    far it is that way to the next corner or end; `owner` (n,) the stroke of each cubic;
    `first` (k,) the first cubic of each stroke, and n; `breaks` (m, 2) the pairs of arms within strokes.
    """

    vertex: Array
    leaves: Array
    sides: Array
    owner: Index
    first: Index
    breaks: Index

    def angles(self, pairs: Index) -> Array:
        """Return the angle (m,) between the two arms of each pair (m, 2)."""
        return _angles(self.leaves, pairs)


def _angles(leaves: Array, pairs: Index) -> Array:
    (ax, ay), (bx, by) = leaves[pairs[:, 0]].T, leaves[pairs[:, 1]].T
    angle: Array = np.abs(np.arctan2(ax * by - ay * bx, ax * bx + ay * by))
    return angle


def _arms(strokes: Sequence[Stroke]) -> _Arms:
    curves = np.concatenate([stroke.curves for stroke in strokes])
    count = [len(stroke.curves) for stroke in strokes]
    first = np.concatenate([[0], np.cumsum(count)]).astype(np.intp)
    closed = np.array([stroke.closed for stroke in strokes])
    cubic = np.arange(len(curves))
    follows = cubic + 1
    follows[first[1:] - 1] = np.where(closed, first[:-1], -1)
    breaks = np.column_stack([2 * cubic + 1, 2 * follows])[follows >= 0]
    vertex = curves[:, [0, 3]].reshape(-1, 2)
    leaves = np.stack([_away(curves), _away(curves[:, ::-1])], axis=1).reshape(-1, 2)
    owner = np.repeat(np.arange(len(strokes)), count)
    sharp = breaks[_angles(leaves, breaks) < np.pi - _CORNER]
    sides = _sides(curves, first, closed, sharp[:, 1] // 2)
    return _Arms(vertex, leaves, sides, owner, first, breaks)


def _away(curves: Array) -> Array:
    """Return the unit direction (n, 2) in which each cubic leaves its start: to the first handle off it."""
    reach = curves[:, 1:] - curves[:, :1]
    size = np.hypot(reach[..., 0], reach[..., 1])
    off = size > 1e-6 * size.max(axis=1, keepdims=True)
    pick = off.argmax(axis=1)
    row = np.arange(len(curves))
    away: Array = reach[row, pick] / np.maximum(size[row, pick], 1e-300)[:, None]
    return away


def _sides(curves: Array, first: Index, closed: NDArray[np.bool_], sharp: Index) -> Array:
    """Return how far it is from each arm's vertex along it to the next corner or end (2 n,), by chords.

    `sharp` are the cubics that begin at a corner; a side goes on over the seam of a closed stroke.
    """
    chord = np.hypot(*(curves[:, 3] - curves[:, 0]).T)
    along = np.concatenate([[0.0], np.cumsum(chord)])
    stops = np.union1d(first, sharp)
    cubic = np.arange(len(curves))
    low = stops[np.searchsorted(stops, cubic, side="right") - 1]
    high = stops[np.searchsorted(stops, cubic, side="right")]
    ahead, back = along[high] - along[cubic], along[cubic + 1] - along[low]
    start, end = first[:-1], first[1:]
    seamless = closed & ~np.isin(start, sharp)
    owner = np.repeat(np.arange(len(start)), end - start)
    over = seamless[owner]
    ahead_on = np.where(over & (high == end[owner]), ahead[start][owner], 0.0)
    back_on = np.where(over & (low == start[owner]), back[end - 1][owner], 0.0)
    return np.column_stack([ahead + ahead_on, back + back_on]).ravel()


def _meetings(strokes: Sequence[Stroke], joints: Sequence[Joint], arms: _Arms) -> Index:
    """Return the pairs of arms (m, 2) that end in joints where nothing else passes."""
    index = {stroke.number: k for k, stroke in enumerate(strokes)}
    pairs = [
        [_arm(strokes, index, arms, member) for member in joint.members]
        for joint in joints
        if len(joint.members) == 2
    ]
    return np.array([pair for pair in pairs if None not in pair], np.intp).reshape(-1, 2)


def _arm(
    strokes: Sequence[Stroke], index: Mapping[int, int], arms: _Arms, member: tuple[int, float]
) -> int | None:
    """Return the arm of an open stroke that ends at a place, None where the place is no end."""
    number, t = member
    k = index.get(number)
    if k is None or strokes[k].closed or t not in (0, len(strokes[k].curves)):
        return None
    return int(2 * arms.first[k] if t == 0 else 2 * arms.first[k + 1] - 1)
