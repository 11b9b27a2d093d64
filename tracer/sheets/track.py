"""What the stylus follows, on the template: lines, bands, runs and the marks along them. Template mm."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.geometry.flatten import flatten_all
from tracer.geometry.polyline import dense
from tracer.model.plan import Leg, Plan, Run
from tracer.sheets.arrows import arrows_along

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Box = tuple[float, float, float, float]

FLAT = 0.05
"""mm on paper within which lines are straightened for marks and free places; the track itself is not."""

_STEP = 0.6
"""mm between points of lines where places are looked for."""

DOT, RING = 1.3, 2.1
"""mm: radius of the dot where a run starts, and of the ring where the router is lifted."""

_LEAST_DOT, _APART = 0.5, 0.3
"""mm: radius of the smallest dot, and what is left free between two starts where it can be."""

_SAME = 0.05
"""mm within which two starts are one place: their dots lie on each other."""

_CLOSE = 0.5
"""mm within which starts of several depth stops would hide one another."""

_NESTED = (1.0, 2.8, 5.0)
"""mm: radii of the signs of starts in one place at several depth stops, each round the one before."""

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

    @cached_property
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
    dot : radius of the mark where it starts: smaller where another run starts beside it.
    open : the mark is an outline round that of another depth stop, which starts in the same place.
    """

    number: int
    start: Array
    end: Array
    again: tuple[Array, ...]
    hops: tuple[Array, ...]
    arrows: Array
    stop: int
    dot: float = DOT
    open: bool = False


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
        """Points (m, 2) at most `_STEP` apart along all lines, for finding what is free."""
        return dense([line.points for line in self.lines], _STEP)

    @cached_property
    def busy(self) -> Array:
        """Points (m, 2) at most `_STEP` apart along all lines, and the dashes and dots by them."""
        return np.concatenate([self.points, dense([points for points, _ in self.dashes[1]], _STEP)])

    @cached_property
    def dashes(self) -> tuple[Array, tuple[tuple[Array, bool], ...]]:
        """Extents (n, 4) of all of `again` and `hops`, and these polylines with whether they are hops."""
        lines = [(points, False) for way in self.ways for points in way.again]
        lines += [(points, True) for way in self.ways for points in way.hops]
        boxes = [np.concatenate([points.min(axis=0), points.max(axis=0)]) for points, _ in lines]
        return np.array(boxes).reshape(-1, 4), tuple(lines)

    @cached_property
    def arrows(self) -> Array:
        """All arrows (n, 4)."""
        return np.concatenate([np.empty((0, 4)), *(way.arrows for way in self.ways)])

    @cached_property
    def band(self) -> float:
        """Widest band."""
        return max((line.band for line in self.lines), default=0.0)


def track_of(plan: Plan) -> Track:
    """Return the track of the strokes that are cut, and the ways of the runs."""
    matrix = plan.to_template
    grooves = {groove.stroke: groove for groove in plan.grooves}
    lines = []
    chains = [affine.apply(matrix, stroke.curves) for stroke in plan.cut]
    for stroke, curves, points in zip(plan.cut, chains, flatten_all(chains, FLAT), strict=True):
        groove = grooves[stroke.number]
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
    return Track(tuple(lines), _ways(plan.runs, matrix))


def _ways(runs: Sequence[Run], matrix: Array) -> tuple[Way, ...]:
    """Return the marks of runs, their arrows clear of one another and of all starts and lifts."""
    chains = [affine.apply(matrix, leg.curves) for run in runs for leg in run.legs]
    flat = iter(flatten_all(chains, FLAT))
    legs = [[_leg(leg, next(flat)) for leg in run.legs] for run in runs]
    ends = affine.apply(matrix, np.array([(run.start, run.end) for run in runs]).reshape(-1, 2)).reshape(
        -1, 2, 2
    )
    levels = _levels(ends[:, 0], [run.stop for run in runs])
    dots = np.where(levels < 0, _dots(ends[:, 0]), np.array(_NESTED)[levels])
    circles = [np.column_stack([ends[:, 0], dots]), np.column_stack([ends[:, 1], np.full(len(ends), RING)])]
    arrows = iter(arrows_along([points for own in legs for points in own], np.concatenate(circles)))
    ways = []
    for run, own, (start, end), dot, level in zip(
        runs, legs, ends, dots.tolist(), levels.tolist(), strict=True
    ):
        again, hops = (
            tuple(p for p, leg in zip(own, run.legs, strict=True) if leg.retraced and _hop(leg) is hop)
            for hop in (False, True)
        )
        along = np.concatenate([next(arrows) for _ in own])
        ways.append(Way(run.number, start, end, again, hops, along, run.stop, dot, level > 0))
    return tuple(ways)


def _dots(starts: Array) -> Array:
    """Return the radius (n,) of the dots of `starts` (n, 2): those side by side do not meet."""
    away = np.hypot(*(starts[:, None] - starts[None]).transpose(2, 0, 1))
    away[away < _SAME] = np.inf
    radii: Array = np.clip((away.min(axis=1, initial=np.inf) - _APART) / 2, _LEAST_DOT, DOT)
    return radii


def _levels(starts: Array, stops: Sequence[int]) -> Ints:
    """Return how many signs of lower depth stops lie within that of each start (n,), -1 where it is alone.

    Starts at one stop share their sign.
    """
    away = np.hypot(*(starts[:, None] - starts[None]).transpose(2, 0, 1))
    numbers = np.array(stops)
    there = [sorted({*numbers[row < _CLOSE].tolist()}) for row in away]
    levels = [own.index(stop) if len(own) > 1 else -1 for own, stop in zip(there, stops, strict=True)]
    return np.minimum(np.array(levels, dtype=np.intp), len(_NESTED) - 1)


def _hop(leg: Leg) -> bool:
    """Say whether a leg is a passage from one groove into the next: at one place of its stroke."""
    return leg.retraced and leg.start == leg.end


def _leg(leg: Leg, points: Array) -> Array:
    """Return the polyline (m, 2) along which the marks of a leg stand that goes along `points`.

    They stand beside a groove that is followed again, but right on a hop: no line is there.
    """
    return _beside(points, _BESIDE) if leg.retraced and not _hop(leg) else points


def _beside(points: Array, distance: float) -> Array:
    """Return the polyline shifted to the right of travel (y down), without care for tight inside bends."""
    if len(points) < 2:
        return points
    held = np.concatenate([points[:1], points, points[-1:]])
    ahead = held[2:] - held[:-2]
    size = np.maximum(np.hypot(ahead[:, 0], ahead[:, 1]), 1e-9)
    shifted: Array = points + np.column_stack([-ahead[:, 1], ahead[:, 0]]) / size[:, None] * distance
    return shifted
