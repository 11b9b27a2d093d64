"""How findings say numbers, lengths and places: short, in both units, nothing that reads "0 in"."""

from collections import Counter
from collections.abc import Iterable

import numpy as np

from tracer.job import Job
from tracer.lengths import MM_PER_INCH, Units, format_length
from tracer.model.layout import Layout
from tracer.report.places import places_words

MOST_NAMED = 6
"""Strokes that are named one by one; of more, the first few."""

_LEAST: dict[Units, float] = {"mm": 0.005, "in": MM_PER_INCH / 128}
"""mm below which a length would read as nothing, by the unit it is written in."""


def listed(numbers: Iterable[int]) -> str:
    """Return "stroke 3", "strokes 3 and 4" or "strokes 1, 2, 3, 4 and 9 more"."""
    names = [str(number) for number in numbers]
    if len(names) == 1:
        return f"stroke {names[0]}"
    if len(names) > MOST_NAMED:
        return f"strokes {', '.join(names[: MOST_NAMED - 2])} and {len(names) - MOST_NAMED + 2} more"
    return f"strokes {', '.join(names[:-1])} and {names[-1]}"


def said(mm: float, units: Units) -> str:
    """Return a measured length in both units: "3/32 in (2.53 mm)", "less than 1/64 in (0.09 mm)"."""
    other: Units = "mm" if units == "in" else "in"
    return f"{_one(mm, units)} ({_one(mm, other)})"


def wants(job: Job, least: float) -> str:
    """Return what the land rule asks for (mm): "by rule of thumb pine wants 3 mm (1/8 in)"."""
    hand = ", your hand's straying counted," if job.hand_error else ""
    return f"by rule of thumb{hand} {job.wood.name} wants {said(least, job.units)}"


def in_all(mm: float, units: Units) -> str:
    """Return the sum of many lengths, roughly: "1.2 m (3.9 ft)", "15 in (380 mm)".

    It is rounded in the user's unit; the other unit says that same length.
    """
    if mm < MM_PER_INCH:
        return said(mm, units)
    if units == "in":
        if mm >= 3 * _FOOT:
            feet = round(mm / _FOOT, 1) * _FOOT
            return f"{_imperial(feet)} ({_metric(feet)})"
        inches = round(mm / MM_PER_INCH * (4 if mm < _FOOT else 1)) / (4 if mm < _FOOT else 1)
        return f"{_imperial(inches * MM_PER_INCH)} ({_metric(inches * MM_PER_INCH)})"
    rounded = round(mm, -2 if mm >= 1000 else -1 if mm >= 100 else 0)
    return f"{_metric(rounded)} ({_imperial(rounded)})"


_FOOT = 12 * MM_PER_INCH


def _metric(mm: float) -> str:
    return f"{mm / 1000:.1f} m" if mm >= 1000 else f"{mm:.0f} mm"


def _imperial(mm: float) -> str:
    """Return feet from 3 ft on, else inches: below 12 to the sixteenth, which is as fine as a millimetre.

    Feet have as many figures as the metres beside them.
    """
    if mm >= 3 * _FOOT:
        return f"{mm / _FOOT:.1f} ft"
    if mm >= _FOOT:
        return f"{mm / MM_PER_INCH:.0f} in"
    return format_length(round(mm / MM_PER_INCH * 16) / 16 * MM_PER_INCH, "in")


def mostly(layout: Layout, places: Iterable[tuple[float, float]]) -> str:
    """Return where most of `places` (wood mm) lie: "lower right", "mostly lower right"."""
    counts = Counter(places_words(layout, np.array(list(places))))
    (first, many), total = counts.most_common(1)[0], counts.total()
    if many == total:
        return first
    return f"mostly {first}" if 2 * many > total else f"above all {first}"


def _one(mm: float, units: Units) -> str:
    if abs(mm) >= _LEAST[units]:
        return format_length(mm, units)
    return "less than 1/64 in" if units == "in" else "less than 0.01 mm"


def times(ratio: float) -> str:
    """Return "twice", "2.7 times"."""
    if round(ratio, 1) == 2:
        return "twice"
    return f"{ratio:.0f} times" if ratio >= 10 else f"{round(ratio, 1):g} times"
