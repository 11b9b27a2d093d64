"""A bit set to a depth, and all that can be asked of its groove."""

from dataclasses import dataclass

from tracer.errors import BitError
from tracer.lengths import both
from tracer.shop.bits import Bit
from tracer.shop.router import (
    equal_wood_depths,
    fill_volume_ml,
    pass_depths,
    rim_speed,
    usual_rpm_limit,
    wood_shares,
)


@dataclass(frozen=True)
class BitSetting:
    """A bit and its depth; lengths mm, depths below the face before sanding.

    Attributes
    ----------
    bit, depth : what cuts, and how deep it is set.
    sanded : what is sanded off the face afterwards.
    limit : most depth that one pass may add.
    off : by how much a depth stop may be set wrong.
    out_of_flat : how far the board's face is high or low in places, None where nobody asked.
    rpm : turns a minute, None likewise.
    """

    bit: Bit
    depth: float
    sanded: float
    limit: float
    off: float
    out_of_flat: float | None = None
    rpm: float | None = None

    @property
    def width(self) -> float:
        """Width at the face as it is cut."""
        return self.bit.width_at(self.depth)

    @property
    def finished_width(self) -> float:
        """The line's width once the face is sanded; raises BitError where nothing is left of it."""
        if self.sanded >= self.depth:
            raise BitError(
                f"sanding {both(self.sanded, 'mm')} off takes the whole groove away, "
                f"which is {both(self.depth, 'mm')} deep: cut deeper, or sand less"
            )
        return self.bit.width_at(self.depth - self.sanded)

    def change(self, deeper: float) -> float | None:
        """Change of the width where the groove comes out so much deeper, or shallower if negative.

        None where the bit cannot go so deep; where it no longer touches the wood all the width is lost.
        """
        deepest = self.bit.max_depth
        if deepest is not None and self.depth + deeper > deepest:
            return None
        return -self.width if self.depth + deeper <= 0 else self.bit.width_change(self.depth, deeper)

    @property
    def pass_depths(self) -> tuple[float, ...]:
        """Depth of each pass, none adding more than the limit."""
        return pass_depths(self.bit, self.depth, self.limit)

    @property
    def pass_shares(self) -> tuple[float, ...]:
        """Part of all the wood that each pass removes."""
        return wood_shares(self.bit, self.pass_depths)

    @property
    def equal_wood_depths(self) -> tuple[float, ...]:
        """Depths at which as many passes would each remove as much, whatever the limit."""
        return equal_wood_depths(self.bit, self.depth, len(self.pass_depths))

    @property
    def ml_per_metre(self) -> float:
        """Wood removed from a metre of groove, mL."""
        return fill_volume_ml(self.bit, self.depth, 1000.0)

    @property
    def rim_speed(self) -> float | None:
        """Speed of the bit's widest part, m/s."""
        return None if self.rpm is None else rim_speed(self.bit.diameter, self.rpm)

    @property
    def rpm_limit(self) -> int:
        """Fastest turns a minute of the usual charts for the bit's diameter."""
        return usual_rpm_limit(self.bit.diameter)
