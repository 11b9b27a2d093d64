"""Which strokes the bit will hold, and the groove that each gets. One depth stop."""

from dataclasses import dataclass

import numpy as np

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.layout import Layout
from tracer.model.plan import Dropped, Groove
from tracer.report import remedy

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


def sort_strokes(layout: Layout, job: Job) -> Sorted:
    """Give each stroke its groove, and leave out the lines and dots that the bit cannot hold.

    A stroke is too thin when its groove is wider than `job.max_widening` times its
    drawn width on the wood. Edges, and strokes without a width, are exempt. Where
    the typical line is too thin the fault is the job's and not the stroke's: then
    only strokes far thinner than typical are dropped.
    """
    groove = job.groove
    typical = typical_width(layout.strokes)
    whole = typical is not None and groove > job.max_widening * typical + _NOISE
    too_thin = [s for s in layout.strokes if _too_thin(s, groove, job.max_widening)]
    gone = [] if job.thin == "keep" else too_thin
    if whole and typical is not None:
        gone = [s for s in gone if (s.width or 0.0) < FAR_UNDER_TYPICAL * typical]
    numbers = {stroke.number for stroke in gone}
    return Sorted(
        grooves=tuple(Groove(s.number, job.depth, groove) for s in layout.strokes if s.number not in numbers),
        dropped=tuple(_dropped(stroke, layout, job) for stroke in gone),
        too_thin=tuple(stroke.number for stroke in too_thin),
        typical=typical,
        typical_too_thin=whole,
    )


def typical_width(strokes: tuple[Stroke, ...]) -> float | None:
    """Return the length-weighted median of the drawn widths of the line strokes, in their frame's unit."""
    lines = [(s.width, s.length) for s in strokes if s.kind == "line" and s.width is not None]
    if not lines:
        return None
    widths, lengths = np.array(lines).T
    order = np.argsort(widths)
    half = np.cumsum(lengths[order]) >= lengths.sum() / 2
    return float(widths[order][np.argmax(half)])


def _too_thin(stroke: Stroke, groove: float, max_widening: float) -> bool:
    width = None if stroke.kind == "edge" else stroke.width
    return width is not None and groove > max_widening * width + _NOISE


def _dropped(stroke: Stroke, layout: Layout, job: Job) -> Dropped:
    limit = job.max_widening * (stroke.width or 0.0)
    x, y = bezier.points_at(stroke.curves, np.array([len(stroke.curves) / 2]))[0]
    return Dropped(
        stroke=stroke.number,
        reason="stroke too thin",
        where=(float(x), float(y)),
        measured=stroke.width,
        groove=job.groove,
        limit=limit,
        remedy=remedy.cures(layout, job, widest=limit, factor=job.groove / limit if limit else np.inf),
    )
