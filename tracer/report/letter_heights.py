"""What would give letters another height or another stroke, in words for the bench."""

import math
from collections.abc import Iterator

from tracer.job import Job
from tracer.lengths import both
from tracer.report.board_findings import LEAST_FLOOR
from tracer.report.change import DEPTH_STEPS, LEAST_REMEDY, SIZE_STEPS, depth_words, room_for
from tracer.report.lettered import Words
from tracer.report.trial import Trials
from tracer.shop.bits import Bit

_NOISE = 1e-9


def capitals_from(trials: Trials, words: Words, height: float) -> str:
    """Return "capitals from 35 mm (1 3/8 in) high", and what the board takes where that is less."""
    step = SIZE_STEPS[trials.job.units]
    least = math.ceil(height / step - _NOISE) * step
    most = words.height * room_for(trials.layout, trials.job)
    room = f", but this board takes only {both(most, trials.job.units, down=True)}" if most < least else ""
    return f"capitals from {both(least, trials.job.units)} high{room}"


def capitals_to(trials: Trials, height: float) -> str:
    """Return "capitals up to 18 mm (11/16 in) high", "" where that is none that can be said."""
    step = SIZE_STEPS[trials.job.units]
    most = math.floor(height / step + _NOISE) * step
    return f"capitals up to {both(most, trials.job.units, down=True)} high" if most > 0 else ""


def grooves_between(job: Job, low: float, high: float) -> Iterator[str]:
    """Yield how a groove from `low` to `high` mm wide is cut: by another depth, and by a bit at hand.

    Of the depths that can be set that is taken that is nearest to the job's.
    """
    own = _depth_for(job, job.bit, low, high)
    if own is not None:
        yield depth_words(own, job.units)
    others = [(name, bit) for name, bit in job.bits if bit != job.bit]
    found = [(abs(depth - job.depth), name, depth) for name, bit in others
             if (depth := _depth_for(job, bit, low, high)) is not None]  # fmt: skip
    if found:
        _, name, depth = min(found)
        yield f"with your bit “{name}” {depth_words(depth, job.units)}"


def _depth_for(job: Job, bit: Bit, low: float, high: float) -> float | None:
    """Return the depth nearest to the job's at which a bit's groove is so wide, None where there is none."""
    deepest = min(job.thickness - min(LEAST_FLOOR, job.thickness / 2), bit.max_depth or math.inf)
    step = DEPTH_STEPS[job.units]
    marks = (k * step for k in range(math.ceil(LEAST_REMEDY / step), math.floor(deepest / step + _NOISE) + 1))
    depths = [*marks, *([job.depth] if job.depth <= deepest + _NOISE else [])]
    fit = [depth for depth in depths if low - _NOISE <= bit.width_at(depth) <= high + _NOISE]
    return min(fit, key=lambda depth: abs(depth - job.depth), default=None)
