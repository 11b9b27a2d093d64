"""What is said of lands: where grooves run together, where wood is thin, where it comes to a point."""

from collections.abc import Iterator, Sequence

from tracer.lengths import quoted
from tracer.model.finding import Finding
from tracer.report.bundles import Bundle, bundles
from tracer.report.cut import Cut
from tracer.report.joined import NEAR
from tracer.report.land_check import LandCheck, fewest
from tracer.report.lands import Near
from tracer.report.letter_wood import further_apart
from tracer.report.lettered import together
from tracer.report.places import piece_names, place_words
from tracer.report.remedy import cure, partial_cure
from tracer.report.trial import Trials
from tracer.report.words import MOST_NAMED, in_all, listed, mostly, said, wants

MOST_SINGLY = 4
"""Bundles of lands that are said one by one, those that cost most; the rest are gathered."""

MOST_LEFT_OUT = 4
"""Strokes that are named to be left out; where more would have to go it is no remedy (our own choice)."""

SHORT_GRAIN = 0.5
"""Squared sine of the angle to the grain from which on a land is said to run across it: 45 degrees."""


def about_lands(trials: Trials, lands: Sequence[Near], cut: Cut, *, crowded: bool) -> Iterator[Finding]:
    """Say where grooves run together, where too little wood is left between, and where it comes to a point.

    `cut` is what is cut. Where it is `crowded`, all of a kind are
    said at once: what fails is the job as a whole.
    """
    singly = 0 if crowded else MOST_SINGLY
    apart = [near for near in lands if not near.wedge]
    merged, thin = ([n for n in apart if (n.land.width <= 0) == gone] for gone in (True, False))
    yield from (_merged(trials, group, cut) for group in _worth_saying(bundles(merged), singly))
    yield from (_thin(trials, group, cut) for group in _worth_saying(bundles(thin), singly))
    wedges = [near for near in lands if near.wedge]
    if wedges:
        yield _wedges(trials, wedges)


def _worth_saying(groups: Sequence[Bundle], singly: int) -> list[Bundle]:
    """Return the costliest bundles, and all others as one."""
    if len(groups) <= singly + 1:
        return list(groups)
    rest = [near for group in groups[singly:] for near in group.lands]
    return [*groups[:singly], Bundle.of(rest)]


def _merged(trials: Trials, group: Bundle, cut: Cut) -> Finding:
    units, worst = trials.job.units, group.worst.land
    where = place_words(trials.layout, worst.where)
    by = f"{said(-worst.width, units)} over {said(worst.length, units)}"
    own = len(group.strokes) == 1
    if len(group.lands) > 1:
        runs = "runs into its own groove" if own else "run together"
        message = (
            f"{_begun(_who(trials, group))} {runs} in {_places(trials, group)}. "
            f"{_worst(trials, group)} {where}: an overlap of {by}."
        )
    elif own:
        who = _begun(trials.letters.named(group.strokes))
        message = f"{who} runs into its own groove {where}: an overlap of {by}."
    else:
        message = f"{_begun(_who(trials, group))} run together {where}: their grooves overlap by {by}."
    return Finding(
        check="grooves run together",
        severity="loss",
        message=message,
        strokes=group.strokes,
        where=worst.where,
        measured=worst.width,
        limit=worst.limit,
        remedy=_cure(trials, group, cut, merged=True),
        cost=group.cost,
    )


def _thin(trials: Trials, group: Bundle, cut: Cut) -> Finding:
    job, units, worst = trials.job, trials.job.units, group.worst.land
    where = place_words(trials.layout, worst.where)
    left = (
        f"{said(worst.width, units)} is left, for {said(worst.length, units)} of its length"
        f"{_grain(trials, group.worst)}; "
        f"{wants(job, worst.limit)} there."
    )
    own = len(group.strokes) == 1
    wood = f"The wood {'beside' if own else 'between'} {_who(trials, group)}"
    if (
        own
        and (names := trials.letters.of(group.strokes))
        and trials.waste.sides.get(worst.strokes[0]) == "outside"
    ):
        wood = f"The {names[0]} itself"
    if len(group.lands) > 1:
        message = f"{wood} may break out in {_places(trials, group)}. {_worst(trials, group)} {where}: {left}"
    else:
        message = f"{wood} may break out {where}: {left}"
    return Finding(
        check="wood too thin",
        severity="risk",
        message=message,
        strokes=group.strokes,
        where=worst.where,
        measured=worst.width,
        limit=worst.limit,
        remedy=_cure(trials, group, cut, merged=False),
        cost=group.cost,
    )


def _who(trials: Trials, group: Bundle) -> str:
    """Return which strokes, or how many where naming them helps nobody."""
    if names := trials.letters.of(group.strokes):
        return together(names) if len(names) > 1 else trials.letters.named(group.strokes)
    many = len(group.strokes)
    return f"{many} strokes" if many > MOST_NAMED else listed(group.strokes)


def _worst(trials: Trials, group: Bundle) -> str:
    return "Worst" if len(group.strokes) == 1 else f"Worst, {_pair(trials, group.worst.land.strokes)},"


def _places(trials: Trials, group: Bundle) -> str:
    where = mostly(trials.layout, group.places)
    return f"{len(group.lands)} places, {where}, {in_all(group.cost, trials.job.units)} in all"


def _pair(trials: Trials, strokes: tuple[int, int]) -> str:
    return trials.letters.named(sorted(set(strokes)))


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]


def _grain(trials: Trials, near: Near) -> str:
    """Return the words for short grain, where the wood has any."""
    wood = trials.job.wood
    if wood.land_across == wood.land_along:
        return ""
    short = trials.now.least_land(near.places[:, 1]) - near.places[:, 0]
    return ", short grain" if near.places[short.argmax(), 1] > SHORT_GRAIN else ""


def _cure(trials: Trials, group: Bundle, cut: Cut, *, merged: bool) -> str:
    """Return what makes all these lands hold, else keeps the grooves apart, else helps most of them."""
    groove, one = trials.now.groove, len(group.lands) == 1
    check = LandCheck(group.lands, groove, trials.waste)
    ways = cure(trials, check, who="It holds" if one else "All hold")
    if not ways and merged:
        apart = LandCheck(group.lands, groove, trials.waste, left=True)
        ways = cure(trials, apart, who="The grooves stay apart, with thin wood between,")
        ways = ways or partial_cure(trials, apart, verb="stay apart")
    ways = ways or partial_cure(trials, check)
    less = " Or ".join(filter(None, [_apart(trials, group), _less(trials, group, cut)]))
    if not ways or not less:
        return ways or less[:1].upper() + less[1:]
    return f"{ways} Or {less}"


def _apart(trials: Trials, group: Bundle) -> str:
    """Return how two pieces would have to lie, where all the lands are between them."""
    layout = trials.layout
    owners = {frozenset(layout.piece_of(number) for number in near.land.strokes) for near in group.lands}
    pair = [k for k in min(owners, key=len) if k is not None]
    if len(owners) != 1 or len(pair) != 2:
        return ""
    one, other = (quoted(piece_names(layout)[k]) for k in sorted(pair))
    if group.worst.land.width < NEAR - trials.now.groove:
        return f"lay {one} and {other} where they do not meet."
    more = max(near.land.limit - near.land.width for near in group.lands)
    return f"lay {one} and {other} at least {said(more, trials.job.units)} farther apart."


def _less(trials: Trials, group: Bundle, cut: Cut) -> str:
    """Return what could be left out, or of letters how far apart they could be, as the end of a sentence."""
    if trials.letters.of(group.strokes):
        return further_apart(trials, cut, group.lands)
    if len(group.strokes) == 1:
        return ""
    if len(group.strokes) == 2:
        return "leave out one of the two."
    length = {stroke.number: stroke.length for stroke in cut.strokes}
    gone = fewest([near.land.strokes for near in group.lands], length, most=MOST_LEFT_OUT)
    return f"leave out {listed(gone)}." if gone else "thin them out: tracer check --fix proposes how."


def _wedges(trials: Trials, wedges: Sequence[Near]) -> Finding:
    longest = max(wedges, key=lambda near: near.land.length).land
    units, where = trials.job.units, place_words(trials.layout, longest.where)
    pair = _pair(trials, longest.strokes)
    of = f"{pair} with itself" if longest.strokes[0] == longest.strokes[1] else pair
    over = said(longest.length, units)
    if len(wedges) == 1:
        message = f"Grooves part slowly {where}, {of}: the sharp point of wood between, {over}, may crumble."
    else:
        places = mostly(trials.layout, (near.land.where for near in wedges))
        message = (
            f"Grooves part slowly in {len(wedges)} places, {places}, and the sharp points of wood between "
            f"may crumble. The longest, {where}, {of}, is {over}."
        )
    return Finding(
        check="sharp wedge",
        severity="risk",
        message=message,
        strokes=tuple(sorted({number for near in wedges for number in near.land.strokes})),
        where=longest.where,
        measured=longest.width,
        limit=longest.limit,
        remedy="Use a sharp bit and make the last pass a light one there.",
        cost=sum(near.land.length for near in wedges),
    )
