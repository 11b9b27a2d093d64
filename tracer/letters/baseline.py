"""Baselines: straight, or arcs about one centre, the lines' pitch apart."""

import math
from dataclasses import dataclass

from tracer.errors import LetterError


@dataclass(frozen=True)
class Baseline:
    """The baseline of one line; y down, the drawing's unit.

    Attributes
    ----------
    below : how far it lies below that of the first line, at the middle of the words.
    radius : of its arc about a centre below it; negative, above it; None, straight.
    """

    below: float
    radius: float | None = None

    def at(self, along: float) -> tuple[float, float]:
        """Return the point that lies so far along it from the middle of the words."""
        if self.radius is None:
            return along, self.below
        angle = along / self.radius
        return self.radius * math.sin(angle), self.below + 2 * self.radius * math.sin(angle / 2) ** 2

    def turn(self, along: float) -> float:
        """Return its direction there, radians, clockwise as seen."""
        return 0.0 if self.radius is None else along / self.radius


def baseline_of(line: int, pitch: float, arc: float | None) -> Baseline:
    """Return the baseline of a line by its number from 0; `arc` is the radius of the first one."""
    below = line * pitch
    return Baseline(below, None if arc is None else arc - below)


def require_room(baseline: Baseline, length: float, height: float, line: int) -> None:
    """Raise a LetterError where a line of such a length and height of capitals cannot stand on its arc."""
    radius = baseline.radius
    if radius is None:
        return
    hill = radius + baseline.below > 0
    least = max(length / (2 * math.pi), 0.0 if hill else height)
    room = radius if hill else -radius
    if room > least:
        return
    raise LetterError(
        f"line {line + 1} is {length:.1f} mm long and would stand on an arc of {room:.1f} mm radius; it "
        f"needs more than {least:.1f} mm: give a larger arc, fewer lines or smaller letters"
    )
