"""The copying linkage: its ratio, how it is said, and what it does to lengths and errors."""

import math
import re
from dataclasses import dataclass
from datetime import date
from typing import NoReturn

from tracer.errors import LengthError
from tracer.lengths import quoted

SMALLEST = 0.02
"""Below 1:50 a ratio is taken for a slip of the pen: our own limit, far beyond any hand-moved linkage."""

SHARED = 20.0
"""mm on the wood that neighbouring set-ups both reach at least (common practice, no source)."""

_FLOAT_NOISE = 1e-9  # 0.3 / 0.1 must be 3 set-ups, never 4
_NUMBER = r"([0-9]{1,12}(?:[.,][0-9]{1,12})?|[.,][0-9]{1,12})"
_PERCENT = re.compile(rf"{_NUMBER}\s*(?:%|percent|per cent)")
_PAIR = re.compile(rf"{_NUMBER}\s*(?::|/|to)\s*{_NUMBER}")
_BARE = re.compile(_NUMBER)
_THOUSANDS = re.compile(r"[1-9][0-9]*,[0-9]{3}(?![0-9])")


@dataclass(frozen=True)
class Linkage:
    """The linkage as it stands in the workshop.

    Attributes
    ----------
    ratio : size of the carving / size of the template, 0 < ratio <= 1.
    measured_on : the day the ratio was measured by a traced line, None where it was not.
    play : play at the router's end, mm on the wood; the linkage does not divide it.
    reach : (width, height) in mm that the bit can cover on the wood, or None.
    table : (width, height) of the largest template that lies flat under the stylus, mm, or None.
    turned : the pivot lies between stylus and bit, and the copy comes out turned by 180 degrees.
    """

    ratio: float
    measured_on: date | None = None
    play: float = 0.0
    reach: tuple[float, float] | None = None
    turned: bool = False
    table: tuple[float, float] | None = None

    def on_template(self, carved: float) -> float:
        """Length on the template, mm, of a length on the wood."""
        return carved / self.ratio

    def on_wood(self, traced: float) -> float:
        """Length on the wood, mm, of a length on the template."""
        return traced * self.ratio

    def error_on_wood(self, hand: float) -> float:
        """How far the groove strays, mm, when the hand strays by `hand` on the template.

        Root of the sum of squares: the hand's error is divided by the linkage, the
        play at the router is not.
        """
        return math.hypot(self.ratio * hand, self.play)

    def edge_overrun(self, groove: float, stylus: float) -> float:
        """How far a groove passes the scaled edge that a round stylus follows, mm on the wood.

        (w - k D) / 2 [D]: nothing where the stylus is w / k across, which is `on_template(w)`;
        negative where the groove stays short of the edge. `groove` is its width on the wood,
        `stylus` the diameter, mm.
        """
        return (groove - self.ratio * stylus) / 2.0

    def force_felt(self, at_bit: float) -> float:
        """Force felt at the stylus for one at the bit, in the same unit: F k, friction apart.

        By virtual work [D]: the bit goes k times as far as the hand.
        """
        return at_bit * self.ratio


def parse_ratio(text: str, *, what: str = "ratio") -> float:
    """Read a ratio, carving / template: "50%", "0.5", "1:2", "1/2" or "1 to 2".

    Raises
    ------
    LengthError
        Where it cannot be read, is outside 0.02 to 1, or can be read two ways ("60").
    """
    said = " ".join(text.casefold().split())
    if _THOUSANDS.search(said):
        raise LengthError(
            f"{what} {quoted(text)} has a comma that can be read two ways: write a point, as 1:1.681"
        )
    if "reduc" in said or re.search(r"\bby\b", said):
        _refuse_reduction(text, said, what)
    if match := _PERCENT.fullmatch(said):
        return _in_range(_number(match[1]) / 100.0, text, what)
    if match := _PAIR.fullmatch(said):
        return _of_pair(_number(match[1]), _number(match[2]), text, what)
    if not (match := _BARE.fullmatch(said)):
        raise LengthError(
            f"{what} {quoted(text)} is not a ratio: say how big the carving is beside the template, "
            "as 1:2, 50% or 0.5"
        )
    value = _number(match[1])
    if value > 1.0:
        _refuse_bare(value, text, what)
    return _in_range(value, text, what)


def ratio_words(ratio: float) -> str:
    """Say a ratio so that it cannot be taken for its inverse or its complement."""
    if math.isclose(ratio, 1.0, abs_tol=5e-7):
        return "the carving is as big as the template (1:1)"
    share = "half" if math.isclose(ratio, 0.5, abs_tol=5e-7) else f"{100.0 * ratio:.4g} %"
    return f"the carving is {share} of the template (1:{1.0 / ratio:.4g})"


def ratio_from_trace(template_mm: float, cut_mm: float) -> float:
    """Ratio from a line traced on the template and the same line measured in the wood.

    Both in mm, the cut from groove middle to groove middle or left wall to left wall,
    so that the groove's width drops out.

    Raises
    ------
    LengthError
        Where a length is not positive, or the cut came out longer than the traced line.
    """
    if not (template_mm > 0.0 and cut_mm > 0.0 and math.isfinite(template_mm + cut_mm)):
        raise LengthError(
            f"traced {template_mm:g} mm, cut {cut_mm:g} mm: both lengths must be more than nothing"
        )
    return _in_range(cut_mm / template_mm, f"{cut_mm:g}/{template_mm:g}", "ratio from the test cut")


def set_ups(length: float, reach: float, *, overlap: float = 0.0) -> int:
    """How many times the board is placed for a carving longer than the bit's reach.

    ceil((L - o) / (E - o)) [D], all in mm on the wood; neighbours share at least `overlap`.

    Raises
    ------
    LengthError
        Where the overlap is as much as the reach or more.
    """
    if not 0.0 <= overlap < reach:
        raise LengthError(
            f"an overlap of {overlap:g} mm leaves nothing of a reach of {reach:g} mm: overlap by less"
        )
    return max(1, math.ceil((length - overlap) / (reach - overlap) - _FLOAT_NOISE))


def drift(length: float, angle: float) -> float:
    """How far the far end of a carving is off, mm, when the board lies `angle` radians askew: L sin a [D]."""
    return length * math.sin(angle)


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _of_pair(carving: float, template: float, text: str, what: str) -> float:
    if template == 0.0:
        raise LengthError(f"{what} {quoted(text)} has a template of no size: say it as 1:2")
    return _in_range(carving / template, text, what)


def _in_range(ratio: float, text: str, what: str) -> float:
    if ratio <= 0.0:
        raise LengthError(f"{what} {quoted(text)} is nothing: the carving has some size, as 1:2 or 50%")
    if ratio > 1.0:
        raise LengthError(
            f"{what} {quoted(text)} makes the carving bigger than the template; a ratio is carving to "
            f"template, the smaller first: did you mean 1:{ratio:.4g} ({100.0 / ratio:.4g}%)?"
        )
    if ratio < SMALLEST:
        raise LengthError(
            f"{what} {quoted(text)} makes the template {1.0 / ratio:.4g} times the carving; at most "
            f"{1.0 / SMALLEST:g} times is taken: say it as 1:2, 50% or 0.5"
        )
    return ratio


def _both_readings(percent: float) -> str:
    if not 0.0 < percent < 100.0:
        return 'say how big the carving is beside the template, as "1:2" or "50%"'
    return (
        f'say "{percent:g}%" if the carving is {percent:g} % of the template, '
        f'"{100.0 - percent:g}%" if it is reduced by {percent:g} %'
    )


def _refuse_reduction(text: str, said: str, what: str) -> NoReturn:
    match = _BARE.search(said)
    readings = _both_readings(_number(match[1]) if match else 0.0)
    raise LengthError(f"{what} {quoted(text)} means one thing to one person, another to the next: {readings}")


def _refuse_bare(value: float, text: str, what: str) -> NoReturn:
    if value <= 10.0:
        raise LengthError(
            f'{what} {quoted(text)} can be read two ways: say "1:{value:g}" if the template is {value:g} '
            f'times the carving, "{value:g}%" if the carving is {value:g} % of the template'
        )
    raise LengthError(f"{what} {quoted(text)} can be read two ways: {_both_readings(value)}")
