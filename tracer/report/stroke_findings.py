"""What is said of strokes that the bit will not hold."""

from collections.abc import Iterator, Sequence

from tracer.job import Job
from tracer.lengths import both
from tracer.model.drawing import Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.model.plan import Dropped
from tracer.report import remedy
from tracer.report.findings import listed
from tracer.report.grooves import Sorted
from tracer.report.places import place_words

MOST_SINGLY = 8
"""Dropped strokes that are said one by one; more are gathered by their place on the figure."""


def about_strokes(layout: Layout, job: Job, strokes: Sorted, cut: Sequence[Stroke]) -> Iterator[Finding]:
    """Say what is lost, what comes out too wide, and what becomes a dimple."""
    if not cut:
        yield _nothing_left(layout)
    if strokes.typical_too_thin and strokes.typical is not None:
        yield _all_too_wide(layout, job, strokes.typical, cut)
    if len(strokes.dropped) <= MOST_SINGLY:
        yield from (_dropped(layout, job, [one]) for one in strokes.dropped)
    else:
        by_place: dict[str, list[Dropped]] = {}
        for one in strokes.dropped:
            by_place.setdefault(place_words(layout, one.where), []).append(one)
        yield from (_dropped(layout, job, group) for group in by_place.values())
    too_thin = set(strokes.too_thin)
    kept = [stroke for stroke in cut if stroke.number in too_thin]
    if kept and not strokes.typical_too_thin:
        yield _kept_too_wide(layout, job, kept)
    groove = job.groove
    short = [s for s in cut if s.kind != "dot" and s.length < groove]
    if short:
        yield _dimples(layout, job, short)


def _nothing_left(layout: Layout) -> Finding:
    count = len(layout.strokes)
    if not count:
        return Finding("nothing to cut", "loss", "The drawing has no strokes: there is nothing to cut.")
    return Finding(
        "nothing to cut",
        "loss",
        f"Nothing is left to cut: the bit will not hold any of the {count} strokes.",
        remedy="Set it shallower, take a narrower bit, or make the figure larger; each stroke says how much.",
    )


def _all_too_wide(layout: Layout, job: Job, typical: float, cut: Sequence[Stroke]) -> Finding:
    limit = job.max_widening * typical
    times = job.groove / typical
    return Finding(
        check="lines too thin",
        severity="loss",
        message=(
            f"At {both(job.depth, job.units)} deep every line comes out {times:.1f} times as wide as drawn: "
            f"the groove is {both(job.groove, job.units)}, the typical line {both(typical, job.units)} "
            f"on the wood, and at most {job.max_widening:g} times is asked for."
        ),
        strokes=tuple(stroke.number for stroke in cut),
        measured=typical,
        limit=job.groove / job.max_widening,
        remedy=remedy.cures(layout, job, widest=limit, factor=job.groove / limit if limit else float("inf")),
    )


def _dropped(layout: Layout, job: Job, group: Sequence[Dropped]) -> Finding:
    """Say one dropped stroke, or all of one place; what holds the thinnest holds all."""
    thinnest = min(group, key=lambda one: one.limit)
    widths = [one.measured or 0.0 for one in group]
    drawn = both(min(widths), job.units)
    if len(group) > 1 and max(widths) > min(widths):
        drawn += f" to {both(max(widths), job.units)}"
    numbers = tuple(one.stroke for one in group)
    verb = "is" if len(group) == 1 else "are"
    return Finding(
        check="stroke too thin",
        severity="loss",
        message=(
            f"{listed(numbers).capitalize()} {place_words(layout, thinnest.where)} {verb} left out: "
            f"drawn {drawn} wide; the groove is {both(job.groove, job.units)}, "
            f"and may be {both(thinnest.limit, job.units)}."
        ),
        strokes=numbers,
        where=thinnest.where,
        measured=thinnest.measured,
        limit=job.groove / job.max_widening,
        remedy=thinnest.remedy,
    )


def _kept_too_wide(layout: Layout, job: Job, kept: Sequence[Stroke]) -> Finding:
    thinnest = min(kept, key=lambda stroke: stroke.width or 0.0)
    width = thinnest.width or 0.0
    limit = job.max_widening * width
    return Finding(
        check="stroke too wide",
        severity="risk",
        message=(
            f"{listed(s.number for s in kept).capitalize()}, kept as you asked, will be too wide: "
            f"the thinnest is drawn {both(width, job.units)}, the groove is {both(job.groove, job.units)}."
        ),
        strokes=tuple(stroke.number for stroke in kept),
        where=_start(thinnest),
        measured=width,
        limit=job.groove / job.max_widening,
        remedy=remedy.cures(layout, job, widest=limit, factor=job.groove / limit if limit else float("inf")),
    )


def _dimples(layout: Layout, job: Job, short: Sequence[Stroke]) -> Finding:
    shortest = min(short, key=lambda stroke: stroke.length)
    it = "it is" if len(short) == 1 else "they are"
    return Finding(
        check="dimple",
        severity="note",
        message=(
            f"{listed(s.number for s in short).capitalize()} will look like a dimple: {it} shorter than "
            f"the groove is wide ({both(job.groove, job.units)}); the shortest, "
            f"{place_words(layout, _start(shortest))}, is {both(shortest.length, job.units)} long."
        ),
        strokes=tuple(stroke.number for stroke in short),
        where=_start(shortest),
        measured=shortest.length,
        limit=job.groove,
        remedy="",
    )


def _start(stroke: Stroke) -> tuple[float, float]:
    return float(stroke.curves[0, 0, 0]), float(stroke.curves[0, 0, 1])
