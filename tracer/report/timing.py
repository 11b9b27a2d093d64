"""How long it takes, and the sums for the whole job."""

from collections.abc import Mapping, Sequence

import numpy as np

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.plan import DepthStop, Leg, Run, Totals
from tracer.shop.router import fill_volume_ml


def tracing_time(template_length: float, speed: float, *, passes: int, plunges: int, plunge: float) -> float:
    """Return seconds for following `template_length` mm at `speed` mm/s in `passes`, and lifting.

    L / v x passes + plunges x passes x t [D]: the hand moves over the template, so
    its length counts and not the carving's. `plunges` is without passes, `plunge`
    the seconds for one with its lift.
    """
    return template_length / speed * passes + plunges * passes * plunge


def totals(
    runs: Sequence[Run],
    job: Job,
    stops: Sequence[DepthStop],
    *,
    with_retracing: int,
    without_retracing: int,
    fresh: Mapping[int, float] | None = None,
) -> Totals:
    """Return the sums of the chosen runs; `with_retracing` and `without_retracing` are plunges of either way.

    `template_length` is that of the grooves, each once; the time counts what is
    gone over again as well. `fresh` says of strokes that lie in the grooves of others what share of the
    wood is theirs. Between the slow and the quick figure lie the speeds
    and plunge times of the job.
    """
    cut = retraced = low = high = removed = 0.0
    plunges, shares = 0, fresh or {}
    for stop in stops:
        own = [run for run in runs if run.stop == stop.number]
        legs = [leg for run in own for leg in run.legs]
        new, over = (_length([leg for leg in legs if leg.retraced == again]) for again in (False, True))
        passes = len(stop.pass_depths)
        slow, quick = (
            tracing_time((new + over) / job.ratio, speed, passes=passes, plunges=len(own), plunge=plunge)
            for speed, plunge in ((job.speed_low, job.plunge_high), (job.speed_high, job.plunge_low))
        )
        cut, retraced, low, high = cut + new, retraced + over, low + quick, high + slow
        plunges += len(own) * passes
        rings = [leg for leg in legs if not leg.retraced and leg.stroke in shares]
        spared = sum((1 - shares[leg.stroke]) * _length([leg]) for leg in rings)
        removed += fill_volume_ml(job.bit, stop.depth, new - spared)
    return Totals(
        plunges=len(runs),
        plunges_with_passes=plunges,
        plunges_with_retracing=with_retracing,
        plunges_without_retracing=without_retracing,
        passes=max((len(stop.pass_depths) for stop in stops), default=0),
        carving_length=cut,
        template_length=cut / job.ratio,
        retraced=retraced,
        time_low=low,
        time_high=high,
        removed_ml=removed,
    )


def _length(legs: Sequence[Leg]) -> float:
    return bezier.length(np.concatenate([leg.curves for leg in legs])) if legs else 0.0
