"""The least size from which on nothing of a kind fails."""

import math
from collections.abc import Sequence

from tracer.lengths import Units
from tracer.model.sizes import Least
from tracer.report.change import SIZE_STEPS
from tracer.report.cures import Kind, cures
from tracer.report.figure import Figure
from tracer.report.looks import Look, Looks

_ABOVE = 1.0005
"""Times the size at which the last thing should hold by a sum that is taken: samples are a little off."""

_A_LITTLE_LESS = 0.99
"""Times the answer at which it must fail."""

_NOISE = 1e-9

_MOST_GUESSES = 12
"""Sizes tried for one threshold, each with a little less; the best known answer is taken then."""

_HALVINGS = 5
"""How often the least size is halved to find one that fails."""

_NAMED = 6
"""Strokes named that decide a size."""


def find_least(looks: Looks, rows: Sequence[Look], kind: Kind, asked: float) -> Least:
    """Return the least size from which on nothing of a kind fails, to half a per cent.

    Parameters
    ----------
    rows : looks at rising sizes; above the last that fails all others are taken to hold.
    asked : finished size that `looks` were given, mm.
    """
    if kind == "thin" and not looks.follows_size(looks.job):
        return _exact(looks, asked)
    failing = [look for look in rows if cures(look, kind, looks.figure)]
    if failing and failing[-1] is rows[-1]:
        left = sorted(cures(rows[-1], kind, looks.figure), reverse=True)
        last = left[0][0] * asked if not looks.follows_size(looks.job) and math.isfinite(left[0][0]) else None
        return Least(None, None, _strokes([strokes for _, strokes in left]), len(left), last)
    if failing:
        low = _last_failing(looks, failing[-1], rows, kind)
        high = next(look.times for look in rows if look.times > low.times)
    else:
        high, found = _below(looks, rows[0].times, kind)
        if found is None:
            return _least(looks, high * asked)
        low = found
    return _between(looks, low, high, kind, asked)


def _least(looks: Looks, size: float, strokes: tuple[int, ...] = ()) -> Least:
    return Least(size, _said(size, looks.job.units), strokes)


def _said(size: float, units: Units) -> float:
    """Return a size rounded up to what is said at the bench."""
    step = SIZE_STEPS[units]
    return math.ceil(size / step - _NOISE) * step


def _exact(looks: Looks, asked: float) -> Least:
    """Return the size from which on all strokes bear the one groove."""
    least = looks.figure.wide_enough(looks.job.groove, looks.job)
    times = float(least.max(initial=0.0))
    deciding = looks.figure.numbers[(least > 0) & (least >= times * _A_LITTLE_LESS)].tolist()
    if math.isinf(times):
        return Least(None, None, _strokes([tuple(deciding)]), len(deciding))
    return _least(looks, times * asked, _strokes([tuple(deciding)]))


def _last_failing(looks: Looks, low: Look, rows: Sequence[Look], kind: Kind) -> Look:
    """Return the last row that fails, or a look beyond the next where a sum says that it fails there, too."""
    after = next(look.times for look in rows if look.times > low.times)
    sums = [times for times, _ in cures(low, kind, looks.figure) if times < rows[-1].times]
    times = max(sums, default=0.0) * _A_LITTLE_LESS
    if times <= after:
        return low
    look = looks.as_planned(times, wood=kind != "thin")
    return look if cures(look, kind, looks.figure) else low


def _below(looks: Looks, times: float, kind: Kind) -> tuple[float, Look | None]:
    """Return a size that holds and a look at half of it that fails, None where none does."""
    for _ in range(_HALVINGS):
        look = looks.as_planned(times / 2, wood=False) if kind == "thin" else looks.at(times / 2)
        if cures(look, kind, looks.figure):
            return times, look
        times /= 2
    return times, None


def _between(looks: Looks, low: Look, high: float, kind: Kind, asked: float) -> Least:
    """Narrow down where between a look that fails and a size that should hold the last failure is.

    The answer was looked at and holds, also rounded up as it is said; one per cent below it fails.
    """
    seen: dict[float, Look] = {}

    def fails(times: float) -> bool:
        if times not in seen:
            seen[times] = looks.as_planned(times, wood=kind != "thin")
        return bool(cures(seen[times], kind, looks.figure))

    for _ in range(_MOST_GUESSES):
        guess = _guess(low, high, kind, looks.figure)
        less = guess * _A_LITTLE_LESS
        if less > low.times:
            if not fails(less):
                high = less
                continue
            low = seen[less]
        if not fails(guess) and not fails(less):
            guess = low.times / _A_LITTLE_LESS
        said = _said(guess * asked, looks.job.units) / asked
        failing = next((times for times in (guess, said) if fails(times)), None)
        if failing is None:
            high = guess
            break
        low, high = seen[failing], max(high, failing / _A_LITTLE_LESS)
    return _least(looks, high * asked, _deciding(low, high, kind, looks.figure))


def _guess(low: Look, high: float, kind: Kind, figure: Figure) -> float:
    """Return the size at which the last thing should begin to hold, by a sum if one tells."""
    last = max((t for t, _ in cures(low, kind, figure) if low.times < t < high), default=None)
    if last is not None:
        return min(last * _ABOVE, high)
    return min(max(math.sqrt(low.times * high), low.times / _A_LITTLE_LESS), high)


def _deciding(low: Look, high: float, kind: Kind, figure: Figure) -> tuple[int, ...]:
    """Return the strokes that fail just below a size: those that should hold from about there on."""
    near = sorted(cures(low, kind, figure), key=lambda cure: abs(cure[0] - high))
    about = 1 - _A_LITTLE_LESS
    return _strokes([strokes for t, strokes in near if t is near[0][0] or abs(t / high - 1) < about])


def _strokes(groups: Sequence[tuple[int, ...]]) -> tuple[int, ...]:
    """Return different numbers in this order, only the first few."""
    return tuple(dict.fromkeys(number for group in groups for number in group))[:_NAMED]
