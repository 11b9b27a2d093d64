"""Lengths that stand together, said so that those that differ read differently."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from tracer.lengths import MM_PER_INCH, Units, format_length

_SAME = 0.005
"""mm within which two lengths are one: millimetres are told to 0.01."""


@dataclass(frozen=True)
class ToldApart:
    """How each of some lengths is said: in fractions of an inch, or all in decimals of it.

    Decimals, to 0.001 in, where two that differ would come out as the same fraction.

    Attributes
    ----------
    units : what comes first.
    decimals : whether the inches are decimals.
    """

    units: Units
    decimals: bool

    @classmethod
    def of(cls, lengths: Iterable[float], units: Units) -> "ToldApart":
        """Return how lengths, mm, that stand together are said."""
        pairs = pairwise(sorted(lengths))
        alike = any(b - a > _SAME and _fraction(a) == _fraction(b) for a, b in pairs)
        return cls(units, alike)

    def own(self, mm: float) -> str:
        """Return a length in the user's own unit."""
        return self._inches(mm) if self.units == "in" else format_length(mm, "mm")

    def both(self, mm: float) -> str:
        """Return a length in the user's unit and then the other: ``1.2 mm (0.047 in)``."""
        first, second = format_length(mm, "mm"), self._inches(mm)
        return f"{second} ({first})" if self.units == "in" else f"{first} ({second})"

    def _inches(self, mm: float) -> str:
        return f"{mm / MM_PER_INCH:.3f} in" if self.decimals else _fraction(mm)


def _fraction(mm: float) -> str:
    return format_length(mm, "in")
