"""What is said of strokes that the bit will not hold."""

from collections.abc import Container, Iterator, Mapping, Sequence

from tracer.lengths import both
from tracer.model.drawing import Stroke
from tracer.model.finding import Finding
from tracer.model.plan import Dropped, Groove
from tracer.report.decided import BY_USER
from tracer.report.grooves import Sorted
from tracer.report.places import place_words
from tracer.report.remedy import for_far_too_wide, for_groove
from tracer.report.thinned import THINNED
from tracer.report.trial import Trials
from tracer.report.words import in_all, listed, mostly, said, times

_ASKED = (BY_USER, THINNED)
KEEP = " Or keep what is left out, wider than drawn: --thin keep."


def about_strokes(
    trials: Trials, strokes: Sorted, thought_of: Sequence[Stroke], *, beside: Container[int] = ()
) -> Iterator[Finding]:
    """Say what is lost, what comes out too wide, and what becomes a dimple.

    `thought_of` are all strokes that were sorted, wood mm; those `beside` edges are no dimples.
    """
    by_number = {stroke.number: stroke for stroke in thought_of}
    grooves = {groove.stroke: groove for groove in strokes.grooves}
    thin = [one for one in strokes.dropped if one.reason == "stroke too thin"]
    if not grooves:
        yield _nothing_left(len(thought_of), asked=all(one.reason in _ASKED for one in strokes.dropped))
    whole = strokes.typical if strokes.typical_too_thin else None
    if whole is not None:
        yield _all_too_wide(trials, whole, by_number, list(grooves.values()))
    if thin:
        yield _dropped(trials, thin, by_number, far=whole is not None)
    kept = [by_number[number] for number in strokes.too_thin if number in grooves]
    if kept and whole is None:
        yield _kept_too_wide(trials, kept, grooves)
    lines = [s for s in thought_of if s.kind != "dot" and s.number not in beside]
    short = [s for s in lines if s.number in grooves and _is_short(s, grooves)]
    if short:
        yield _dimples(trials, short, grooves)


def _is_short(stroke: Stroke, grooves: Mapping[int, Groove]) -> bool:
    return stroke.length < grooves[stroke.number].width


def _nothing_left(count: int, *, asked: bool) -> Finding:
    if not count:
        return Finding(
            check="nothing to cut",
            severity="loss",
            message="The drawing has no strokes: there is nothing to cut.",
            remedy="Use art with lines or dark areas on a lighter ground.",
        )
    if asked:
        return Finding(
            check="nothing to cut",
            severity="loss",
            message="Nothing is left to cut: all strokes are left out as you asked.",
            remedy="Take some of them out of leave-out.",
        )
    every = "its only stroke" if count == 1 else f"any of its {count} strokes"
    return Finding(
        check="nothing to cut",
        severity="loss",
        message=f"Nothing is left to cut: as it is, the bit will not hold {every}.",
        remedy="Set it shallower, take a narrower bit, or make the figure larger; see below by how much.",
    )


def _all_too_wide(
    trials: Trials, typical: float, strokes: Mapping[int, Stroke], grooves: Sequence[Groove]
) -> Finding:
    job = trials.job
    width, depth = min(((one.width, one.depth) for one in grooves), default=(job.groove, job.depth))
    deep = f"{both(depth, job.units)} deep"
    deep = f"Even at the shallowest stop, {deep}," if job.stops > 1 else f"At {deep}"
    return Finding(
        check="lines too thin",
        severity="loss",
        message=(
            f"{deep if job.bit.width_follows_depth else 'With this bit'} every line comes out "
            f"{times(width / typical)} as wide as drawn: the groove is {said(width, job.units)} wide, "
            f"the typical line {said(typical, job.units)}. At most {times(job.max_widening)} is asked for."
        ),
        strokes=tuple(strokes),
        measured=typical,
        limit=width / job.max_widening,
        remedy=_narrower(trials, job.max_widening * typical),
    )


def _dropped(trials: Trials, thin: Sequence[Dropped], strokes: Mapping[int, Stroke], *, far: bool) -> Finding:
    """Say all dropped strokes at once; what holds the thinnest holds all."""
    job, layout = trials.job, trials.layout
    thinnest = min(thin, key=lambda one: one.limit)
    length = sum(strokes[one.stroke].length for one in thin)
    where = place_words(layout, thinnest.where)
    measured = (
        f"drawn {said(thinnest.measured or 0.0, job.units)} wide, and the groove would be "
        f"{said(thinnest.groove, job.units)}"
    )
    if len(thin) == 1:
        message = (
            f"Stroke {thinnest.stroke}, {where}, is left out: it is {measured}, "
            f"more than {times(job.max_widening)} as wide."
        )
    else:
        than = ", thinner by far than the rest," if far else ""
        message = (
            f"{len(thin)} strokes{than} are left out, {mostly(layout, (one.where for one in thin))}, "
            f"{in_all(length, job.units)} in all: they would come out more than {times(job.max_widening)} "
            f"as wide as drawn. The thinnest, stroke {thinnest.stroke} {where}, is {measured}."
        )
    cure = for_groove(trials, thinnest.limit)
    return Finding(
        check="stroke too thin",
        severity="loss",
        message=message,
        strokes=tuple(one.stroke for one in thin),
        where=thinnest.where,
        measured=thinnest.measured,
        limit=thinnest.groove / job.max_widening,
        remedy=(cure if len(thin) == 1 else cure.replace("It holds", "All of them hold", 1)) + KEEP
        if cure
        else KEEP.removeprefix(" Or ").capitalize(),
    )


def _kept_too_wide(trials: Trials, kept: Sequence[Stroke], grooves: Mapping[int, Groove]) -> Finding:
    job = trials.job
    thinnest = min(kept, key=lambda stroke: stroke.width or 0.0)
    width, groove = thinnest.width or 0.0, grooves[thinnest.number].width
    ones = "comes" if len(kept) == 1 else "come"
    which = "it is" if len(kept) == 1 else f"the thinnest, stroke {thinnest.number}, is"
    return Finding(
        check="stroke too wide",
        severity="risk",
        message=(
            f"{listed(s.number for s in kept).capitalize()}, kept as you asked, {ones} out more than "
            f"{times(job.max_widening)} as wide as drawn: {which} drawn {said(width, job.units)} wide, "
            f"and the groove is {said(groove, job.units)}."
        ),
        strokes=tuple(stroke.number for stroke in kept),
        where=_start(thinnest),
        measured=width,
        limit=groove / job.max_widening,
        remedy=_narrower(trials, job.max_widening * width),
    )


def _dimples(trials: Trials, short: Sequence[Stroke], grooves: Mapping[int, Groove]) -> Finding:
    job, layout = trials.job, trials.layout
    shortest = min(short, key=lambda stroke: stroke.length)
    groove = grooves[shortest.number].width
    where = place_words(layout, _start(shortest))
    measured = f"{said(shortest.length, job.units)} long in a groove {said(groove, job.units)} wide"
    if len(short) == 1:
        message = f"Stroke {shortest.number}, {where}, comes out as a dimple: it is {measured}."
    else:
        message = (
            f"{len(short)} strokes come out as dimples, {mostly(layout, map(_start, short))}: they are "
            f"shorter than the groove is wide. The shortest, stroke {shortest.number} {where}, is {measured}."
        )
    return Finding(
        check="dimple",
        severity="note",
        message=message,
        strokes=tuple(stroke.number for stroke in short),
        where=_start(shortest),
        measured=shortest.length,
        limit=groove,
        remedy="Leave out those that should not be dots.",
    )


def _narrower(trials: Trials, widest: float) -> str:
    return for_groove(trials, widest) or for_far_too_wide(trials, widest)


def _start(stroke: Stroke) -> tuple[float, float]:
    return float(stroke.curves[0, 0, 0]), float(stroke.curves[0, 0, 1])
