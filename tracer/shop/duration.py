"""Time as people say it: "48 min", "1 h 20 min", "90 s"."""

import re

from tracer.errors import JobError
from tracer.lengths import quoted

_NUMBER = r"[0-9]{1,6}(?:[.,][0-9]{1,6})?"
_SECONDS = {"h": 3600.0, "m": 60.0, "s": 1.0}
_UNIT = r"(h(?:ours?|rs?)?|m(?:in(?:ute)?s?)?|s(?:ec(?:ond)?s?)?)\.?"
_PART = re.compile(rf"\s*({_NUMBER})\s*{_UNIT}(?![a-z])")
_LONGEST = 1000 * 3600.0


def parse_duration(text: str, *, what: str = "time") -> float:
    """Read a time, s: hours, minutes and seconds, each with its unit, the longest first.

    Raises
    ------
    JobError
        Where it cannot be read, a unit is missing ("1:20" is read two ways), or it is nothing.
    """
    said = text.strip().casefold()
    units, total, place = "", 0.0, 0
    while found := _PART.match(said, place):
        units, place = units + found[2][0], found.end()
        total += float(found[1].replace(",", ".")) * _SECONDS[found[2][0]]
    if place < len(said) or units not in {"h", "hm", "hms", "m", "ms", "s"}:
        raise JobError(f'{what} {quoted(text)} cannot be read: write it like "48 min" or "1 h 20 min"')
    if not 0 < total <= _LONGEST:
        raise JobError(
            f"{what} {quoted(text)} cannot be right: more than nothing and at most 1000 h is expected"
        )
    return total


def format_duration(seconds: float) -> str:
    """A time for reading, to the minute from ten minutes on: "48 min", "1 h 20 min", "90 s"."""
    if seconds < 600:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(round(seconds / 60), 60)
    return " ".join(
        filter(None, [f"{hours} h" if hours else "", f"{minutes} min" if minutes or not hours else ""])
    )
