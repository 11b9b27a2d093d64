"""What is said of the wood that is left: lands, standing wood, and what lies enclosed in it."""

from collections.abc import Iterator, Sequence

from tracer.model.finding import Finding
from tracer.model.plan import Island
from tracer.report.cut import Cut
from tracer.report.islands import Enclosures
from tracer.report.land_findings import about_lands
from tracer.report.lands import Near
from tracer.report.standing_findings import about_standing
from tracer.report.trial import Trials
from tracer.report.words import listed, mostly


def about_wood(
    trials: Trials, cut: Cut, lands: Sequence[Near], enclosures: Enclosures, *, crowded: bool = False
) -> Iterator[Finding]:
    """Say where grooves run together, where too little wood is left, and what stands or lies enclosed.

    Where it is `crowded`, all lands of a kind are said at once. What is shorter than its groove
    is wide makes no lands, only a dimple.
    """
    dimples = {s.number for s in cut.strokes if s.kind != "dot" and s.length < cut.groove[s.number].width}
    whole = [near for near in lands if not dimples.intersection(near.land.strokes)]
    length = {stroke.number: stroke.length for stroke in cut.strokes}
    yield from about_lands(trials, whole, length, crowded=crowded)
    yield from about_standing(trials, enclosures.break_outs, cut)
    enclosed = [island for island in enclosures.islands if island.kind == "enclosed strokes"]
    if enclosed:
        yield _enclosed(trials, enclosed)


def _enclosed(trials: Trials, enclosed: Sequence[Island]) -> Finding:
    count, first = len(enclosed), enclosed[0]
    strokes = tuple(sorted(number for island in enclosed for number in island.strokes))
    where = mostly(trials.layout, (island.where for island in enclosed))
    if count == 1:
        message = (
            f"A part of the drawing, {listed(strokes)}, lies inside {listed(first.enclosed_by)}, {where}: "
            "it is a plunge of its own, cut before what lies round it."
        )
    else:
        message = (
            f"{count} parts of the drawing lie inside others, {where}: each is a plunge of its own, "
            "cut before what lies round it."
        )
    return Finding(
        check="enclosed parts",
        severity="note",
        message=message,
        strokes=strokes,
        where=first.where,
    )
