"""What the stylus follows, on the template: lines, bands, runs and the marks along them. Template mm."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.geometry.flatten import flatten
from tracer.geometry.polyline import arc_lengths, at
from tracer.model.plan import Leg, Plan

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]

FLAT = 0.05
"""mm on paper within which lines are straightened for marks and free places; the track itself is not."""

_FIRST, _EVERY, _SHORTEST = 8.0, 70.0, 5.0
"""mm from a leg's beginning to its first arrow, from arrow to arrow, and the shortest leg that gets one."""

_BESIDE = 1.4
"""mm from the line to the dashes that say that it is followed again."""


@dataclass(frozen=True, eq=False)
class Line:
    """One stroke that is cut: chain (n, 4, 2), points (m, 2) along it, `band` its groove's width on paper."""

    number: int
    curves: Array
    closed: bool
    dot: bool
    band: float
    points: Array
    stop: int

    @property
    def box(self) -> Box:
        """Extent (x0, y0, x1, y1) with the band."""
        x0, y0 = self.points.min(axis=0) - self.band / 2
        x1, y1 = self.points.max(axis=0) + self.band / 2
        return float(x0), float(y0), float(x1), float(y1)


@dataclass(frozen=True, eq=False)
class Way:
    """One run as marked on paper.

    Attributes
    ----------
    number : the run's; `stop` its depth stop.
    start, end : where the bit goes down and where it comes up (2,).
    again : polylines (m, 2) beside the line where it is followed a second time.
    hops : polylines (m, 2) from groove to groove, over wood that is gone: no line is there.
    arrows : (k, 4) places x, y and unit directions.
    """

    number: int
    start: Array
    end: Array
    again: tuple[Array, ...]
    hops: tuple[Array, ...]
    arrows: Array
    stop: int


@dataclass(frozen=True, eq=False)
class Track:
    """All lines and ways of a plan on the template."""

    lines: tuple[Line, ...]
    ways: tuple[Way, ...]

    @cached_property
    def extent(self) -> Box:
        """Extent (x0, y0, x1, y1) of the bands, all zero where nothing is cut."""
        if not self.lines:
            return 0.0, 0.0, 0.0, 0.0
        boxes = np.array([line.box for line in self.lines])
        (x0, y0), (x1, y1) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    @cached_property
    def points(self) -> Array:
        """Points (m, 2) at most 0.6 mm apart along all lines, for finding what is free."""
        return np.concatenate([_dense(line.points) for line in self.lines] or [np.empty((0, 2))])

    @cached_property
    def band(self) -> float:
        """Widest band."""
        return max((line.band for line in self.lines), default=0.0)


def track_of(plan: Plan) -> Track:
    """Return the track of the strokes that are cut, and the ways of the runs."""
    matrix = plan.to_template
    grooves = {groove.stroke: groove for groove in plan.grooves}
    lines = []
    for stroke in plan.cut:
        curves = affine.apply(matrix, stroke.curves)
        groove, points = grooves[stroke.number], flatten(curves, FLAT)
        lines.append(
            Line(
                number=stroke.number,
                curves=curves,
                closed=stroke.closed,
                dot=stroke.kind == "dot",
                band=groove.width / plan.job.ratio,
                points=points,
                stop=groove.stop,
            )
        )
    ways = []
    for run in plan.runs:
        ends = affine.apply(matrix, np.array([run.start, run.end]))
        legs = [_leg(leg, matrix) for leg in run.legs]
        again, hops = (
            tuple(
                points
                for (points, _), leg in zip(legs, run.legs, strict=True)
                if leg.retraced and _hop(leg) is hop
            )
            for hop in (False, True)
        )
        arrows = np.concatenate([arrows for _, arrows in legs])
        ways.append(Way(run.number, ends[0], ends[1], again, hops, arrows, run.stop))
    return Track(tuple(lines), tuple(ways))


def _hop(leg: Leg) -> bool:
    """Say whether a leg is a passage from one groove into the next: at one place of its stroke."""
    return leg.retraced and leg.start == leg.end


def _leg(leg: Leg, matrix: Array) -> tuple[Array, Array]:
    """Return the polyline along which a leg's marks stand, and its arrows (k, 4).

    They stand beside a groove that is followed again, but right on a hop: no line is there.
    """
    points = flatten(affine.apply(matrix, leg.curves), FLAT)
    if leg.retraced and not _hop(leg):
        points = _beside(points, _BESIDE)
    along = arc_lengths(points)
    total = along[-1]
    if total < _SHORTEST:
        return points, np.empty((0, 4))
    first = min(_FIRST, total / 2)
    count = 1 + max(0, int((total - first - _FIRST) // _EVERY))
    places = first + np.arange(count) * _EVERY
    ahead = at(points, along, np.minimum(places + 0.5, total)) - at(points, along, places - 0.5)
    size = np.maximum(np.hypot(ahead[:, 0], ahead[:, 1]), 1e-9)
    return points, np.column_stack([at(points, along, places), ahead / size[:, None]])


def _beside(points: Array, distance: float) -> Array:
    """Return the polyline shifted to the right of travel (y down), without care for tight inside bends."""
    if len(points) < 2:
        return points
    ahead = np.gradient(points, axis=0)
    size = np.maximum(np.hypot(ahead[:, 0], ahead[:, 1]), 1e-9)
    shifted: Array = points + np.column_stack([-ahead[:, 1], ahead[:, 0]]) / size[:, None] * distance
    return shifted


def _dense(points: Array) -> Array:
    """Return points at most 0.6 mm apart along the polyline."""
    along = arc_lengths(points)
    return at(points, along, np.linspace(0.0, along[-1], 2 + int(along[-1] / 0.6)))
