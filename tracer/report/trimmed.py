"""Lines that end at a solid left standing: cut short, so that their round ends do not bite into it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.polyline import arc_lengths
from tracer.model.drawing import Joint, Stroke

Array = NDArray[np.float64]

FARTHEST = 3.0
"""Half grooves along a line that may be cut off; what lies deeper in a solid was drawn there on purpose."""

_LOOKS = 128
"""Places on a cubic at which its distance from a solid is taken."""


@dataclass(frozen=True, eq=False)
class Standing:
    """A solid that stays: a shapely area, wood mm, and half the width of the grooves that end there."""

    area: Any
    half: float


def trim_ends(
    strokes: Sequence[Stroke], joints: Sequence[Joint], solids: Sequence[Standing]
) -> tuple[tuple[Stroke, ...], tuple[Joint, ...]]:
    """Return the strokes with open lines ended half a groove before the solids that they run up to.

    And the joints, with places on the strokes as they now are. Wood frame, mm.
    """
    lines = [stroke for stroke in strokes if stroke.kind == "line" and not stroke.closed]
    near = _near(lines, solids)
    found = {s.number: _span(s, own) for s, own in zip(lines, near, strict=True) if own}
    spans = {s.number: found[s.number] for s in lines if found.get(s.number, _whole(s)) != _whole(s)}
    if not spans:
        return tuple(strokes), tuple(joints)
    cut = tuple(
        replace(s, curves=bezier.between(s.curves, *spans[s.number])) if s.number in spans else s
        for s in strokes
    )
    moved = [replace(joint, members=tuple(_moved(joint, spans))) for joint in joints]
    return cut, tuple(joint for joint in moved if len(joint.members) > 1)


def _near(lines: Sequence[Stroke], solids: Sequence[Standing]) -> list[list[Standing]]:
    """Return for each line the solids that one of its ends would bite into."""
    import shapely

    ends = [shapely.points([line.curves[k, k % 4] for line in lines]) for k in (0, -1)] if lines else []
    bitten = [
        np.any([shapely.distance(own, solid.area) < solid.half for own in ends], axis=0) for solid in solids
    ]
    return [[s for s, bites in zip(solids, bitten, strict=True) if bites[k]] for k in range(len(lines))]


def _whole(stroke: Stroke) -> tuple[float, float]:
    return 0.0, float(len(stroke.curves))


def _span(stroke: Stroke, solids: Sequence[Standing]) -> tuple[float, float]:
    """Return the places between which a line stays."""
    t = np.linspace(*_whole(stroke), _LOOKS * len(stroke.curves) + 1)
    points = bezier.points_at(stroke.curves, t)
    start, end = _whole(stroke)
    for solid in solids:
        start = max(start, _clear(points, t, solid))
        end = min(end, _clear(points[::-1], t[::-1], solid))
    return (start, end) if start < end else _whole(stroke)


def _clear(points: Array, t: Array, solid: Standing) -> float:
    """Return the first of places t (m,), of points (m, 2), half a groove off; t[0] where none near is."""
    import shapely

    if shapely.distance(shapely.Point(points[0]), solid.area) >= solid.half:
        return float(t[0])
    near = arc_lengths(points) <= FARTHEST * solid.half
    away = shapely.distance(shapely.points(points[near]), solid.area)
    clear = np.flatnonzero(away >= solid.half)
    if not len(clear):
        return float(t[0])
    k = int(clear[0])
    return float(np.interp(solid.half, away[[k - 1, k]], t[[k - 1, k]]))


def _moved(joint: Joint, spans: Mapping[int, tuple[float, float]]) -> list[tuple[int, float]]:
    """Return the members of a joint that are still there, at their places on what is left of the strokes."""
    members = []
    for number, t in joint.members:
        start, end = spans.get(number, (0.0, t))
        if start <= t <= end:
            members.append((number, _place(t, start, end) if number in spans else t))
    return members


def _place(t: float, start: float, end: float) -> float:
    """Return where place `t` of a chain is on the piece of it from `start` to `end`; see `bezier.between`."""
    first, last = np.floor(start), np.ceil(end) - 1
    index = np.floor(t)
    low = start - first if index == first else 0.0
    high = end - last if index == last else 1.0
    return float(index - first + (t - index - low) / (high - low))
