"""Lengths as people write them at the bench, and back again.

Everything inside is millimetres; 1 in is 25.4 mm exactly (NIST, 1959). What could be
read in two ways is refused, never guessed. The point is always a decimal point; a comma
is a decimal comma unless exactly three digits follow it (``1,500`` might be 1500).
"""

import math
import re
import unicodedata
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Literal, NamedTuple

from tracer.errors import LengthError

Units = Literal["mm", "in"]

MM_PER_INCH = 25.4
MM_PER_POINT = 25.4 / 72  # PDF and typographic point, 1/72 in (ISO 32000-1)

_INCH = Fraction(254, 10)
_UNIT_MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": _INCH,
    "ft": 12 * _INCH,
    "pt": _INCH / 72,
}
_UNIT_WORDS = {
    "mm": r"mm\.?|millimet(?:re|er)s?",
    "cm": r"cm\.?|centimet(?:re|er)s?",
    "m": r"m|met(?:re|er)s?",
    "in": r"\"|in\.?|inch(?:es)?",
    "ft": r"'|ft\.?|foot|feet",
    "pt": r"pt\.?|points?",
}
_IMPERIAL = frozenset({"in", "ft"})
_SMALLEST_MM = Fraction(1, 10_000)
_LARGEST_MM = Fraction(1_000_000)
_FLOAT_NOISE = Fraction(1, 10**9)  # so that rounding down leaves 25.399999999999999 at 1 in
_LONGEST_TEXT = 60
_EXAMPLE = "write it like 2 3/8 in, 60.3 mm or 40 cm"

_DECIMAL = r"(?:[0-9]{1,9}(?:[.,][0-9]{1,20})?|\.[0-9]{1,20})"
_FRACTION = r"(?:[0-9]{1,9}[ -])?[0-9]{1,9}/[0-9]{1,9}"
NUMBER = rf"(?:{_FRACTION}|{_DECIMAL})"
UNIT = "(?:" + "|".join(_UNIT_WORDS.values()) + ")"
_ONE = re.compile(rf"(?P<number>{NUMBER}) ?(?P<unit>{UNIT})?", re.IGNORECASE)
_FEET_INCHES = re.compile(
    rf"(?P<feet>[0-9]{{1,6}}) ?(?:{_UNIT_WORDS['ft']})[ -]?(?P<inches>{NUMBER}) ?(?:{_UNIT_WORDS['in']})",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"\s*(?:[x×✕*]|by)\s*", re.IGNORECASE)
_SAME = str.maketrans(
    {
        "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'",
        "⁄": "/", "∕": "/", "‐": "-", "‑": "-", "–": "-", "−": "-",
    }
)  # fmt: skip


_NEGATIVE = re.compile(r"-\s*[0-9.]")


class _Reading(NamedTuple):
    amount: Fraction  # in `unit`, or a bare number where that is None
    unit: str | None
    feet_and_inches: bool = False


def normalise(text: str) -> str:
    """One spelling of quotes, dashes, spaces and vulgar fractions, ready for reading.

    ``2½″`` becomes ``2 1/2 "``. Nothing is joined that stood apart: what a fraction sign
    touches on its right stays separate, so that ``½5`` is not read as 1/25.
    """
    plain = ""
    for char in text:
        if unicodedata.decomposition(char).startswith("<fraction>"):
            lead = " " if plain[-1:].isdigit() else ""
            plain += lead + unicodedata.normalize("NFKC", char) + " "
        else:
            plain += char
    return " ".join(plain.translate(_SAME).replace("''", '"').split())


def quoted(text: str) -> str:
    """The user's own words inside a message: one line, printable, at most 40 characters."""
    shown = "".join(c if c.isprintable() else "?" for c in text.strip())
    return f"“{shown[:39]}…”" if len(shown) > 40 else f"“{shown}”"


def parse_length(
    text: str, *, unit: Units | None = None, what: str = "length", allow_zero: bool = False
) -> float:
    """Read one length.

    Parameters
    ----------
    text : str
        Such as ``2 3/8 in``, ``2-3/8"``, ``1' 4"``, ``400 mm``, ``1,5 mm``, ``½ in``, ``0.4 m``.
    unit : {"mm", "in"}, optional
        What a bare number is in; without it a bare number is refused.
    what : str
        What the length is of, for the message.
    allow_zero : bool
        Whether 0 is a possible answer.

    Returns
    -------
    float
        Millimetres, positive (or 0 where allowed) and finite.

    Raises
    ------
    LengthError
        For anything that cannot be read, could be read in two ways, or is beyond
        0.0001 mm to 1 km.
    """
    reading = _read(text, what)
    if reading.unit is None and unit is None and (reading.amount or allow_zero):
        raise LengthError(
            f"{what} {quoted(text)} has no unit: say mm or in, such as {text.strip()} mm or {text.strip()} in"
        )
    return _millimetres(reading, reading.unit or unit or "mm", text, what=what, allow_zero=allow_zero)


def parse_size(
    text: str, *, unit: Units | None = None, parts: int | tuple[int, ...] = 2, what: str = "size"
) -> tuple[float, ...]:
    """Read lengths joined by ``x``, ``×``, ``*`` or ``by``: ``600 x 200 x 19 mm``, ``24in x 12in``.

    A unit at the end holds for every bare number before it, unless the others disagree with it.

    Parameters
    ----------
    text : str
        The lengths as written.
    unit : {"mm", "in"}, optional
        What bare numbers are in where no length has a unit.
    parts : int or tuple of int
        How many lengths there must be, or the counts that will do.
    what : str
        What the size is of, for the message.

    Returns
    -------
    tuple of float
        Millimetres, in the order written.

    Raises
    ------
    LengthError
        As for `parse_length`; also for a wrong count, or a bare number whose unit is in doubt.
    """
    counts = (parts,) if isinstance(parts, int) else parts
    pieces = _BETWEEN.split(text.strip())
    if len(pieces) not in counts:
        wanted = " or ".join(str(n) for n in counts)
        example = " x ".join(("600", "200", "19", "5")[: counts[0]]) + " mm"
        raise LengthError(
            f"{what} {quoted(text)} has {len(pieces)} length{'s' * (len(pieces) != 1)}; {wanted} are needed: "
            f"write it like {example}"
        )
    if any(_NEGATIVE.match(normalise(piece)) for piece in pieces):
        raise LengthError(f"{what} {quoted(text)} has a negative length; each must exceed 0: {_EXAMPLE}")
    readings = [_read(piece, what) for piece in pieces]
    shared = _shared_unit(readings, unit, text, what)
    return tuple(
        _millimetres(r, r.unit or shared, piece, what=what) for r, piece in zip(readings, pieces, strict=True)
    )


def units_of(text: str) -> Units | None:
    """Whether a length or size was written in inches or millimetres; None for a bare number."""
    unit = _read(_BETWEEN.split(text.strip())[-1], "length").unit
    return None if unit is None else "in" if unit in _IMPERIAL else "mm"


def format_length(mm: float, units: Units, *, down: bool = False) -> str:
    """A length for reading: ``60.3 mm``, ``1.83 mm``, ``2 3/8 in``.

    Inches go to the nearest 1/64, reduced. Millimetres go to 0.01 below 10 mm, 0.1 below
    1 m and 1 above; an exact length drops its idle zeros (``400 mm``, but 10.9985 is ``11.0 mm``).

    Parameters
    ----------
    mm : float
        Millimetres; may be negative (two grooves that overlap).
    units : {"mm", "in"}
        What to write it in.
    down : bool
        Round down instead of to the nearest: for limits that must not be passed.
    """
    return _inches(mm, down=down) if units == "in" else _metric(mm, down=down)


def both(mm: float, units: Units, *, down: bool = False) -> str:
    """A length in the user's unit and then the other: ``2 3/8 in (60.3 mm)``."""
    other: Units = "mm" if units == "in" else "in"
    return f"{format_length(mm, units, down=down)} ({format_length(mm, other, down=down)})"


def _read(text: str, what: str) -> _Reading:
    plain = normalise(text)
    if len(text) > _LONGEST_TEXT:
        raise LengthError(f"{what} {quoted(text)} is too long to be a length: {_EXAMPLE}")
    if found := _FEET_INCHES.fullmatch(plain):
        inches = _amount(found["inches"], text, what)
        if inches >= 12:
            raise LengthError(
                f"{what} {quoted(text)} has {found['inches']} inches after the feet; "
                "less than 12 are needed: write it all in inches"
            )
        return _Reading(12 * int(found["feet"]) + inches, "in", feet_and_inches=True)
    if found := _ONE.fullmatch(plain):
        unit = _canonical(found["unit"])
        return _Reading(_amount(found["number"], text, what), unit)
    raise LengthError(f"{what} {quoted(text)} {_why_not(plain)}: {_EXAMPLE}")


def _why_not(plain: str) -> str:
    """The likeliest reason why a text is no length, as the end of "length ... "."""
    if not plain:
        return "is empty"
    if _NEGATIVE.match(plain):
        return "is negative, and a length must be more than 0"
    if re.match(r"[0-9.]+e[-+]?[0-9]", plain, re.IGNORECASE):
        return "has an exponent"
    if not re.search(r"[0-9]", plain):
        return "holds no number that can be read"
    if re.search(r"[0-9][.,][0-9]+[.,]", plain):
        return "has more than one decimal mark"
    if len(re.findall(UNIT, plain, re.IGNORECASE)) > 1:
        return "has more than one unit"
    if re.search(r"(?:'|f(?:oo|ee)?t\.?) ?[0-9./ -]+$", plain, re.IGNORECASE):
        return "has a number after the feet that is not marked as inches"
    if re.search(r"[0-9] [0-9]", plain):
        return "has numbers side by side that do not make one"
    return "cannot be read"


def _canonical(word: str | None) -> str | None:
    if word is None:
        return None
    return next(u for u, words in _UNIT_WORDS.items() if re.fullmatch(words, word, re.IGNORECASE))


def _amount(number: str, text: str, what: str) -> Fraction:
    if "/" in number:
        return _fraction(number, text, what)
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", number):
        point, plain = number.replace(",", "."), number.replace(",", "")
        raise LengthError(f"{what} {quoted(text)} could be {point} or {plain}: write it without the comma")
    return Fraction(number.replace(",", "."))


def _fraction(number: str, text: str, what: str) -> Fraction:
    whole, _, part = number.replace("-", " ").rpartition(" ")
    top, bottom = (int(n) for n in part.split("/"))
    if bottom == 0:
        raise LengthError(f"{what} {quoted(text)} divides by 0: {_EXAMPLE}")
    if whole and top >= bottom:
        raise LengthError(
            f"{what} {quoted(text)} has {part} after a whole number, which is 1 or more: {_EXAMPLE}"
        )
    return int(whole or 0) + Fraction(top, bottom)


def _millimetres(reading: _Reading, unit: str, text: str, *, what: str, allow_zero: bool = False) -> float:
    if (
        unit not in _IMPERIAL
        and "/" in normalise(text)
        and reading.amount.denominator not in (1, 2, 4, 5, 10)
    ):
        amount = _plain(reading.amount)
        raise LengthError(
            f"{what} {quoted(text)} would be {amount} {unit}, and a rule in {unit} has no such marks: "
            f"if inches are meant say in, if not write {amount} {unit}"
        )
    mm = reading.amount * _UNIT_MM[unit]
    if mm == 0 and allow_zero:
        return 0.0
    if mm < _SMALLEST_MM:
        size = "0" if mm == 0 else "under 0.0001 mm"
        raise LengthError(f"{what} {quoted(text)} is {size}, and must be more: {_EXAMPLE}")
    if mm > _LARGEST_MM:
        raise LengthError(
            f"{what} {quoted(text)} is over 1 km: check the number and its unit, and {_EXAMPLE}"
        )
    return float(mm)


def _shared_unit(readings: list[_Reading], unit: Units | None, text: str, what: str) -> str:
    """The unit of the bare numbers in a size."""
    said = {r.unit for r in readings} - {None}
    if all(r.unit is not None for r in readings):
        return "mm"
    last = readings[-1]
    if not said and unit is not None:
        return unit
    if len(said) == 1 and last.unit is not None and not last.feet_and_inches:
        return last.unit
    raise LengthError(
        f"{what} {quoted(text)} leaves a number without a unit: "
        "put one unit at the end for all, or one after each, such as 24 x 12 in"
    )


def _plain(amount: Fraction) -> str:
    return f"{float(amount):.4f}".rstrip("0").rstrip(".")


def _inches(mm: float, *, down: bool) -> str:
    exact = Fraction(str(mm)) / _INCH * 64
    sixty_fourths = math.floor(exact + (_FLOAT_NOISE if down else Fraction(1, 2)))
    sign = "-" if sixty_fourths < 0 else ""
    whole, rest = divmod(abs(sixty_fourths), 64)
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(str(Fraction(rest, 64)))
    return f"{sign}{' '.join(words)} in"


def _metric(mm: float, *, down: bool) -> str:
    exact = Decimal(str(mm))
    noise = Decimal(float(_FLOAT_NOISE))
    places = 2 if abs(mm) < 10 else 1 if abs(mm) < 1000 else 0
    step = Decimal(1).scaleb(-places)
    shown = (exact + noise).quantize(step, ROUND_FLOOR) if down else exact.quantize(step, ROUND_HALF_UP)
    text = f"{shown if shown else abs(shown):f}"
    if places and abs(exact - shown) < noise:
        text = text.rstrip("0").rstrip(".")
    return f"{text} mm"
