"""What is said of the wood that is left: lands, wedges, islands."""

from collections.abc import Iterator, Sequence

from tracer.job import Job
from tracer.lengths import both
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.model.plan import Island
from tracer.report import remedy
from tracer.report.findings import listed
from tracer.report.islands import BreakOut, Enclosures
from tracer.report.lands import Near
from tracer.report.places import place_words

MOST_SINGLY = 6
"""Bundles of lands, and break-outs, that are said one by one; more are gathered."""


def about_wood(layout: Layout, job: Job, lands: Sequence[Near], enclosures: Enclosures) -> Iterator[Finding]:
    """Say where grooves run together, where too little wood is left, and what stands or lies enclosed."""
    groove = job.groove
    dimples = {stroke.number for stroke in layout.strokes if stroke.kind != "dot" and stroke.length < groove}
    lands = [near for near in lands if not dimples.intersection(near.land.strokes)]
    apart = [near for near in lands if not near.wedge]
    merged, thin = ([n for n in apart if (n.land.width <= 0) == gone] for gone in (True, False))
    yield from (_merged(layout, job, group) for group in _gathered(layout, merged))
    yield from (_thin(layout, job, group) for group in _gathered(layout, thin))
    wedges = [near for near in lands if near.wedge]
    if wedges:
        yield _wedges(layout, job, wedges)
    yield from _break_outs(layout, job, enclosures.break_outs)
    enclosed = [island for island in enclosures.islands if island.kind == "enclosed strokes"]
    if enclosed:
        yield _enclosed(layout, enclosed)


def _gathered(layout: Layout, lands: Sequence[Near]) -> list[list[Near]]:
    """Gather lands, the worst of each first: a bundle of whiskers is one finding, many are one a place."""
    groups = _bundles(lands)
    if len(groups) > MOST_SINGLY:
        by_place: dict[str, list[Near]] = {}
        for near in lands:
            by_place.setdefault(place_words(layout, near.land.where), []).append(near)
        groups = list(by_place.values())
    return [sorted(group, key=lambda near: near.land.width - near.land.limit) for group in groups]


def _bundles(lands: Sequence[Near]) -> list[list[Near]]:
    """Gather the lands whose strokes hang together by such lands."""
    bundles: list[tuple[set[int], list[Near]]] = []
    for near in lands:
        touched = [bundle for bundle in bundles if bundle[0].intersection(near.land.strokes)]
        bundles = [bundle for bundle in bundles if bundle not in touched]
        strokes = set(near.land.strokes).union(*(bundle[0] for bundle in touched))
        bundles.append((strokes, [one for bundle in touched for one in bundle[1]] + [near]))
    return [bundle[1] for bundle in bundles]


def _strokes(lands: Sequence[Near]) -> tuple[int, ...]:
    return tuple(sorted({number for near in lands for number in near.land.strokes}))


def _between(numbers: tuple[int, ...]) -> str:
    return f"stroke {numbers[0]} and itself" if len(numbers) == 1 else listed(numbers)


def _merged(layout: Layout, job: Job, lands: Sequence[Near]) -> Finding:
    worst, numbers = lands[0].land, _strokes(lands)
    return Finding(
        check="grooves run together",
        severity="loss",
        message=(
            f"The grooves of {_between(numbers)} run together {place_words(layout, worst.where)}: "
            f"{_worst(lands)}they overlap by {both(-worst.width, job.units)} "
            f"over {both(worst.length, job.units)}."
        ),
        strokes=numbers,
        where=worst.where,
        measured=worst.width,
        limit=worst.limit,
        remedy=_cure(layout, job, lands),
    )


def _thin(layout: Layout, job: Job, lands: Sequence[Near]) -> Finding:
    worst, numbers = lands[0].land, _strokes(lands)
    return Finding(
        check="wood too thin",
        severity="risk",
        message=(
            f"The wood between {_between(numbers)} may break out {place_words(layout, worst.where)}: "
            f"{_worst(lands)}{both(worst.width, job.units)} is left over {both(worst.length, job.units)}, "
            f"and the rule of thumb for {job.wood.name} there asks for {both(worst.limit, job.units)}."
        ),
        strokes=numbers,
        where=worst.where,
        measured=worst.width,
        limit=worst.limit,
        remedy=_cure(layout, job, lands),
    )


def _worst(lands: Sequence[Near]) -> str:
    return f"at the worst, {_between(tuple(sorted(set(lands[0].land.strokes))))}, " if len(lands) > 1 else ""


def _cure(layout: Layout, job: Job, lands: Sequence[Near]) -> str:
    """Return what makes all these lands hold; spacing, groove and rule are known, so it is a sum."""
    short = max(near.land.limit - near.land.width for near in lands)
    spacings = [(job.groove + near.land.limit, job.groove + near.land.width) for near in lands]
    factor = max(need / has if has > 1e-6 else float("inf") for need, has in spacings)
    ways = remedy.cures(layout, job, widest=job.groove - short, factor=factor)
    if len(_strokes(lands)) == 1:
        return ways
    worst = " or ".join(str(number) for number in sorted(set(lands[0].land.strokes)))
    leave_out = "eave out one of the two." if len(lands) == 1 else f"eave out stroke {worst} to begin with."
    return f"{ways} Or l{leave_out}" if ways else f"L{leave_out}"


def _wedges(layout: Layout, job: Job, wedges: Sequence[Near]) -> Finding:
    worst = min(wedges, key=lambda near: near.land.width).land
    count = len(wedges)
    places = "one place" if count == 1 else f"{count} places"
    pair = tuple(sorted(set(worst.strokes)))
    return Finding(
        check="sharp wedge",
        severity="risk",
        message=(
            f"In {places} grooves part so slowly that the point of the wood between them crumbles: worst "
            f"{place_words(layout, worst.where)}, {_between(pair)}, over {both(worst.length, job.units)}."
        ),
        strokes=_strokes(wedges),
        where=worst.where,
        measured=worst.width,
        limit=worst.limit,
        remedy="Cut these with a sharp bit and a light last pass, or draw the lines apart sooner.",
    )


def _break_outs(layout: Layout, job: Job, break_outs: Sequence[BreakOut]) -> Iterator[Finding]:
    through = job.depth >= job.thickness
    worst_first = sorted(break_outs, key=lambda one: one.widest - one.limit)
    singly = len(break_outs) <= MOST_SINGLY
    for one in worst_first if singly else worst_first[:1]:
        count = "A piece of" if singly else f"{len(break_outs)} pieces of"
        verb = "falls out" if through else "will break out"
        yield Finding(
            check="standing wood breaks out",
            severity="loss" if through else "risk",
            message=(
                f"{count} standing wood {verb} {place_words(layout, one.island.where)}, ringed by "
                f"{listed(one.island.enclosed_by)}: {both(one.widest, job.units)} across"
                f"{'' if singly else ' the smallest'}, and the rule of thumb for {job.wood.name} "
                f"asks for {both(one.limit, job.units)}."
            ),
            strokes=one.island.enclosed_by,
            where=one.island.where,
            measured=one.widest,
            limit=one.limit,
            remedy=_larger_island(layout, job, one),
        )


def _larger_island(layout: Layout, job: Job, one: BreakOut) -> str:
    """Return what makes a ringed piece wide enough: it is as wide as its ring less one groove."""
    ring = one.widest + job.groove
    return remedy.cures(
        layout, job, widest=job.groove - (one.limit - one.widest), factor=(job.groove + one.limit) / ring
    )


def _enclosed(layout: Layout, enclosed: Sequence[Island]) -> Finding:
    count = len(enclosed)
    first = enclosed[0]
    what = "A part of the drawing lies" if count == 1 else f"{count} parts of the drawing lie"
    each = "it is a plunge of its own" if count == 1 else "each is a plunge of its own"
    return Finding(
        check="enclosed parts",
        severity="note",
        message=(
            f"{what} inside a ring of other grooves ({place_words(layout, first.where)}"
            f"{'' if count == 1 else ' and elsewhere'}): {each}, cut before what lies round it."
        ),
        strokes=tuple(sorted(number for island in enclosed for number in island.strokes)),
        where=first.where,
    )
