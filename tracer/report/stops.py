"""Which depth stop each stroke is cut at, and how deep each is."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.errors import JobError
from tracer.job import ASSUMED, Job
from tracer.model.drawing import Stroke
from tracer.model.plan import DepthStop
from tracer.report.board_findings import LEAST_FLOOR
from tracer.report.change import DEPTH_STEPS, LEAST_DEPTH
from tracer.report.clusters import best_levels, nearest
from tracer.shop.router import pass_depths

Array = NDArray[np.float64]

SAME_GROOVE = 0.1
"""mm; two grooves that differ by less are all but the same, and need no two depth stops (our own choice)."""

_MOST_DEPTHS = 128
"""Depths to choose from; where a long bit in a thick board has more, every second or third is tried."""

_NOISE = 1e-9


@dataclass(frozen=True)
class Stops:
    """The depth stops, the deepest first, and the number of that of each stroke."""

    stops: tuple[DepthStop, ...]
    of_stroke: Mapping[int, int]

    def of(self, number: int) -> DepthStop:
        """Return the stop of a stroke."""
        return self.stops[self.of_stroke[number] - 1]


def find_stops(strokes: Sequence[Stroke], job: Job, left_out: Collection[int] = ()) -> Stops:
    """Return the depth stops of a job, and which each stroke is cut at.

    With one stop all strokes are cut at the job's depth. With more, bold lines cut bold and
    fine lines fine: of all depths that a stop can be set to, at most `job.stops` are taken
    so that the squared difference between drawn width and groove, weighted by the length of
    the lines (dots, and what is shorter than wide, by their width), is least. Left out of account:

    - depths over the job's, where the user said it: it is the deepest that they want. Unsaid,
      the depths are free within what the bit cuts and the board bears;
    - depths that leave too little wood under the groove, or are too shallow to be set;
    - second stops whose groove would be all but the same.

    Edges, and strokes without a width, have nothing to be held against: they are cut at the
    deepest stop where the user said the depth, else at that which most of the lines are cut
    at. Where no stroke has a width, or the bit cuts as wide at any depth, one stop at the
    job's depth is all there is.

    What `job.acts` says of a stroke's stop comes after: it moves the stroke and changes no
    depth, so that the numbers mean the same before and after. For the same reason a stop
    that no stroke is left at is kept.

    Parameters
    ----------
    strokes : wood mm.
    left_out : numbers of strokes that will not be cut, and do not count.

    Raises
    ------
    BitError
        For a depth that the bit cannot cut, or that takes an absurd number of passes.
    JobError
        Where a stroke is set to a stop that is not there.
    """
    drawn = [s for s in strokes if _drawn(s) and s.number not in left_out] if job.stops > 1 else []
    depths = _depths(job) if drawn and job.bit.width_follows_depth else np.zeros(0)
    if not len(depths):
        return Stops((_stop(1, job.depth, job),), _as_told({stroke.number: 1 for stroke in strokes}, job, 1))
    widths, weights = _weighted(drawn)
    grooves = np.array([job.bit.width_at(depth) for depth in depths])
    grooves, depths = _within(grooves, depths, widths)
    chosen = best_levels(widths, weights, grooves, most=job.stops, apart=SAME_GROOVE)[::-1]
    with_width = [stroke for stroke in strokes if _drawn(stroke)]
    numbers = 1 + nearest(np.array([stroke.width for stroke in with_width]), grooves[chosen])
    found = {stroke.number: int(number) for stroke, number in zip(with_width, numbers, strict=True)}
    most_used = np.bincount([found[stroke.number] for stroke in drawn], weights).argmax()
    usual = int(most_used) if _unsaid(job) else 1
    found = {stroke.number: found.get(stroke.number, usual) for stroke in strokes}
    stops = tuple(_stop(k, float(depths[index]), job) for k, index in enumerate(chosen, start=1))
    return Stops(stops, _as_told(found, job, len(stops)))


def _drawn(stroke: Stroke) -> bool:
    """Whether a stroke has a drawn width that its groove should have."""
    return stroke.kind != "edge" and bool(stroke.width)


def _weighted(drawn: Sequence[Stroke]) -> tuple[Array, Array]:
    """Return the drawn widths and how much each counts, both mm."""
    widths = np.array([stroke.width for stroke in drawn], float)
    lengths = np.array([stroke.length for stroke in drawn])
    return widths, np.maximum(lengths, widths)


def _unsaid(job: Job) -> bool:
    return job.origin("depth") == ASSUMED


def _depths(job: Job) -> Array:
    """Return the depths (mm, rising) that a stop can be set to: on the rule's marks, and the one said."""
    bit, step = job.bit, DEPTH_STEPS[job.units]
    floor = job.thickness - min(LEAST_FLOOR, job.thickness / 2)
    deepest = min(floor, bit.section.full_depth, bit.max_depth or math.inf)
    said = np.zeros(0) if _unsaid(job) or job.depth > deepest + _NOISE else np.array([job.depth])
    if not _unsaid(job):
        deepest = min(deepest, job.depth)
    first, last = math.ceil((LEAST_DEPTH - 0.01) / step), math.floor(deepest / step + _NOISE)
    skip = max(1, math.ceil((last - first + 1) / _MOST_DEPTHS))
    marks = np.minimum(np.round(np.arange(first, last + 1, skip) * step, 9), deepest)
    return np.unique(np.concatenate([marks, said]))


def _within(grooves: Array, depths: Array, widths: Array) -> tuple[Array, Array]:
    """Return only what lies between the narrowest and the widest line, and the next on either side."""
    low = max(0, int(np.searchsorted(grooves, widths.min(), side="right")) - 1)
    high = int(np.searchsorted(grooves, widths.max())) + 1
    return grooves[low:high], depths[low:high]


def _stop(number: int, depth: float, job: Job) -> DepthStop:
    return DepthStop(number, depth, job.bit.width_at(depth), pass_depths(job.bit, depth, job.pass_limit))


def _as_told(found: dict[int, int], job: Job, count: int) -> dict[int, int]:
    """Move the strokes that the user set to a stop of their own."""
    for stroke, stop in sorted(job.acts.stops.items()):
        if stroke in found and not 1 <= stop <= count:
            there = "there is only 1" if count == 1 else f"there are {count}, the deepest is 1"
            raise JobError(
                f"stroke {stroke} is set to depth stop {stop}, and {there}: {_more_stops(job, count)}"
            )
    return found | {stroke: stop for stroke, stop in job.acts.stops.items() if stroke in found}


def _more_stops(job: Job, count: int) -> str:
    if count < job.stops:
        why = (
            "more would not help with these lines"
            if job.bit.width_follows_depth
            else "this bit cuts as wide at any depth"
        )
        return f"{why}; take that setting out of the job"
    return "ask for more with --stops (3 at most), or take that setting out of the job"
