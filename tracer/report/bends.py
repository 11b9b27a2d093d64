"""Bends so tight that the inside of the groove fills in."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.model.drawing import Stroke
from tracer.report.corners import SHARPEST, VISIBLE, away_from

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_NOWHERE = np.zeros((0, 2))

_PIECES = 10
"""Pieces that each cubic is cut into, each with a radius of its own."""

_MOST_TURN = np.radians(150.0)
"""Bends that turn further are two lines that come back beside each other: no mitre is looked for in them."""


@dataclass(frozen=True)
class Bend:
    """A bend whose radius is below half the groove, so that its inner edge folds.

    Attributes
    ----------
    stroke : its number.
    where : in the hollow of it, wood mm.
    radius : mean radius of the middle line over the bend, mm.
    turn : how far the line turns in it, radians.
    groove, drawn : widths, mm; `drawn` 0 where the stroke has none.
    lost : how much more of the inside is gone than as drawn, mm.
    """

    stroke: int
    where: tuple[float, float]
    radius: float
    turn: float
    groove: float
    drawn: float
    lost: float


@dataclass(frozen=True, eq=False)
class Course:
    """Strokes cut into short pieces, in their order; wood mm.

    Attributes
    ----------
    strokes : that the pieces are of.
    points : (m, 2) their middles.
    turn : (m,) how far each turns, radians, clockwise as seen on the wood positive.
    step : (m,) how long each is.
    owner : (m,) index of its stroke.
    """

    strokes: tuple[Stroke, ...]
    points: Array
    turn: Array
    step: Array
    owner: Index

    @cached_property
    def drawn(self) -> Array:
        """Drawn width of each stroke (k,), 0 where there is none."""
        return np.array([0.0 if s.kind == "edge" else s.width or 0.0 for s in self.strokes])

    def only(self, numbers: Collection[int]) -> "Course":
        """Return the course of some of the strokes."""
        keep = np.array([stroke.number in numbers for stroke in self.strokes], bool)
        piece = keep[self.owner]
        return replace(
            self,
            strokes=tuple(stroke for stroke in self.strokes if stroke.number in numbers),
            points=self.points[piece],
            turn=self.turn[piece],
            step=self.step[piece],
            owner=(np.cumsum(keep) - 1)[self.owner[piece]],
        )


def course_of(strokes: Sequence[Stroke]) -> Course:
    """Cut all strokes but dots into pieces."""
    lines = tuple(stroke for stroke in strokes if stroke.kind != "dot")
    if not lines:
        return Course((), np.zeros((0, 2)), np.zeros(0), np.zeros(0), np.zeros(0, np.intp))
    curves = np.concatenate([stroke.curves for stroke in lines])
    owner = np.repeat(np.arange(len(lines)), [len(stroke.curves) * _PIECES for stroke in lines])
    u = np.linspace(0.0, 1.0, 2 * _PIECES + 1)
    v = 1 - u
    weights = np.column_stack([v**3, 3 * v * v * u, 3 * v * u * u, u**3])
    points = weights @ curves
    inner = np.clip(u[::2], 1e-6, 1 - 1e-6)  # a handle may lie on its end
    slopes = np.column_stack([(1 - inner) ** 2, 2 * (1 - inner) * inner, inner**2]) @ np.diff(curves, axis=1)
    x, y = slopes[..., 0], slopes[..., 1]
    turn = np.arctan2(
        x[:, :-1] * y[:, 1:] - y[:, :-1] * x[:, 1:], x[:, :-1] * x[:, 1:] + y[:, :-1] * y[:, 1:]
    )
    chords = np.diff(points, axis=1)
    step = np.hypot(chords[..., 0], chords[..., 1]).reshape(len(curves), _PIECES, 2).sum(axis=2)
    return Course(lines, points[:, 1::2].reshape(-1, 2), turn.ravel(), step.ravel(), owner)


def folded(width: Array | float, turn: Array | float, length: Array | float) -> Array:
    """Return how far the inner corner of a line's edge stands back from where the bend would have it, mm.

    Where a line `width` wide turns by `turn` radians within `length` mm, its radius r is
    length / turn; below half the width its inner edge is no curve but a corner, where the
    edges of what comes before and after meet, (width / 2 - r) (1 / cos(turn / 2) - 1) further
    in than a parallel of the bend [D]; nothing above. At r = 0 it is what a sharp corner falls
    short of its point.
    """
    capped = np.clip(turn, 1e-9, _MOST_TURN)
    over = np.maximum(np.asarray(width) / 2 * turn - length, 0.0)
    back: Array = over * (1 / np.cos(capped / 2) - 1) / capped
    return back


def find_bends(
    course: Course, grooves: Mapping[int, float], busy: Array = _NOWHERE, *, visible: float = VISIBLE
) -> tuple[Bend, ...]:
    """Return the bends whose inside fills in by more than `visible` mm beyond what is drawn, the worst first.

    A bend is a stretch of one stroke that turns one way with a radius below half the groove.
    The line as drawn folds likewise where its radius is below half the drawn width, and is
    counted against the groove; where it turns right back on itself it has no inside at all.
    Breaks of direction are corners and no bends; closed strokes that are one bend all round have
    no inside left, and are no bends either. No more can be lost than the stroke goes on to
    either side. Within a line's width of a busy joint no bend is looked for: other grooves lie there.

    Parameters
    ----------
    grooves : width of each stroke's groove, mm.
    busy : (m, 2) joints at which more than two ways meet, wood mm.
    """
    groove = np.array([grooves[stroke.number] for stroke in course.strokes])
    tight = np.flatnonzero(np.abs(course.turn) * groove[course.owner] / 2 > course.step)
    if not len(tight):
        return ()
    bend, room = _stretches(tight, course)
    tight, bend = tight[bend >= 0], bend[bend >= 0]
    turn, step, owner = np.abs(course.turn[tight]), course.step[tight], course.owner[tight]
    as_drawn = turn * course.drawn[owner] / 2 > step

    def total(share: Array) -> Array:
        return np.bincount(bend, share, minlength=len(room)).astype(np.float64)

    of = np.zeros(len(room), np.intp)
    of[bend] = owner
    angle, length = total(turn), total(step)
    beyond = folded(course.drawn[of], total(turn * as_drawn), total(step * as_drawn))
    lost = np.minimum(folded(groove[of], angle, length) - beyond, room)
    lost[total(turn * as_drawn) > np.pi - SHARPEST] = 0.0
    hollow = np.column_stack([total(turn * column) for column in course.points[tight].T])
    seen = np.flatnonzero(lost > visible)
    hollow = hollow[seen] / angle[seen, None]
    found = [
        Bend(
            stroke=course.strokes[of[k]].number,
            where=(x, y),
            radius=float(length[k] / angle[k]),
            turn=float(angle[k]),
            groove=float(groove[of[k]]),
            drawn=float(course.drawn[of[k]]),
            lost=float(lost[k]),
        )
        for k, (x, y), away in zip(
            seen, hollow.tolist(), away_from(busy, hollow, course.drawn[of[seen]]), strict=True
        )
        if away
    ]
    return tuple(sorted(found, key=lambda bend: (-bend.lost, bend.stroke, bend.where)))


def _stretches(tight: Index, course: Course) -> tuple[Index, Array]:
    """Return which bend each tight piece (m,) belongs to, -1 for none, and the room (k,) of each bend in mm.

    The room is how far the stroke goes from its nearer end to the bend's far end.
    """
    owner, way = course.owner[tight], np.sign(course.turn[tight])
    new = (np.diff(tight, prepend=-2) != 1) | (np.diff(owner, prepend=-1) != 0)
    new |= np.diff(way, prepend=0.0) != 0
    bend = np.cumsum(new) - 1
    first, last = np.flatnonzero(new), np.flatnonzero(np.append(new[1:], True))
    ends = np.searchsorted(course.owner, np.arange(len(course.strokes) + 1))
    along = np.concatenate([[0.0], np.cumsum(course.step)])
    of = owner[first]
    start, end = ends[of], ends[of + 1]
    room = np.minimum(along[tight[last] + 1] - along[start], along[end] - along[tight[first]])
    closed = np.array([stroke.closed for stroke in course.strokes])[of]
    room = np.where(closed, along[end] - along[start], room)
    at_start, at_end = closed & (tight[first] == start), closed & (tight[last] + 1 == end)
    for k in np.flatnonzero(at_start):
        over = np.flatnonzero(at_end & (of == of[k]))  # the bend that goes on over the seam
        if len(over) and over[0] == k:
            bend[bend == k] = -1
        elif len(over) and way[first[over[0]]] == way[first[k]]:
            bend[bend == k] = over[0]
    return bend, room
