"""Lengths as SVG writes them, in CSS pixels."""

import math
import re

PER_INCH = 96.0
"""CSS pixels to an inch (CSS 2.1, 4.3.2)."""

UNITS = {
    "": 1.0,
    "px": 1.0,
    "in": PER_INCH,
    "cm": PER_INCH / 2.54,
    "mm": PER_INCH / 25.4,
    "q": PER_INCH / 101.6,
    "pt": PER_INCH / 72,
    "pc": PER_INCH / 6,
}
"""CSS pixels to a unit: 1 in = 2.54 cm = 72 pt = 6 pc = 96 px (CSS 2.1, 4.3.2)."""

PHYSICAL = ("in", "cm", "mm", "q", "pt", "pc")
"""Units that tell a size on paper; a pixel does not."""

EM = 16.0
"""CSS pixels of a font size that nobody set: browsers' common "medium"."""

FARTHEST = 1e12
"""Lengths and coordinates from here on are endless: what is measured of them would be no number."""

_LENGTH = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(%|[a-zA-Z]*)\s*")


def parts_of(text: str) -> tuple[float, str] | None:
    """Return the number and the unit (small letters) of a length, None where it is none."""
    match = _LENGTH.fullmatch(text)
    if match is None or not math.isfinite(float(match[1])):
        return None
    return float(match[1]), match[2].lower()


def pixels(text: str | None, *, of: float, em: float = EM, default: float | None = None) -> float | None:
    """Return a length in CSS pixels, `default` where there is none or it makes no sense.

    `of` is what 100 % stands for. Endless lengths are FARTHEST, which nothing draws.
    """
    parts = parts_of(text or "")
    if parts is None:
        return default
    number, unit = parts
    each = {"%": of / 100, "em": em, "rem": em, "ex": em / 2, "ch": em / 2, **UNITS}.get(unit)
    return default if each is None else min(max(number * each, -FARTHEST), FARTHEST)


def diagonal(width: float, height: float) -> float:
    """Return what 100 % stands for where a length is neither across nor down (SVG 1.1, 7.10)."""
    return math.hypot(width, height) / math.sqrt(2)
