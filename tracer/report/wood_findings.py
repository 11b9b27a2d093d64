"""What is said of the wood that is left: lands, standing wood, and what lies enclosed in it."""

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from tracer.model.finding import Finding
from tracer.model.plan import Island
from tracer.report.cut import Cut
from tracer.report.islands import Enclosures
from tracer.report.land_findings import about_lands
from tracer.report.lands import Near
from tracer.report.letter_wood import about_strips, is_strip
from tracer.report.standing_findings import about_standing
from tracer.report.trial import Trials
from tracer.report.words import mostly

T = TypeVar("T")


def about_wood(
    trials: Trials, cut: Cut, lands: Sequence[Near], enclosures: Enclosures, *, crowded: bool = False
) -> Iterator[Finding]:
    """Say where grooves run together, where too little wood is left, and what stands or lies enclosed.

    Where it is `crowded`, all lands of a kind are said at once. What is shorter than its groove
    is wide makes no lands, only a dimple.
    """
    dimples = {s.number for s in cut.strokes if s.kind != "dot" and s.length < cut.groove[s.number].width}
    whole = [near for near in lands if not dimples.intersection(near.land.strokes)]

    def strip(strokes: Sequence[int], where: tuple[float, float]) -> bool:
        return is_strip(trials, strokes, where)

    strips, apart = _parted(whole, lambda near: strip(near.land.strokes, near.land.where))
    out = enclosures.break_outs
    hollow, ringed = _parted(out, lambda one: strip(one.island.enclosed_by, one.island.where))
    yield from about_lands(trials, apart, cut, crowded=crowded)
    yield from about_standing(trials, ringed, cut)
    if strips or hollow:
        yield from about_strips(trials, strips, hollow, cut)
    enclosed = [island for island in enclosures.islands if island.kind == "enclosed strokes"]
    if enclosed:
        yield _enclosed(trials, enclosed)


def _parted(things: Sequence[T], holds: Callable[[T], bool]) -> tuple[list[T], list[T]]:
    """Return those of which something holds, and the others."""
    sides: tuple[list[T], list[T]] = [], []
    for one in things:
        sides[not holds(one)].append(one)
    return sides


def _enclosed(trials: Trials, enclosed: Sequence[Island]) -> Finding:
    count, first = len(enclosed), enclosed[0]
    strokes = tuple(sorted(number for island in enclosed for number in island.strokes))
    named = trials.letters.named
    where = mostly(trials.layout, (island.where for island in enclosed))
    if count == 1:
        message = (
            f"A part of the drawing, {named(strokes)}, lies inside {named(first.enclosed_by)}, {where}: "
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
        remedy="Nothing need be done: follow the runs in the order of their numbers.",
    )
