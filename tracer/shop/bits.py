"""Bits, and the groove each leaves at a depth.

All widths are at the wood's face with the bit square to it. A source mark such as [S19] names
a published source, [D] a derivation from geometry alone.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, overload

from tracer.errors import BitError
from tracer.lengths import both
from tracer.shop.section import Section

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LARGEST_DIAMETER = 3.5 * 25.4  # mm; published speed charts for hand routers stop there [S24]
LEAST_ANGLE_DEG, LARGEST_ANGLE_DEG = 10.0, 170.0
LARGEST_TAPER_DEG = 45.0
_NOISE = 1e-9  # mm; a depth that was computed from a width may pass its limit by rounding alone


def _mm(length: float) -> str:
    return both(length, "mm") if math.isfinite(length) else str(length)


def _down(limit: float) -> str:
    return both(limit, "mm", down=True)


class Bit(ABC):
    """What all bits can be asked. Lengths are mm; depths are below the wood's face.

    `cutting_length` is how far up the bit cuts, as marked on it; None where nobody said.
    """

    name: ClassVar[str]
    diameter: float
    cutting_length: float | None

    @property
    @abstractmethod
    def section(self) -> Section:
        """The bit's half section."""

    @property
    def max_depth(self) -> float | None:
        """Deepest setting: full width or the cutting length, whichever is less.

        Beyond the full width of a sloping bit its shank or body rubs. None: a straight or
        round-nose bit whose cutting length is not known.
        """
        limits = [self.section.full_depth] if self.section.side else []
        if self.cutting_length is not None:
            limits.append(self.cutting_length)
        return min(limits, default=None)

    @property
    def max_width(self) -> float:
        """Widest groove, at the deepest setting."""
        deepest = self.max_depth
        return self.section.diameter if deepest is None else 2 * self.section.half_width(deepest)

    @property
    def min_width(self) -> float:
        """What the groove's width tends to as the depth tends to 0: the flat of the tip."""
        return self.section.flat

    @property
    def width_follows_depth(self) -> bool:
        """Whether a shallower setting makes a narrower groove."""
        return self.section.flat < self.section.diameter

    @property
    def straight_walled(self) -> bool:
        """Whether the groove's walls stand upright from floor to face, so that lands break soonest."""
        return not self.width_follows_depth

    def width_at(self, depth: float) -> float:
        """Groove width at the face for a depth.

        Raises
        ------
        BitError
            For a depth that is not more than 0, or is beyond `max_depth`.
        """
        self._check_depth(depth)
        return 2 * self.section.half_width(depth)

    def depth_for(self, width: float) -> float:
        """Depth at which the groove is so wide.

        Raises
        ------
        BitError
            For a width the bit cannot cut, or cuts at more than one depth.
        """
        self._check_width(width)
        deepest = self.max_depth
        depth = self.section.depth(width / 2)
        return depth if deepest is None else min(depth, deepest)

    def width_change(self, depth: float, off: float) -> float:
        """Change of the width when the groove comes out `off` deeper (negative: shallower).

        In a V it is 2 off tan(angle / 2) [D]. Sanding s off the face makes a groove s shallower.
        """
        return self.width_at(depth + off) - self.width_at(depth)

    def area_at(self, depth: float) -> float:
        """Area of the groove's section at a depth, mm^2; raises as `width_at` does."""
        self._check_depth(depth)
        return self.section.area(depth)

    @overload
    def height_at(self, radius: float) -> float: ...
    @overload
    def height_at(self, radius: NDArray[np.floating]) -> NDArray[np.float64]: ...
    def height_at(self, radius: float | NDArray[np.floating]) -> float | NDArray[np.float64]:
        """Height of the cutting edge above the bit's lowest point.

        Parameters
        ----------
        radius : float or array of any shape
            Distance from the bit's axis, mm.

        Returns
        -------
        float or array of the same shape
            mm; infinity beyond the bit's own radius, where nothing is cut.
        """
        import numpy as np

        cut = self.section
        r = np.abs(np.asarray(radius, dtype=np.float64))
        on_tip = np.maximum(r - cut.flat / 2, 0.0)
        tip = cut.tip_radius - np.sqrt(np.maximum(cut.tip_radius**2 - on_tip**2, 0.0))
        slope = math.tan(cut.side)
        side = cut.tip_depth + (r - cut.tip_half) / slope if slope else np.inf
        height = np.where(r <= cut.tip_half, tip, side)
        height = np.where(r > cut.diameter / 2 + _NOISE, np.inf, height)
        return float(height) if height.ndim == 0 else height

    def _check_sizes(self) -> None:
        if not 0 < self.diameter <= LARGEST_DIAMETER:
            raise BitError(
                f"a {self.name} {_mm(self.diameter)} across cannot be right: "
                f"more than 0 and at most {_mm(LARGEST_DIAMETER)} are expected"
            )
        length = self.cutting_length
        if length is not None and not (length > 0 and math.isfinite(length)):
            raise BitError(f"cutting length {_mm(length)} cannot be right: it must be more than 0")

    def _check_tip(self, what: str, width: float) -> None:
        if not 0 <= width < self.diameter:
            raise BitError(
                f"the {what} of {_mm(width)} does not fit a {self.name} {_mm(self.diameter)} across: "
                "it must be less than that"
            )

    def _check_depth(self, depth: float) -> None:
        if not 0 < depth < math.inf:
            raise BitError(f"depth {_mm(depth)} cannot be cut: it must be more than 0")
        deepest = math.inf if self.max_depth is None else self.max_depth
        if depth > deepest + _NOISE:
            raise BitError(
                f"depth {_mm(depth)} is too deep for this {self.name}, which {self._limit(deepest)}"
            )

    def _limit(self, deepest: float) -> str:
        """The deepest setting and its reason, as the end of "this bit, which ..."."""
        if self.section.side and deepest == self.section.full_depth:
            return f"has its full width at {_down(deepest)}: set it shallower, or take a wider bit"
        return f"cuts at most {_down(deepest)} deep: set it shallower, or take a longer bit"

    def _check_width(self, width: float) -> None:
        cut = self.section
        if not self.width_follows_depth:
            raise BitError(
                f"a {self.name} cuts {_mm(cut.diameter)} wide at any depth: "
                "give the depth instead, or take a bit whose width follows the depth"
            )
        if not width > 0:
            raise BitError(f"width {_mm(width)} is no groove: it must be more than 0")
        if width <= self.min_width:
            raise BitError(
                f"width {_mm(width)} is not more than the bit's tip flat of {_mm(cut.flat)}, "
                "its narrowest groove: ask for a wider line, or take a bit with a sharper tip"
            )
        if not width <= self.max_width + _NOISE:
            raise BitError(
                f"width {_mm(width)} is more than this {self.name} cuts, at most {_down(self.max_width)}: "
                "ask for a narrower line, or take a wider bit"
            )
        if not cut.side and width >= cut.diameter - _NOISE:
            raise BitError(
                f"a {self.name} cuts its full width of {_mm(cut.diameter)} at any depth from "
                f"{_mm(cut.tip_depth)} on: give the depth instead"
            )


@dataclass(frozen=True)
class VBit(Bit):
    """V bit: w = flat + 2 d tan(angle / 2) [D].

    `angle_deg` is the included angle. A tip worn to `tip_radius` is a taper-ball whose side
    stands at half the angle [D]; a tip has a flat or a radius, not both.
    """

    name: ClassVar[str] = "V bit"

    angle_deg: float
    diameter: float
    flat: float = 0.0
    tip_radius: float = 0.0
    cutting_length: float | None = None

    def __post_init__(self) -> None:
        self._check_sizes()
        if not LEAST_ANGLE_DEG <= self.angle_deg <= LARGEST_ANGLE_DEG:
            raise BitError(
                f"a V bit of {self.angle_deg:g} deg cannot be right: 10 to 170 deg are expected; "
                "give the included angle between the two sides"
            )
        if self.flat and self.tip_radius:
            raise BitError("a V bit's tip is either flat or worn round: give one of the two")
        self._check_tip("tip flat", self.flat)
        self._check_tip("worn tip's width", 2 * self.section.tip_half)

    @property
    def section(self) -> Section:
        """The bit's half section."""
        return Section(self.diameter, self.flat, self.tip_radius, math.radians(self.angle_deg / 2))


@dataclass(frozen=True)
class RoundNose(Bit):
    """Round-nose (core box) bit: w = 2 sqrt(d (2 R - d)) to d = R, upright walls above [S19]."""

    name: ClassVar[str] = "round-nose bit"

    diameter: float
    cutting_length: float | None = None

    def __post_init__(self) -> None:
        self._check_sizes()

    @property
    def section(self) -> Section:
        """The bit's half section."""
        return Section(self.diameter, tip_radius=self.diameter / 2)


@dataclass(frozen=True)
class Straight(Bit):
    """Straight bit: as wide as its diameter at any depth; a wider line needs two tracks."""

    name: ClassVar[str] = "straight bit"

    diameter: float
    cutting_length: float | None = None

    def __post_init__(self) -> None:
        self._check_sizes()

    @property
    def section(self) -> Section:
        """The bit's half section."""
        return Section(self.diameter, flat=self.diameter)


@dataclass(frozen=True)
class TaperedBall(Bit):
    """Tapered ball-nose bit; `taper_deg` is the angle of one side to the axis.

    On the ball, d <= R (1 - sin a), the segment; above it
    w = 2 [R cos a + (d - R (1 - sin a)) tan a] [D].
    """

    name: ClassVar[str] = "tapered ball bit"

    tip_radius: float
    taper_deg: float
    diameter: float
    cutting_length: float | None = None

    def __post_init__(self) -> None:
        self._check_sizes()
        if not 0 < self.taper_deg <= LARGEST_TAPER_DEG:
            raise BitError(
                f"a taper of {self.taper_deg:g} deg a side cannot be right: "
                f"more than 0 and at most {LARGEST_TAPER_DEG:g} deg are expected"
            )
        if not self.tip_radius > 0:
            raise BitError(f"tip radius {_mm(self.tip_radius)} is no ball: it must be more than 0")
        self._check_tip("ball's width", 2 * self.section.tip_half)

    @property
    def section(self) -> Section:
        """The bit's half section."""
        return Section(self.diameter, tip_radius=self.tip_radius, side=math.radians(self.taper_deg))
