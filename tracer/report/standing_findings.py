"""What is said of standing wood that breaks out."""

from collections.abc import Iterator, Sequence

from tracer.model.finding import Finding
from tracer.report.cut import Cut
from tracer.report.islands import BreakOut
from tracer.report.letter_wood import what_stands
from tracer.report.lettered import few
from tracer.report.places import place_words
from tracer.report.remedy import cure, partial_cure
from tracer.report.standing_check import StandingCheck
from tracer.report.trial import Trials
from tracer.report.words import listed, mostly, said, wants

MOST_SINGLY = 3
"""Pieces that are said one by one; more are gathered."""


def about_standing(trials: Trials, break_outs: Sequence[BreakOut], cut: Cut) -> Iterator[Finding]:
    """Say which standing wood breaks out, the worst first."""
    worst_first = sorted(break_outs, key=lambda one: one.widest - one.limit)
    groups = [[one] for one in worst_first] if len(break_outs) <= MOST_SINGLY else [worst_first]
    for group in groups:
        yield _finding(trials, group, cut)


def _finding(trials: Trials, group: Sequence[BreakOut], cut: Cut) -> Finding:
    job, worst = trials.job, group[0]
    units = job.units
    where = place_words(trials.layout, worst.island.where)
    through = job.depth >= job.thickness
    one = len(group) == 1
    verb = ("falls out" if one else "fall out") if through else "will break out"
    ring = listed(worst.island.enclosed_by) if worst.island.enclosed_by else "grooves"
    wood_wants = wants(job, worst.limit)
    named = [what_stands(trials, piece.island) for piece in group]
    if one:
        across = said(worst.widest, units)
        what = named[0] or f"a piece of wood ringed by {ring}"
        message = f"{what[0].upper()}{what[1:]} {verb} {where}: it is {across} across; {wood_wants}."
    else:
        places = mostly(trials.layout, (piece.island.where for piece in group))
        widest = max(piece.widest for piece in group)
        which = f" {verb}: {few(named)}" if all(named) else f" ringed by grooves {verb}, {places}"
        message = (
            f"{len(group)} pieces of wood{which}. The smallest, {where}, "
            f"is {said(worst.widest, units)} across, the largest {said(widest, units)}; {wood_wants}."
        )
    check = StandingCheck(group, cut, trials.waste)
    ways = cure(trials, check, who="It holds" if one else "All hold") or partial_cure(trials, check)
    return Finding(
        check="standing wood breaks out",
        severity="loss" if through else "risk",
        message=message,
        strokes=tuple(sorted({number for one in group for number in one.island.enclosed_by})),
        where=worst.island.where,
        measured=worst.widest,
        limit=worst.limit,
        remedy=ways or "Draw what rings it wider, or leave it out.",
        cost=sum(2 * sum(one.island.size) for one in group),
    )
