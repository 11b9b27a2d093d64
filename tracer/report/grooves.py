"""Which strokes the bit will hold, and the groove that each gets."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.layout import Layout
from tracer.model.plan import Dropped, Groove
from tracer.report.decided import Decided
from tracer.report.remedy import for_groove
from tracer.report.stops import Stops
from tracer.report.trial import Trials

FAR_UNDER_TYPICAL = 0.6
"""Where the drawing's own typical line is too thin, strokes under this share of it are still dropped."""

_NOISE = 1e-9


@dataclass(frozen=True)
class Sorted:
    """The strokes sorted into cut and left out.

    Attributes
    ----------
    grooves, dropped : in the order of stroke numbers.
    too_thin : numbers of all strokes whose groove passes the limit, dropped or not.
    typical : length-weighted median drawn width of the lines on the wood, mm; None where no line has a width.
    typical_too_thin : the typical line itself would come out too wide.
    """

    grooves: tuple[Groove, ...]
    dropped: tuple[Dropped, ...]
    too_thin: tuple[int, ...]
    typical: float | None
    typical_too_thin: bool


def sort_strokes(layout: Layout, job: Job, decided: Decided, stops: Stops) -> Sorted:
    """Give each stroke its groove, and leave out the lines and dots that the bit cannot hold.

    A stroke is too thin when its groove is wider than `job.max_widening` times its
    drawn width on the wood. Edges, and strokes without a width, are exempt. Where
    the typical line is too thin the fault is the job's and not the stroke's: then
    only strokes far thinner than typical are dropped. What the user decided comes first.
    """
    strokes = decided.strokes
    typical = typical_width(strokes)
    narrowest = min(stop.width for stop in stops.stops)
    whole = typical is not None and narrowest > job.max_widening * typical + _NOISE
    too_thin = [s for s in strokes if _too_thin(s, stops.of(s.number).width, job.max_widening)]
    thin = {} if job.thin == "keep" else {s.number: s for s in too_thin}
    if whole and typical is not None:
        thin = {n: s for n, s in thin.items() if (s.width or 0.0) < FAR_UNDER_TYPICAL * typical}
    reasons = {n: "stroke too thin" for n in thin if n not in job.acts.keep} | dict(decided.left_out)
    trials = Trials(layout, job)
    return Sorted(
        grooves=tuple(_groove(s, stops) for s in strokes if s.number not in reasons),
        dropped=tuple(
            _dropped(s, trials, reasons[s.number], stops.of(s.number).width)
            for s in strokes
            if s.number in reasons
        ),
        too_thin=tuple(stroke.number for stroke in too_thin),
        typical=typical,
        typical_too_thin=whole,
    )


def typical_width(strokes: Iterable[Stroke]) -> float | None:
    """Return the length-weighted median of the drawn widths of the line strokes, in their frame's unit."""
    lines = [s for s in strokes if s.kind == "line" and s.width is not None]
    if not lines:
        return None
    widths = np.array([s.width for s in lines])
    counts = np.array([len(s.curves) for s in lines])
    of_cubics = bezier.lengths(np.concatenate([s.curves for s in lines]))
    lengths = np.add.reduceat(of_cubics, np.cumsum(counts) - counts)
    order = np.argsort(widths)
    half = np.cumsum(lengths[order]) >= lengths.sum() / 2
    return float(widths[order][np.argmax(half)])


def _groove(stroke: Stroke, stops: Stops) -> Groove:
    stop = stops.of(stroke.number)
    return Groove(stroke.number, stop.depth, stop.width, stop.number)


def _too_thin(stroke: Stroke, groove: float, max_widening: float) -> bool:
    width = None if stroke.kind == "edge" else stroke.width
    return width is not None and groove > max_widening * width + _NOISE


def _dropped(stroke: Stroke, trials: Trials, reason: str, groove: float) -> Dropped:
    x, y = bezier.points_at(stroke.curves, np.array([len(stroke.curves) / 2]))[0]
    limit = trials.job.max_widening * (stroke.width or 0.0)
    return Dropped(
        stroke=stroke.number,
        reason=reason,
        where=(float(x), float(y)),
        measured=stroke.width,
        groove=groove,
        limit=limit,
        remedy=for_groove(trials, limit) if reason == "stroke too thin" else "",
    )
