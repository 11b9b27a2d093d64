"""What lands and standing wood are to the letters that they belong to."""

from collections.abc import Iterator, Sequence

import numpy as np

from tracer.model.finding import Finding
from tracer.model.plan import Island
from tracer.report.cut import Cut
from tracer.report.islands import BreakOut
from tracer.report.land_check import LandCheck
from tracer.report.lands import Near
from tracer.report.lettered import Letters, Words, together
from tracer.report.places import place_words
from tracer.report.remedy import cure
from tracer.report.spacing import Pair, pairs_of, trackings
from tracer.report.standing_check import StandingCheck
from tracer.report.trial import Mask, Trial, Trials
from tracer.report.words import said, wants

TOUCH = 0.75
"""Share of the groove from which on two grooves of one letter lie in one another: they touch as drawn."""


def but_own_joins(lands: Sequence[Near], cut: Cut, letters: Letters) -> tuple[Near, ...]:
    """Return the lands but for those where grooves of letters meet as they were drawn to.

    Letters of a running hand go on into one another. Some faces leave a bar a little short of the stem that
    it goes to: in wood the two grooves are one. Written letters touch themselves where the pen turned back.
    """
    strokes = dict(zip(cut.numbers, cut.strokes, strict=True))

    def join(near: Near) -> bool:
        own = near.land.strokes
        if near.land.width > 0 or run_on(letters, own):
            return near.land.width <= 0
        if len(letters.of(own)) != 1:
            return False
        ends = [strokes[n].curves[k, k % 4] for n in own if not strokes[n].closed for k in (0, -1)]
        reach = max(cut.groove[number].width for number in own)
        touches = near.land.width <= -TOUCH * reach and near.land.length <= reach
        return touches or any(np.hypot(*(end - near.land.where)) <= reach for end in ends)

    return tuple(near for near in lands if not join(near))


def run_on(letters: Letters, strokes: Sequence[int]) -> bool:
    """Say whether strokes belong to two neighbours that the face has run on into one another."""
    words = letters.words_at(strokes)
    places = [] if words is None else sorted(words.letters_of(strokes))
    if words is None or len(places) != 2:
        return False
    one, other = (words.marks.letters[k] for k in places)
    return one.joined and places[1] == places[0] + 1 and one.line == other.line


def what_stands(trials: Trials, island: Island) -> str:
    """Return what to call standing wood ringed by letters: "the inside of the e"; "" for any other."""
    names, waste = trials.letters.of(island.enclosed_by), trials.waste
    if not names:
        return ""
    if len(names) > 1:
        return f"the wood between {together(names)}"
    outline = {waste.feeds.get(number) for number in island.enclosed_by} == {"outside"}
    raised = {waste.sides.get(number) for number in island.enclosed_by} == {"outside"}
    return f"the {names[0]} itself" if outline and raised else f"the inside of the {names[0]}"


def is_strip(trials: Trials, strokes: Sequence[int], where: tuple[float, float]) -> bool:
    """Say whether wood between these strokes stands inside a letter that is to be cut in."""
    return bool(trials.letters.of(strokes)) and trials.waste.goes(strokes, where) == "inside"


def about_strips(
    trials: Trials, lands: Sequence[Near], break_outs: Sequence[BreakOut], cut: Cut
) -> Iterator[Finding]:
    """Say of each piece of words where thin wood is left inside letters that are cut round their edges."""
    owners: dict[Words | None, tuple[list[Near], list[BreakOut]]] = {}
    for near in lands:
        owners.setdefault(trials.letters.words_at(near.land.strokes), ([], []))[0].append(near)
    for one in break_outs:
        owners.setdefault(trials.letters.words_at(one.island.enclosed_by), ([], []))[1].append(one)
    for own_lands, own_break_outs in owners.values():
        yield _strips(trials, own_lands, own_break_outs, cut)


def _strips(trials: Trials, lands: Sequence[Near], break_outs: Sequence[BreakOut], cut: Cut) -> Finding:
    job = trials.job
    found: list[tuple[float, float, tuple[float, float], tuple[int, ...]]]
    found = [(n.land.width, n.land.limit, n.land.where, n.land.strokes) for n in lands]
    found += [(one.widest, one.limit, one.island.where, one.island.enclosed_by) for one in break_outs]
    width, limit, where, strokes = min(found, key=lambda one: one[0] - one[1])
    every = tuple(sorted({number for one in found for number in one[3]}))

    def check(trial: Trial) -> Mask:
        masks = [LandCheck(lands, trials.now.groove, trials.waste)(trial)] if lands else []
        masks += [StandingCheck(break_outs, cut, trials.waste)(trial)] if break_outs else []
        return np.concatenate(masks)

    return Finding(
        check="thin wood inside letters",
        severity="risk",
        message=(
            f"Going round their edges leaves thin wood standing inside {together(trials.letters.of(every))}: "
            f"in {together(trials.letters.of(strokes))}, {place_words(trials.layout, where)}, "
            f"{said(width, job.units)} is left; {wants(job, limit)}."
        ),
        strokes=every,
        where=where,
        measured=width,
        limit=limit,
        remedy=f"Clear it away as well (cut cleared). {cure(trials, check, who='It stands')}".strip(),
        cost=sum(near.land.length for near in lands) + sum(2 * sum(b.island.size) for b in break_outs),
    )


def further_apart(trials: Trials, cut: Cut, lands: Sequence[Near]) -> str:
    """Return as a sentence's end which tracking leaves wood enough between letters, "" where none will do."""
    strokes = [number for near in lands for number in near.land.strokes]
    words = trials.letters.words_at(strokes)
    if words is None:
        return ""
    neighbours: dict[tuple[int, ...], Pair] = {
        (pair.a, pair.b): pair for pair in pairs_of(trials, words, cut)
    }
    pairs = [neighbours.get(_places(words, near)) for near in lands]
    if None in pairs or any(run_on(trials.letters, near.land.strokes) for near in lands):
        return ""
    least = float(trials.now.least_land(np.ones(1))[0])
    for tracking, further in trackings(words, 1):
        if all(pair is not None and pair.gap(further) >= least for pair in pairs):
            return f"set the letters further apart, with a tracking of {tracking:.2f}."
    return ""


def _places(words: Words, near: Near) -> tuple[int, ...]:
    """Return the places of the letters that a land lies between."""
    return tuple(sorted(words.letters_of(near.land.strokes)))
