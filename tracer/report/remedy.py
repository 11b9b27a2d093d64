"""What would cure a finding; each answer is the same question asked again, and holds, before it is given."""

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

import numpy as np

from tracer.job import Job
from tracer.model.layout import Layout
from tracer.report.change import (
    LEAST_DEPTH,
    MOST_LARGER,
    depth_words,
    lesser_depths,
    other_bits,
    size_step,
    size_words,
    sizes,
)
from tracer.report.trial import Check, Mask, Trial, Trials
from tracer.shop.bits import Bit

__all__ = [
    "LEAST_DEPTH",
    "MOST_LARGER",
    "cure",
    "cures",
    "either",
    "for_far_too_wide",
    "for_groove",
    "partial_cure",
]

NEARLY_ALL = 0.9
"""Share of what can be held at all that a remedy must hold to be worth saying (our own choice)."""

FEW = 4
"""Things below which it is no help to hear how many of them would hold (our own choice)."""

WORTH_IT = 0.5
"""Share of all below which a remedy that holds only a part is not said (our own choice)."""

_NOISE = 1e-9

T = TypeVar("T")


def cure(trials: Trials, check: Check, *, who: str = "It holds") -> str:
    """Return as a sentence what makes all hold that `check` asks about, "" where nothing does.

    Tried are a shallower depth, the bits at hand and then those commonly sold, bit and
    depth together where neither will do alone, and a larger figure. `who` begins the sentence.
    """
    ways = list(_ways(trials, check))
    return f"{who} {either(ways)}." if ways else ""


def partial_cure(trials: Trials, check: Check, *, verb: str = "hold") -> str:
    """Return as a sentence how many hold, of those that `check` asks about, shallower or larger.

    It is for where nothing makes all hold; "" where not even half of them do.
    """
    ways = [f"{many} {how}" for many, how in _partly(trials, check)]
    if not ways:
        return ""
    first, *others = ways
    many, _, how = first.partition(" ")
    return f"Of the {len(check(trials.now))}, {' and '.join([f'{many} {verb} {how}', *others])}."


def either(ways: Sequence[str]) -> str:
    """Return "a", "a, or b" or "a, b, or c"."""
    return ", ".join(ways[:-1]) + (", or " if len(ways) > 1 else "") + ways[-1]


def for_groove(trials: Trials, widest: float) -> str:
    """Return as a sentence what makes a groove at most `widest` mm wide, on the figure as it is now."""
    return cure(trials, lambda trial: np.array([trial.groove <= widest * trial.larger + _NOISE]))


def for_far_too_wide(trials: Trials, widest: float) -> str:
    """Return as a sentence what helps where no change worth making gives a groove at most `widest` mm wide.

    It says how large the figure would have to be, which is no remedy but shows how far off it is.
    """
    found = sizes(trials.layout, trials.job)
    if found is None or widest <= 0:
        return "Draw its lines bolder, or take bolder art."
    step = size_step(trials.layout, trials.job)
    factor = math.ceil(trials.now.groove / widest / step - _NOISE) * step
    size = size_words(trials.layout, trials.job, factor)
    return f"At this depth it would hold only {size}: draw its lines bolder, or take bolder art."


def cures(layout: Layout, job: Job, *, widest: float, factor: float) -> str:
    """Return as a sentence what cuts at most `widest` mm wide, or is `factor` times as large."""

    def check(trial: Trial) -> Mask:
        enough = trial.groove <= widest if trial.larger == 1.0 else trial.larger >= factor
        return np.array([enough])

    return cure(Trials(layout, job), check)


def shallower(trials: Trials, check: Check, *, bit: Bit | None = None) -> float | None:
    """Return the greatest depth (mm) below the job's at which all hold, None if none will do.

    What holds at one depth is taken to hold at all that are less.
    """
    return _first(lesser_depths(trials.job), lambda depth: _all(check, trials.at(depth=depth, bit=bit)))


def larger(trials: Trials, check: Check) -> float | None:
    """Return how many times as large the figure must be that all hold, None where that is too much.

    What holds at one size is taken to hold at all that are larger.
    """
    found = sizes(trials.layout, trials.job)
    step = size_step(trials.layout, trials.job)
    if found is None or not _all(check, trials.sized(found[-1] * step)):
        return None
    size = _first(found, lambda count: _all(check, trials.sized(count * step)))
    return None if size is None else size * step


def _first(rising: Sequence[T], holds: Callable[[T], bool]) -> T | None:
    """Return the first that holds, where all after it hold, too."""
    place = bisect_left(rising, 1, key=lambda one: int(holds(one)))
    return rising[place] if place < len(rising) else None


def _held(check: Check, trial: Trial | None) -> int:
    return 0 if trial is None else int(np.count_nonzero(check(trial)))


def _all(check: Check, trial: Trial | None) -> bool:
    if trial is None:
        return False
    holds = check(trial)
    return bool(np.count_nonzero(holds) == len(holds))


def _ways(trials: Trials, check: Check) -> Iterator[str]:
    """Yield what makes all hold."""
    depth = shallower(trials, check)
    bit = _another_bit(trials, check)
    if depth is not None:
        yield depth_words(depth, trials.job.units)
    if bit:
        yield f"with {bit}"
    elif depth is None:
        yield from _bit_and_depth(trials, check)
    times = larger(trials, check)
    if times is not None:
        yield size_words(trials.layout, trials.job, times)


def _another_bit(trials: Trials, check: Check) -> str | None:
    """Return what to call the widest-cutting bit with which all hold; one at hand before one to buy."""
    for bits in other_bits(trials.job):
        made = [(trials.at(bit=bit), name) for name, bit in bits]
        holding = [(trial.groove, name) for trial, name in made if trial and _all(check, trial)]
        if holding:
            return max(holding)[1]
    return None


def _bit_and_depth(trials: Trials, check: Check) -> Iterator[str]:
    """Yield another bit at the greatest depth that holds; one at hand before one to buy."""
    for bits in other_bits(trials.job):
        depths = [(shallower(trials, check, bit=bit) or 0.0, name) for name, bit in bits]
        depth, name = max(depths, default=(0.0, ""))
        if depth:
            yield f"with {name} {depth_words(depth, trials.job.units)}"
            return


def _partly(trials: Trials, check: Check) -> Iterator[tuple[int, str]]:
    """Yield the depth and the size that hold nearly all of what they can hold, and how many that is."""
    job, count = trials.job, len(check(trials.now))
    if count < FEW:
        return
    depths = lesser_depths(job)
    held = [_held(check, trials.at(depth=depth)) for depth in depths]
    if held and max(held) >= WORTH_IT * count:
        best = next(k for k, many in enumerate(held) if many >= NEARLY_ALL * max(held))
        yield held[best], depth_words(depths[best], job.units)
    most = _held(check, trials.sized(MOST_LARGER))
    if most >= WORTH_IT * count:
        enough = math.ceil(NEARLY_ALL * most)
        times = larger(trials, lambda trial: np.array([_held(check, trial) >= enough]))
        if times is not None:
            yield _held(check, trials.sized(times)), size_words(trials.layout, job, times)
