"""What is said of standing wood that breaks out."""

import math
from collections.abc import Iterator, Sequence

import numpy as np

from tracer.model.finding import Finding
from tracer.report.cut import Cut
from tracer.report.islands import BreakOut
from tracer.report.places import place_words
from tracer.report.remedy import cure, partial_cure
from tracer.report.trial import Mask, Trial, Trials
from tracer.report.words import listed, mostly, said, wants

MOST_SINGLY = 3
"""Pieces that are said one by one; more are gathered."""

SLACK = 0.05
"""mm by which a ring may be measured too wide: wood reaches in between the discs of a groove."""

LONG = 3.0
"""Length in widths of the ring's middle from which on the wood in it stays long (our own choice)."""


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
    if one:
        across = said(worst.widest, units)
        message = f"A piece of wood ringed by {ring} {verb} {where}: it is {across} across; {wood_wants}."
    else:
        places = mostly(trials.layout, (piece.island.where for piece in group))
        widest = max(piece.widest for piece in group)
        message = (
            f"{len(group)} pieces of wood ringed by grooves {verb}, {places}. The smallest, {where}, "
            f"is {said(worst.widest, units)} across, the largest {said(widest, units)}; {wood_wants}."
        )
    check = _Check(group, cut)
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


class _Check:
    """Asks of pieces of standing wood whether each would hold.

    A narrower groove, or a larger figure, leaves more of the ring: the widest circle
    grows by what the groove loses. Only wood that is long whatever happens keeps its
    angle to the grain; the rest is taken to run across.
    """

    def __init__(self, group: Sequence[BreakOut], cut: Cut):
        least = 2 * float(cut.radius.min())
        rims = [[cut.groove[number].width for number in one.island.enclosed_by] for one in group]
        groove = np.array([min(rim, default=least) for rim in rims])
        self._ring = np.array([one.widest for one in group]) + groove
        self._limit = np.array([one.limit for one in group])
        length = np.array([math.hypot(*one.island.size) for one in group]) + groove
        self._long = length > LONG * self._ring

    def __call__(self, trial: Trial) -> Mask:
        """Return which pieces (n,) hold."""
        least = np.where(self._long, self._limit, trial.least_land(np.ones(1))[0])
        holds: Mask = (self._ring - SLACK) * trial.larger - trial.groove >= least
        return holds
