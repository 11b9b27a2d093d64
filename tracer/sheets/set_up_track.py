"""What the stylus follows in one set-up: its runs, and of each stroke the stretches that they need."""

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.flatten import flatten
from tracer.model.plan import Leg, Plan, SetUp
from tracer.sheets.track import FLAT, Line, Track

Array = NDArray[np.float64]

_SAME = 1e-6
"""Of a stroke's places: closer ones are one."""


def track_in(plan: Plan, whole: Track, set_up: SetUp) -> Track:
    """Return what of a plan's `whole` track is followed in a set-up, template mm.

    A stroke that is cut in part gives a line for each stretch, and each is open.
    """
    numbers = set(set_up.runs)
    legs: dict[int, list[Leg]] = {}
    for run in plan.runs:
        if run.number in numbers:
            for leg in run.legs:
                legs.setdefault(leg.stroke, []).append(leg)
    lines = [part for line in whole.lines for part in _parts(line, legs.get(line.number, []))]
    return Track(tuple(lines), tuple(way for way in whole.ways if way.number in numbers))


def _parts(line: Line, legs: list[Leg]) -> list[Line]:
    """Return the stretches of one line that legs follow: itself where they follow all of it."""
    if line.dot and legs:
        return [line]
    stretches = _merged(_places(line, legs))
    if sum(end - start for start, end in stretches) > len(line.curves) - _SAME:
        return [line]
    return [_part(line, start, end) for start, end in stretches]


def _places(line: Line, legs: list[Leg]) -> list[tuple[float, float]]:
    """Return from where to where legs go, upwards and within 0..count; over a closed line's seam in two."""
    found, count = [], len(line.curves)
    for leg in legs:
        start, end = sorted((leg.start, leg.end))
        if end - start > count - _SAME:
            return [(0.0, float(count))]
        turns = np.floor(start / count + _SAME) * count if line.closed else 0.0
        start, end = max(0.0, start - turns), end - turns
        found.append((start, min(end, float(count))))
        if line.closed and end > count:
            found.append((0.0, end - count))
    return [(start, end) for start, end in found if end - start > _SAME]


def _merged(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return stretches joined where they meet, in order."""
    joined: list[tuple[float, float]] = []
    for start, end in sorted(stretches):
        if joined and start <= joined[-1][1] + _SAME:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return joined


def _part(line: Line, start: float, end: float) -> Line:
    """Return the stretch of a line between two places on its chain."""
    curves = bezier.between(line.curves, start, end)
    return Line(
        number=line.number,
        curves=curves,
        closed=False,
        dot=False,
        band=line.band,
        points=flatten(curves, FLAT),
        stop=line.stop,
    )
