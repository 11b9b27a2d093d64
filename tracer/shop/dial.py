"""A dial or label that says a per cent, which may mean "to" or "by" so much."""

import re
from dataclasses import dataclass

from tracer.errors import LengthError
from tracer.lengths import quoted
from tracer.shop.linkage import SMALLEST

_PERCENT = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,6})?)\s*(?:%|percent|per cent)?")


@dataclass(frozen=True)
class Dial:
    """What it says, read both ways; ratios are carving / template."""

    percent: float

    @property
    def to(self) -> float:
        """Ratio where it means reduced to so much: p."""
        return self.percent / 100.0

    @property
    def by(self) -> float:
        """Ratio where it means reduced by so much: 1 - p [D]."""
        return 1.0 - self.percent / 100.0


def parse_dial(text: str, *, what: str = "dial") -> Dial:
    """Read what a dial says: "60", "60 %".

    Raises
    ------
    LengthError
        Where it is no number, or either reading is no ratio that a linkage has.
    """
    found = _PERCENT.fullmatch(text.strip().casefold())
    least, most = 100.0 * SMALLEST, 100.0 * (1.0 - SMALLEST)
    percent = float(found[1].replace(",", ".")) if found else 0.0
    if not least <= percent <= most:
        raise LengthError(
            f"{what} {quoted(text)} is no per cent from {least:g} to {most:g}: "
            "say the number the dial shows, as 60"
        )
    return Dial(percent)


def comes_out(wanted: float, *, printed_for: float, true: float) -> float:
    """Size that a piece printed for one ratio has when the linkage's is another: L k_true / k_assumed [D]."""
    return wanted * true / printed_for
