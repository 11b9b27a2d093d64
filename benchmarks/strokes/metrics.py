"""Recovered strokes against true ones: distances, ends, parts, crossings, widths, directions."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from benchmarks.strokes import topology
from benchmarks.strokes.art import Art
from benchmarks.strokes.lines import Lines, lines_of
from benchmarks.strokes.topology import Crossing, Ends

Array = NDArray[np.float64]

NEAR = (0.05, 0.10, 0.25)
"""mm: distances of the F1 measures."""

SAME_PLACE = 1.25
"""mm: ends and crossings further apart are not the same."""

MATCHED = 0.5
"""mm: directions are compared where lines are nearer."""

CLEAR = math.radians(25)
"""Crossings at less are not asked for."""

FAINTEST = math.radians(10)
"""Crossings at less are not even an excuse for one that was found."""

UNSURE = 0.1
"""mm: ink gaps and overlaps under this may be seen as either (half a pixel and the blur at 200 dpi)."""


@dataclass(frozen=True, eq=False)
class FoundLine:
    """A recovered stroke: `points` (n, 2) page mm, cubics (or straight pieces) it has, width mm or None."""

    points: Array
    closed: bool
    segments: int
    width: float | None = None


@dataclass(frozen=True, eq=False)
class Truth:
    """What is true of a drawing.

    Attributes
    ----------
    pen : its width, mm.
    lines, ends, crossings : the strokes, all their ends, and where they pass through each other.
    specks : (n, 2) middles of strokes smaller than the pen, which look like dots.
    parts : the fewest and the most connected parts that may be seen.
    meetings : (n, 2) places where a found crossing is no invention.
    segments : lines, cubics and arcs.
    """

    pen: float
    lines: Lines
    ends: Ends
    specks: Array
    parts: tuple[int, int]
    crossings: list[Crossing]
    meetings: Array
    segments: int


@dataclass(frozen=True, eq=False)
class Score:
    """How well a drawing was recovered; distances in mm, angles in degrees, places (n, 2) page mm."""

    f1: tuple[float, ...]
    mean: float
    p95: float
    hausdorff: float
    worst: Array
    parts: int
    parts_right: bool
    spurs: Array
    missed_ends: Array
    crossings_missed: Array
    crossings_invented: Array
    segments: float
    width_error: float
    direction_error_deg: float

    @property
    def faults(self) -> int:
        """How many things are wrong that cost a plunge or a land."""
        places = (self.spurs, self.missed_ends, self.crossings_missed, self.crossings_invented)
        return sum(map(len, places)) + (not self.parts_right)


def truth_of(art: Art) -> Truth:
    """Return what is true of a drawing."""
    lines = lines_of([(line.points, line.closed) for line in art.lines])
    ends = topology.ends_of(lines, art.pen)
    slanting = topology.crossings_of(lines, art.pen, least=FAINTEST, stays=0.5)
    meeting = [p for p in ends.points if topology.arms_at(lines, p, art.pen) >= 4]
    rings = [np.vstack([x.points, x.points[:1]]) if x.closed else x.points for x in art.lines]
    return Truth(
        pen=art.pen,
        lines=lines,
        ends=ends,
        specks=_places(
            [(r.min(axis=0) + r.max(axis=0)) / 2 for r in rings if np.ptp(r, axis=0).max() < art.pen]
        ),
        parts=topology.parts_by_ink(rings, art.pen, UNSURE),
        crossings=topology.crossings_of(lines, art.pen, least=CLEAR, stays=1.0),
        meetings=_places([*_spots(slanting), *meeting]),
        segments=sum(line.segments for line in art.lines),
    )


def score(truth: Truth, found: Sequence[FoundLine]) -> Score:
    """Return how well the true lines were recovered."""
    kept = [line for line in found if len(line.points)] or [_nothing()]
    lines = lines_of([(line.points, line.closed) for line in kept])
    to_truth, to_found = _both_ways(truth.lines, lines)
    parts = topology.parts_by_meeting(lines)
    spurs, missed = _ends(truth, lines)
    crossed = topology.crossings_of(lines, truth.pen, least=FAINTEST, stays=1.0)
    clear = [c for c in crossed if c.angle >= CLEAR]
    away = np.concatenate([to_truth.away, to_found.away])
    weight = np.concatenate([to_truth.weights, to_found.weights])
    return Score(
        f1=tuple(_f1(to_truth, to_found, near) for near in NEAR),
        mean=(to_truth.mean + to_found.mean) / 2,
        p95=_quantile(away, weight, 0.95),
        hausdorff=float(away.max()),
        worst=np.concatenate([to_truth.points, to_found.points])[np.argmax(away)],
        parts=parts,
        parts_right=truth.parts[0] <= parts <= truth.parts[1],
        spurs=spurs,
        missed_ends=missed,
        crossings_missed=_far(_places(_spots(truth.crossings)), _places(_spots(crossed))),
        crossings_invented=_far(_places(_spots(clear)), truth.meetings),
        segments=sum(line.segments for line in kept) / truth.segments,
        width_error=_width_error(truth.pen, kept, lines),
        direction_error_deg=_direction_error(truth.lines, lines),
    )


@dataclass(frozen=True, eq=False)
class _Away:
    """Distances from places on some lines to others; the ends among the places weigh nothing."""

    points: Array
    away: Array
    weights: Array

    @property
    def mean(self) -> float:
        """Mean distance, by length."""
        return float((self.away * self.weights).sum() / self.weights.sum())

    def share(self, near: float) -> float:
        """Return the share of the length that is nearer."""
        return float(self.weights[self.away <= near].sum() / self.weights.sum())


def _both_ways(truth: Lines, found: Lines) -> tuple[_Away, _Away]:
    """Return distances from found places to true lines, and from true places to found lines."""
    return _away(found, truth), _away(truth, found)


def _away(lines: Lines, others: Lines) -> _Away:
    """Return distances from places on `lines` to `others`."""
    points = np.concatenate([lines.middles, lines.ends.reshape(-1, 2)])
    weights = np.concatenate([np.maximum(lines.weights, 1e-6), np.zeros(2 * len(lines.ends))])
    return _Away(points, others.distances(points), weights)


def _f1(to_truth: _Away, to_found: _Away, near: float) -> float:
    """Return the harmonic mean of precision and recall."""
    precision, recall = to_truth.share(near), to_found.share(near)
    return 2 * precision * recall / max(precision + recall, 1e-9)


def _quantile(values: Array, weights: Array, part: float) -> float:
    """Return a weighted quantile."""
    order = np.argsort(values)
    total = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(total, part * total[-1])])


def _ends(truth: Truth, found: Lines) -> tuple[Array, Array]:
    """Return the spurs and the missed ends.

    A true end within another line's ink, but not on its middle, cannot be seen or is only
    a bulge: it is not asked for, and excuses a found one. So does a stroke smaller than the pen.
    """
    ends = topology.ends_of(found, topology.MEETING)
    free = ends.points[ends.clearance > topology.MEETING]
    asked = truth.ends.points[truth.ends.clearance > truth.pen]
    excused = np.vstack([truth.ends.points[truth.ends.clearance > topology.MEETING], truth.specks])
    return _far(free, excused), _far(asked, free)


def _far(points: Array, others: Array) -> Array:
    """Return the points that no other is near."""
    if not len(points) or not len(others):
        return points
    return points[cKDTree(others).query(points)[0] > SAME_PLACE]


def _width_error(pen: float, found: Sequence[FoundLine], lines: Lines) -> float:
    """Return the mean difference from the pen's width, by length; nan where no stroke has a width."""
    error = np.array([math.nan if line.width is None else abs(line.width - pen) for line in found])
    known = np.isfinite(error) & (lines.lengths > 0)
    return float(np.average(error[known], weights=lines.lengths[known])) if known.any() else math.nan


def _direction_error(truth: Lines, found: Lines) -> float:
    """Return the mean angle between found and true directions where lines are near; where true lines meet,
    the one that fits better counts.
    """
    away, index = truth.nearest(found.middles)
    a, b = found.step[:, None], truth.step[index]
    angle = np.arctan2(np.abs(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]), np.abs((a * b).sum(axis=-1)))
    best = away.min(axis=1)
    angle = np.where(away <= best[:, None] + 0.05, angle, math.pi).min(axis=1)
    good = (best <= MATCHED) & (found.weights > 1e-9)
    if not good.any():
        return math.nan
    return math.degrees(float(np.average(angle[good], weights=found.weights[good])))


def _spots(crossings: Sequence[Crossing]) -> list[Array]:
    """Return the places of crossings."""
    return [np.array([c.x, c.y]) for c in crossings]


def _places(points: Sequence[Array]) -> Array:
    """Return points as an array (n, 2)."""
    return np.array(points, float).reshape(-1, 2)


def _nothing() -> FoundLine:
    """Return what stands for a drawing in which nothing was found: a dot in the page's corner."""
    return FoundLine(np.zeros((1, 2)), closed=False, segments=0)
