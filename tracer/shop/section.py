"""The shape that a bit leaves: half of its section, from the axis outwards.

Every bit here is a solid of revolution whose half section is at most three pieces: a flat or
round tip, a straight side at an angle to the axis, and the full diameter above. The formulas
are right-triangle trigonometry and the circular segment ([S19]: h = R - sqrt(4 R^2 - a^2) / 2,
the usual handbook form); [D] marks a derivation from geometry alone.
"""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Section:
    """Half of a bit's section: a flat or a round tip, a straight side, a full diameter. Lengths mm."""

    diameter: float
    flat: float = 0.0
    tip_radius: float = 0.0
    side: float = 0.0  # radians between the straight side and the axis

    @property
    def tip_depth(self) -> float:
        """How deep the tip is where the straight side takes over: R (1 - sin a) [D]."""
        return self.tip_radius * (1 - math.sin(self.side))

    @property
    def tip_half(self) -> float:
        """Half the width of the tip there: flat / 2 + R cos a [D]."""
        return self.flat / 2 + self.tip_radius * math.cos(self.side)

    @property
    def full_depth(self) -> float:
        """Least depth at which the section has its full diameter."""
        if self.side == 0:
            return self.tip_depth
        return self.tip_depth + (self.diameter / 2 - self.tip_half) / math.tan(self.side)

    def half_width(self, depth: float) -> float:
        """Half the width at a depth: segment on the tip, then the straight side [S19][D]."""
        if depth <= self.tip_depth:
            return math.sqrt(depth * (2 * self.tip_radius - depth))
        side = self.tip_half + (depth - self.tip_depth) * math.tan(self.side)
        return min(side, self.diameter / 2)

    def depth(self, half: float) -> float:
        """The inverse of `half_width`, for halves above the flat and below the full diameter.

        On the tip R - sqrt(R^2 - half^2), written so that small halves lose no digits.
        """
        if half < self.tip_half:
            radius = self.tip_radius
            return half**2 / (radius + math.sqrt(radius**2 - half**2))
        return self.tip_depth + (half - self.tip_half) / math.tan(self.side)

    def area(self, depth: float) -> float:
        """Area of the groove's section at a depth, mm^2: circular segment, then trapezoid [S19][D]."""
        low = min(depth, self.tip_depth)
        radius = self.tip_radius
        tip = 0.0
        if low > 0:
            tip = radius**2 * math.acos(1 - low / radius) - (radius - low) * self.half_width(low)
        return tip + (depth - low) * (self.tip_half + self.half_width(depth) if depth > low else 0.0)
