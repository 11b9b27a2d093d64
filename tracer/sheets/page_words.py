"""How lengths and places of one plan are said on the page."""

import re
from dataclasses import dataclass

from tracer.lengths import Units, both, format_length
from tracer.model.plan import Plan

_LONG = 2000.0
"""mm from which a way is said in metres and feet."""

_UNIT = re.compile(r"(?<=[0-9]) (?=(?:[0-9]+/[0-9]+ )?(?:in|mm|ft|m)\b)")


@dataclass(frozen=True)
class PageWords:
    """Words for the lengths and places of a plan, in its user's unit first."""

    plan: Plan

    @property
    def units(self) -> Units:
        """The user's unit."""
        return self.plan.job.units

    def begin(self, text: str) -> str:
        """Return the text with a capital first."""
        return text[:1].upper() + text[1:]

    def length(self, mm: float | None) -> str:
        """Say a length in both units."""
        if mm is None:
            return "–"
        said = both(mm, self.units)
        return _unbroken(re.sub(r"\b0 in\b", "under 1/64 in", said) if mm > 0 else said)

    def sentence(self, text: str) -> str:
        """Return the text with its numbers kept on one line with their units."""
        return _UNIT.sub("\N{NO-BREAK SPACE}", text)

    def short(self, mm: float | None) -> str:
        """Say a length in the user's unit alone, for long tables."""
        return "–" if mm is None else _unbroken(format_length(mm, self.units))

    def measured(self, mm: float | None) -> str:
        """Say a width of wood or groove; below zero two grooves overlap."""
        if mm is None or mm >= 0:
            return self.length(mm)
        return f"overlap of {self.length(-mm)}"

    def way(self, mm: float) -> str:
        """Say a length that may be long: from 2 m on in metres and feet."""
        if mm < _LONG:
            return self.length(mm)
        first, second = f"{mm / 1000:.1f} m", f"{mm / 304.8:.1f} ft"
        return f"{second} ({first})" if self.units == "in" else f"{first} ({second})"

    def size(self, width: float, height: float) -> str:
        """Say a width and a height in both units."""
        return sides(width, height, self.units)

    def short_size(self, width: float, height: float) -> str:
        """Say a width and a height in the user's unit alone."""
        return f"{self.short(width)} × {self.short(height)}"

    def area(self, mm2: float) -> str:
        """Say an area in the user's unit: cm² or square inches."""
        if self.units == "in":
            return f"{mm2 / 645.16:.2f} sq in"
        return f"{mm2:.3g} mm²" if mm2 < 100 else f"{mm2 / 100:.3g} cm²"

    def ninth(self, where: tuple[float, float] | None) -> str:
        """Say which ninth of the figure a place is in."""
        if where is None:
            return "the whole carving"
        x0, y0, x1, y1 = self.plan.layout.extent
        across = _third(where[0], x0, x1, ("left", "", "right"))
        down = _third(where[1], y0, y1, ("upper", "", "lower"))
        return " ".join(word for word in (down, across) if word) or "middle"

    def spot(self, where: tuple[float, float]) -> tuple[str, str]:
        """Say how far a place is from the board's edges, in the user's unit alone."""
        return f"{self.short(where[0])} from left", f"{self.short(where[1])} from top"

    def place(self, where: tuple[float, float] | None) -> str:
        """Say a place: which ninth of the figure, and how far from the board's edges."""
        return self.ninth(where) if where is None else f"{self.ninth(where)}: {', '.join(self.spot(where))}"


def sides(width: float, height: float, units: Units) -> str:
    """Return a width and a height in the user's unit, then in the other."""
    other: Units = "mm" if units == "in" else "in"
    first, second = (f"{format_length(width, u)} × {format_length(height, u)}" for u in (units, other))
    return f"{first} ({second})"


def _unbroken(said: str) -> str:
    """Return a length that a line may be broken in only before the other unit."""
    return said.replace(" ", "\N{NO-BREAK SPACE}").replace("\N{NO-BREAK SPACE}(", " (")


def count(number: int, what: str) -> str:
    """Return such as "1 stroke" or "3 strokes"."""
    return f"{number} {what}{'' if number == 1 else 's'}"


def _third(value: float, low: float, high: float, names: tuple[str, str, str]) -> str:
    share = 0.5 if high <= low else (value - low) / (high - low)
    return names[min(2, max(0, int(share * 3)))]
