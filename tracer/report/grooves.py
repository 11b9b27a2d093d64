"""Which strokes the bit will hold, and the groove that each gets."""

from dataclasses import dataclass

import numpy as np

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.layout import Layout
from tracer.model.plan import Dropped, Groove
from tracer.report.decided import Decided
from tracer.report.figure import figure_of
from tracer.report.remedy import for_groove
from tracer.report.stops import Stops
from tracer.report.trial import Trials


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
    figure = figure_of(decided, job)
    too_thin = figure.too_thin(np.array([stops.of(s.number).width for s in strokes], dtype=float), job)
    whole = figure.all_too_thin(min(stop.width for stop in stops.stops), job)
    dropped = figure.numbers[figure.dropped(too_thin, job, all_too_thin=whole)].tolist()
    reasons = dict.fromkeys(dropped, "stroke too thin") | dict(decided.left_out)
    trials = Trials(layout, job)
    return Sorted(
        grooves=tuple(_groove(s, stops) for s in strokes if s.number not in reasons),
        dropped=tuple(
            _dropped(s, trials, reasons[s.number], stops.of(s.number).width)
            for s in strokes
            if s.number in reasons
        ),
        too_thin=tuple(figure.numbers[too_thin].tolist()),
        typical=None if np.isnan(figure.typical) else figure.typical,
        typical_too_thin=whole,
    )


def _groove(stroke: Stroke, stops: Stops) -> Groove:
    stop = stops.of(stroke.number)
    return Groove(stroke.number, stop.depth, stop.width, stop.number)


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
