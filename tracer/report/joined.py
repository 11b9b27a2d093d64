"""Ends that the user joins: a smooth stroke from one to the other, met there and wherever it crosses."""

import math
from collections.abc import Sequence, Set
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.acts import End, Join
from tracer.errors import JobError
from tracer.geometry import bezier
from tracer.geometry.joints import find_joints
from tracer.model.drawing import Joint, Stroke

Array = NDArray[np.float64]

NEAR = 0.1
"""mm; what comes within this of a place on the wood meets there: a groove hides the rest."""


def join_ends(
    strokes: Sequence[Stroke], joints: Sequence[Joint], joins: Sequence[Join]
) -> tuple[tuple[Stroke, ...], tuple[Joint, ...]]:
    """Return the strokes with one more for each join, and the joints with those that they make.

    The new strokes leave both ends in the directions these have, straight where they face each
    other, and taper from one drawn width to the other; they are numbered after all others, in
    the order of `joins`. Wood frame, mm.

    Raises
    ------
    JobError
        Where a stroke has no ends, or the two ends are one place. All strokes must be known.
    """
    if not joins:
        return tuple(strokes), tuple(joints)
    by_number = {stroke.number: stroke for stroke in strokes}
    first = max(by_number) + 1
    new = [_bridge(join, by_number, first + k) for k, join in enumerate(joins)]
    met = list(joints)
    for join, bridge in zip(joins, new, strict=True):
        for stroke, end, t in ((join.a, join.a_end, 0.0), (join.b, join.b_end, 1.0)):
            point = bridge.curves[0, 0] if t == 0 else bridge.curves[-1, 3]
            _meet(met, point, ((stroke, _place(by_number[stroke], end)), (bridge.number, t)))
    everything = (*strokes, *new)
    meet_where_crossed(met, everything, {stroke.number for stroke in new})
    return everything, tuple(met)


def _place(stroke: Stroke, end: End) -> float:
    return 0.0 if end == "start" else float(len(stroke.curves))


def _bridge(join: Join, by_number: dict[int, Stroke], number: int) -> Stroke:
    """Return the stroke that joins two ends.

    Its handles are those of an arc where both tangents are one arc's: chord / (3 cos^2(turn / 4)).
    """
    a, b = by_number[join.a], by_number[join.b]
    (p, out), (q, back) = _leaving(a, join.a_end), _leaving(b, join.b_end)
    chord = math.dist(p, q)
    if chord < NEAR:
        raise JobError(
            f"the {join.a_end} of stroke {join.a} and the {join.b_end} of stroke {join.b} are one place "
            "already: take them out of `join`"
        )
    into = -back
    turn = math.atan2(out[0] * into[1] - out[1] * into[0], float(out @ into))
    handle = chord / (3 * math.cos(turn / 4) ** 2)
    widths = [stroke.width for stroke in (a, b) if stroke.width is not None]
    return Stroke(
        number=number,
        curves=np.array([[p, p + handle * out, q - handle * into, q]]),
        closed=False,
        kind="line",
        widths=np.array(widths) if widths else None,
    )


def _leaving(stroke: Stroke, end: End) -> tuple[Array, Array]:
    """Return the point (2,) of an end, and the unit vector (2,) in which the stroke would go on."""
    if stroke.closed or stroke.kind == "dot":
        what = "a dot" if stroke.kind == "dot" else "closed"
        raise JobError(f"stroke {stroke.number} is {what} and has no ends: take it out of `join`")
    place = np.array([_place(stroke, end)])
    tangent = bezier.tangents_at(stroke.curves, place)[0]
    return bezier.points_at(stroke.curves, place)[0], tangent if end == "end" else -tangent


def _meet(joints: list[Joint], point: Array, members: Sequence[tuple[int, float]]) -> None:
    """Make a joint of the members, or of a joint that is there already a larger one."""
    for k, joint in enumerate(joints):
        if math.dist(joint.point, point) <= NEAR or _shared(joint, members):
            known = {number for number, _ in joint.members}
            more = [member for member in members if member[0] not in known]
            joints[k] = replace(joint, members=(*joint.members, *more))
            return
    joints.append(Joint(point, tuple(members)))


def _shared(joint: Joint, members: Sequence[tuple[int, float]]) -> bool:
    return any(n == m and abs(t - u) < 1e-6 for n, t in joint.members for m, u in members)


def meet_where_crossed(joints: list[Joint], strokes: Sequence[Stroke], new: Set[int]) -> None:
    """Add to `joints` those where the strokes with numbers `new` pass over others; wood mm."""
    chains = [(stroke.curves, stroke.closed) for stroke in strokes]
    for meeting in find_joints(chains, NEAR):
        members = [(strokes[index].number, t) for index, t in meeting.members]
        passing = [strokes[index] for index, t in meeting.members if _within(strokes[index], t)]
        if any(stroke.number in new for stroke in passing):
            _meet(joints, np.array(meeting.point), members)


def _within(stroke: Stroke, t: float) -> bool:
    """Say whether a place is not an end of its stroke."""
    return stroke.closed or 0 < t < len(stroke.curves)
