"""A set of decisions about single strokes that cures what can be cured so, checked by planning again."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from tracer.acts import Acts
from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.plan import Land, Plan
from tracer.report.build import Planner
from tracer.report.fix import Fix, Toll

SIDE_BY_SIDE = 0.5
"""Share of the longer stroke along which two of one bundle are too near each other (our own choice)."""

WORTH_IT = 0.25
"""Share of a stroke along which it must be too near others to be left out for it (our own choice).

Else the cure costs more than it saves: an outline that comes near another in one place stays.
"""

FEWEST = 3
"""Strokes of a bundle: of two that lie side by side one is left out."""

_ROUNDS = 3
"""Times that strokes are left out: with some of them gone others come to light as neighbours."""


def propose(planner: Planner, job: Job) -> Fix:
    """Return what to leave out and to thin out so that less runs together and less breaks.

    Bundles of near-parallel strokes are thinned out first. Where grooves still run together, or leave too
    little wood, for a fair part of a stroke, strokes are left out, short ones that stand in the way of
    many rather than long ones. Nothing is kept that the bit will not hold; no edge of a solid goes, no part
    of a letter or a border, nor what the user keeps. Each round is planned anew, and refused where it does
    not help.
    """
    before, lands = _planned(planner, job, job.acts)
    first = toll = Toll.of(before, lands)
    best, refused, seen = before, job.acts, list(lands)
    for ways in (_thinned, *[_without] * _ROUNDS):
        acts = ways(best, lands)
        if acts in (best.job.acts, refused):
            continue
        plan, left = _planned(planner, job, acts)
        now = Toll.of(plan, left)
        if now.run_together <= toll.run_together and now.places < toll.places:
            best, lands, toll = plan, left, now
            seen += lands
        else:
            refused = acts
    acts = _without_idle(best, job.acts, seen)
    if acts != best.job.acts:
        plan, left = _planned(planner, job, acts)
        now = Toll.of(plan, left)
        if now.run_together <= toll.run_together and now.places <= toll.places:
            best, toll = plan, now
    return Fix(best.job.acts, before, best, first, toll)


def _planned(planner: Planner, job: Job, acts: Acts) -> tuple[Plan, list[Land]]:
    """Return the plan with these decisions, and its lands that strokes could be left out for."""
    plan = planner.plan(replace(job, acts=acts))
    return plan, [near.land for near in planner.wood.lands if not near.wedge]


def _thinned(plan: Plan, lands: Sequence[Land]) -> Acts:
    """Return the plan's decisions with bundles to be thinned out."""
    acts = plan.job.acts
    return replace(acts, thin_out=(*acts.thin_out, *_bundles(plan, lands)))


def _without(plan: Plan, lands: Sequence[Land]) -> Acts:
    """Return the plan's decisions with strokes to be left out."""
    acts = plan.job.acts
    return replace(acts, leave_out=tuple(sorted({*acts.leave_out, *_in_the_way(plan, lands)})))


def _without_idle(plan: Plan, own: Acts, seen: Sequence[Land]) -> Acts:
    """Return the plan's decisions but for strokes left out though all that came near them is gone.

    And bundles without what is left out of them. `own` are the user's; `seen` are lands of all rounds.
    """
    gone = [one.stroke for one in plan.dropped if one.stroke not in plan.job.acts.leave_out]
    new = [number for number in plan.job.acts.leave_out if number not in own.leave_out]
    stays = [*gone, *(number for number in own.leave_out)]
    needed = _needed(new, [land for land in seen if not set(land.strokes).intersection(stays)])
    bundles = [tuple(n for n in one if n not in needed) for one in plan.job.acts.thin_out]
    return replace(
        plan.job.acts,
        leave_out=tuple(sorted({*own.leave_out, *needed})),
        thin_out=(*own.thin_out, *(one for one in bundles[len(own.thin_out) :] if len(one) > 1)),
    )


def _bundles(plan: Plan, lands: Iterable[Land]) -> tuple[tuple[int, ...], ...]:
    """Return bundles of at least FEWEST strokes that lie side by side, too near one another."""
    free = _free(plan)
    beside = [
        land.strokes
        for land in lands
        if set(land.strokes) <= set(free)
        and land.strokes[0] != land.strokes[1]
        and land.length >= SIDE_BY_SIDE * max(free[number].length for number in land.strokes)
    ]
    groups: list[set[int]] = []
    for pair in beside:
        touched = [group for group in groups if group.intersection(pair)]
        groups = [group for group in groups if group not in touched] + [set(pair).union(*touched)]
    known = {number for bundle in plan.job.acts.thin_out for number in bundle}
    return tuple(sorted(tuple(sorted(g)) for g in groups if len(g) >= FEWEST and not g.intersection(known)))


def _in_the_way(plan: Plan, lands: Sequence[Land]) -> tuple[int, ...]:
    """Return strokes without which no two come too near one another for a fair part of their length.

    Again and again the one that costs the least line for each place that it cures (Chvatal 1979).
    """
    free = _free(plan)
    open_ = [land for land in lands if land.strokes[0] != land.strokes[1]]
    out: list[int] = []
    while True:
        near: dict[int, float] = {}
        count: dict[int, int] = {}
        for land in open_:
            for number in free.keys() & set(land.strokes):
                near[number] = near.get(number, 0.0) + land.length
                count[number] = count.get(number, 0) + 1
        worth = [n for n in near if near[n] >= WORTH_IT * free[n].length]
        if not worth:
            return tuple(sorted(out))
        least = min(worth, key=lambda n: (free[n].length / count[n], n))
        out.append(least)
        open_ = [land for land in open_ if least not in land.strokes]


def _needed(out: Sequence[int], lands: Iterable[Land]) -> tuple[int, ...]:
    """Return those of `out` that cure some place which the others do not."""
    needed = list(out)
    for number in out:
        rest = {*needed} - {number}
        if all(rest.intersection(land.strokes) for land in lands if number in land.strokes):
            needed.remove(number)
    return tuple(sorted(needed))


def _free(plan: Plan) -> Mapping[int, Stroke]:
    """Return the strokes that may go: a picture's, cut, no edge of a solid, and not kept by the user."""
    acts = plan.job.acts
    held = {*acts.keep, *(n for join in acts.join for n in (join.a, join.b))}
    cut = {groove.stroke for groove in plan.grooves}
    return {
        s.number: s
        for s in plan.strokes
        if s.kind != "edge" and s.number in cut and s.number in plan.layout.from_art and s.number not in held
    }
