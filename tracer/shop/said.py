"""One setting as the user said it, on the command line or in a file, and how each kind is read.

A job file, the shop file and the command line share these readers, so that a word
means the same wherever it stands.
"""

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass

from tracer.errors import JobError, LengthError
from tracer.lengths import Units, parse_length, parse_size, quoted

_UNITS: Mapping[str, Units] = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("in", "inch", "inches"), "in"),
}
_YES_NO = {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}
_NUMBER = re.compile(r"[-+]?(?:[0-9]{1,12}(?:[.,][0-9]{1,12})?|[.,][0-9]{1,12})")
_ANGLE = re.compile(rf"({_NUMBER.pattern})\s*(?:deg(?:rees?)?|°)?", re.IGNORECASE)
_LONGEST_NUMBER = 10**12

SAID = "said on the command line"
"""Origin of a setting that was typed."""


@dataclass(frozen=True)
class Said:
    """A setting before it is read.

    Attributes
    ----------
    value : what stood there: text, or a number, truth, day, list or table of a TOML file.
    where : what to call the place in a message, as "--depth" or "my.toml: bit.depth".
    origin : how the setting came, as "from the job file".
    unit : what the user's bare numbers are in there, None where that was not said.
    """

    value: object
    where: str
    origin: str
    unit: Units | None = None

    def refuse(self, expected: str) -> JobError:
        """The error to raise: where, what was read, what was expected."""
        return JobError(f"{self.where} is {_shown(self.value)}; {expected}")


def text(said: Said, *, example: str = '"Oak sign"') -> str:
    """Words, not empty."""
    if not (isinstance(said.value, str) and said.value.strip()):
        raise said.refuse(f"words are expected, as {example}")
    return said.value.strip()


def length(said: Said, *, allow_zero: bool = False) -> float:
    """A length, mm; a bare number is read in `said.unit`."""
    return parse_length(_measure(said, "19 mm"), unit=said.unit, what=said.where, allow_zero=allow_zero)


def length_within(said: Said, *, low: float, high: float, why: str = "") -> float:
    """A length within limits, mm; `why` says in a refusal where they come from."""
    return lengths_within(said, parts=1, low=low, high=high, why=why)[0]


def lengths_within(
    said: Said, *, parts: int | tuple[int, ...], low: float, high: float, why: str = ""
) -> tuple[float, ...]:
    """Several lengths, mm, each within limits, which any refusal says."""
    expected = f"{low:g} to {high:g} mm is expected{f': {why}' if why else ''}"
    try:
        found = (length(said, allow_zero=low == 0),) if parts == 1 else size(said, parts=parts)
    except LengthError as error:
        raise JobError(f"{error}; {expected}") from error
    if not all(low <= one <= high for one in found):
        raise said.refuse(expected)
    return found


def size(said: Said, *, parts: int | tuple[int, ...] = 2) -> tuple[float, ...]:
    """Several lengths, mm, as in "600 x 200 mm"."""
    return parse_size(_measure(said, "600 x 200 mm"), unit=said.unit, what=said.where, parts=parts)


def number(said: Said, *, low: float, high: float) -> float:
    """A number without a unit, within limits."""
    return _within(said, _number(said, _NUMBER), low, high)


def angle_deg(said: Said) -> float:
    """An angle in degrees from -360 to 360, as 90, "90 deg" or "90°"."""
    return _within(said, _number(said, _ANGLE), -360.0, 360.0)


def between(said: Said, unit: str, *, low: float, high: float) -> tuple[float, float]:
    """One number or two with a unit: "15 mm/s", "10 to 20 mm/s"."""
    words = text(said, example=f'"10 to 20 {unit}"').casefold()
    found = re.fullmatch(rf"([0-9.,]+)(?:\s*(?:to|-|–)\s*([0-9.,]+))?\s*{re.escape(unit)}", words)
    if not found or not all(_NUMBER.fullmatch(one) for one in found.groups() if one):
        raise said.refuse(f'"10 {unit}" or "10 to 20 {unit}" is expected')
    first, second = (_within(said, _as_float(one), low, high) for one in (found[1], found[2] or found[1]))
    if first > second:
        raise said.refuse("the smaller number is expected first")
    return first, second


def yes_no(said: Said) -> bool:
    """True or false, yes or no, on or off."""
    if isinstance(said.value, bool):
        return said.value
    if isinstance(said.value, str) and said.value.strip().casefold() in _YES_NO:
        return _YES_NO[said.value.strip().casefold()]
    raise said.refuse("yes or no (in a file true or false) is expected")


def day(said: Said) -> datetime.date:
    """A day, as 2026-11-01."""
    if isinstance(said.value, datetime.datetime):
        return said.value.date()
    if isinstance(said.value, datetime.date):
        return said.value
    try:
        if isinstance(said.value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", said.value.strip(), re.ASCII):
            return datetime.date.fromisoformat(said.value.strip())
    except ValueError:
        pass
    raise said.refuse("a day is expected, year first, as 2026-11-01")


def units(said: Said) -> Units:
    """Millimetres or inches."""
    if isinstance(said.value, str) and (found := _UNITS.get(said.value.strip().casefold())):
        return found
    raise said.refuse("mm or in is expected")


def _measure(said: Said, example: str) -> str:
    if isinstance(said.value, str):
        return said.value
    if isinstance(said.value, bool) or not isinstance(said.value, int | float):
        raise said.refuse(f'a length with its unit is expected, as "{example}"')
    return _shown(said.value)


def _number(said: Said, form: re.Pattern[str]) -> float:
    if isinstance(said.value, int | float) and not isinstance(said.value, bool):
        if abs(said.value) < _LONGEST_NUMBER:
            return float(said.value)
    elif isinstance(said.value, str) and (found := form.fullmatch(said.value.strip())):
        return _as_float(found[found.lastindex or 0])
    raise said.refuse("a number is expected")


def _as_float(text: str) -> float:
    return float(text.replace(",", "."))


def _within(said: Said, value: float, low: float, high: float) -> float:
    if not low <= value <= high:
        raise said.refuse(f"{low:g} to {high:g} is expected")
    return value


def _shown(value: object) -> str:
    """A value for a message, short whatever it is."""
    match value:
        case str():
            return quoted(value)
        case bool():
            return "true" if value else "false"
        case int() | float() if not abs(value) >= _LONGEST_NUMBER:  # not a number is shown as such
            return str(value)
        case int() | float():
            return "a number beyond reason"
        case datetime.date() | datetime.time():
            return value.isoformat()
        case list():
            return "a list"
        case dict():
            return "a table"
    return quoted(str(value))
