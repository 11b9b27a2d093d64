"""How long it takes, and the sums for the whole job."""

from collections.abc import Sequence

import numpy as np

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.plan import Leg, Run, Totals


def tracing_time(template_length: float, speed: float, *, passes: int, plunges: int, plunge: float) -> float:
    """Return seconds for following `template_length` mm at `speed` mm/s in `passes`, and lifting.

    L / v x passes + plunges x passes x t [D]: the hand moves over the template, so
    its length counts and not the carving's. `plunges` is without passes, `plunge`
    the seconds for one with its lift.
    """
    return template_length / speed * passes + plunges * passes * plunge


def totals(
    runs: Sequence[Run], job: Job, *, with_retracing: int, without_retracing: int, passes: int
) -> Totals:
    """Return the sums of the chosen runs; `with_retracing` and `without_retracing` are plunges of either way.

    `template_length` is that of the grooves, each once; the time counts what is
    gone over again as well. Between the slow and the quick figure lie the speeds
    and plunge times of the job.
    """
    legs = [leg for run in runs for leg in run.legs]
    cut, again = (_length([leg for leg in legs if leg.retraced == over]) for over in (False, True))
    followed = (cut + again) / job.ratio
    low, high = (
        tracing_time(followed, speed, passes=passes, plunges=len(runs), plunge=plunge)
        for speed, plunge in ((job.speed_high, job.plunge_low), (job.speed_low, job.plunge_high))
    )
    return Totals(
        plunges=len(runs),
        plunges_with_passes=len(runs) * passes,
        plunges_with_retracing=with_retracing,
        plunges_without_retracing=without_retracing,
        passes=passes,
        carving_length=cut,
        template_length=cut / job.ratio,
        retraced=again,
        time_low=low,
        time_high=high,
    )


def _length(legs: Sequence[Leg]) -> float:
    return bezier.length(np.concatenate([leg.curves for leg in legs])) if legs else 0.0
