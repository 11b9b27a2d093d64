"""What a figure loses at a few other sizes, quickly: for the report of a pack, which must not wait."""

import math

from tracer.job import Job
from tracer.model.layout import Layout
from tracer.model.sizes import Side, SizeCurve, SizeRow
from tracer.report.looks import COARSE, Looks
from tracer.report.sizes import LONGEST, largest_on_board, rounded, size_of

TIMES = (1.0, 2.0, 0.7, 1.4, 0.5, 2.8)
"""Sizes looked at, as multiples of that asked for, the most telling first."""

FEWEST = 3
"""Sizes that are a curve."""

_MOST, _MOST_OF_FEWEST = 36_000, 65_000
"""Samples of the wood for all sizes together, and for the fewest: about a third of a second, and two thirds,
in another process (measured, 2026), which is under 5 % of what the pack of such a figure takes."""

_AFRESH = 3
"""Times as dear as others are sizes that share no triangulation."""


def find_curve(layout: Layout, job: Job) -> SizeCurve | None:
    """Return what becomes of the figure of `layout`, its only piece, at a few sizes.

    None for several pieces or a figure without size, and where even a few sizes would take long.
    Counts are those of `find_sizes`, to a few per cent those of a plan.

    Raises
    ------
    BitError, JobError
        As for a plan.
    """
    if len(layout.pieces) != 1:
        return None
    width, height = size_of(layout)
    asked = width or height
    if not asked:
        return None
    looks = Looks(layout, job)
    times = _worth(looks, job, asked)
    if len(times) < FEWEST:
        return None
    side: Side = "wide" if width > 0 else "high"
    return SizeCurve(
        job=job,
        width=width,
        height=height,
        side=side,
        rows=tuple(
            SizeRow(width * look.times, height * look.times, look.losses)
            for look in [looks.at(one) for one in sorted(times, reverse=True)][::-1]
        ),
        largest=largest_on_board(layout, job, asked),
    )


def _worth(looks: Looks, job: Job, asked: float) -> list[float]:
    """Return the sizes for which there is time, as multiples of that asked for."""
    length = float(looks.figure.lengths.sum())
    dear = _AFRESH if looks.follows_size(job) else 1
    times, samples = list[float](), 0.0
    for one in TIMES:
        said = asked if one == 1.0 else rounded(asked * one, job.units)
        samples += dear * length * said / asked / (COARSE * job.groove)
        if samples > (_MOST if len(times) >= FEWEST else _MOST_OF_FEWEST):
            break
        if said <= LONGEST and not any(math.isclose(said / asked, known) for known in times):
            times.append(said / asked)
    return times
