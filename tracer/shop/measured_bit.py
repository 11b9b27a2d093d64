"""The true bit from test grooves: its tip, angle or diameter, from widths and depths measured in wood.

Above its tip the groove of a V bit or a tapered ball is a straight line over the depth,

    w = f + 2 d tan(a),  a the angle of one side to the axis [D],

whose f is the flat of the tip, or 2 R (1 - sin a) / cos a for a round tip of radius R [D]. One groove
gives f where the angle is believed, or the angle where the tip is; two grooves or more give both,
by least squares.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from tracer.errors import BitError
from tracer.lengths import both
from tracer.shop.bits import Bit, RoundNose, Straight, TaperedBall, VBit

WIDTH_OFF, DEPTH_OFF = 0.1, 0.1
"""How near a groove's width and depth are read, mm: calipers, and their depth rod, in wood.

Common practice, no source.
"""

LEAST_SPREAD = 0.5
"""Depths less apart than this, mm, cannot tell the angle: five times as much as one is read to."""

_MISREAD = 3.0  # times its doubt; a groove further off the others than this was misread

_FIELDS: Mapping[str, str] = {
    "tip flat": "flat",
    "tip radius": "tip_radius",
    "angle": "angle_deg",
    "taper": "taper_deg",
    "diameter": "diameter",
}

_DIGITS: Mapping[str, int] = {"tip flat": 2, "tip radius": 2, "angle": 1, "taper": 1, "diameter": 2}
"""Decimals that are kept of what is found: finer than it can be read."""

Sloping = VBit | TaperedBall
What = Literal["tip flat", "tip radius", "angle", "taper", "diameter"]


@dataclass(frozen=True)
class CutGroove:
    """One groove cut in scrap: its width at the face and its depth there, mm, both measured in the wood."""

    width: float
    depth: float


@dataclass(frozen=True)
class Told:
    """One measure of a bit that grooves tell.

    Attributes
    ----------
    what : lengths are mm, angles degrees (a V's included angle, a ball's taper a side).
    value, marked : as found, and as the bit was said to have it.
    doubt : what reading leaves open, either way, in the same unit.
    """

    what: What
    value: float
    marked: float
    doubt: float

    @property
    def as_marked(self) -> bool:
        """Whether it differs from what was said by no more than reading leaves open."""
        return abs(self.value - self.marked) <= self.doubt


@dataclass(frozen=True)
class TrueBit:
    """A bit as its grooves show it.

    Attributes
    ----------
    bit : to plan with from now on.
    told : what was found; the rest of the bit was believed.
    other : what one groove tells instead where not the angle is believed, but the tip.
    misread : numbers, from 1, of grooves that do not lie with the others.
    """

    bit: Bit
    told: tuple[Told, ...]
    other: Told | None = None
    misread: tuple[int, ...] = ()

    @property
    def as_marked(self) -> bool:
        """Whether nothing that was found parts from what was said."""
        return all(one.as_marked for one in self.told)


@dataclass(frozen=True)
class _Line:
    """w = flat + 2 d tan(side), with the doubts of both; `side` in radians."""

    flat: float
    side: float
    flat_off: float
    side_off: float


def true_bit(bit: Bit, grooves: Sequence[CutGroove]) -> TrueBit:
    """Find what a bit is from the grooves it cut; `bit` is what it is said to be.

    Where nothing that they tell parts from what was said, the bit stays as it was said.

    Raises
    ------
    BitError
        Where no bit of that kind can have cut them, or they are too alike to tell.
    """
    found = _read_from(bit, grooves)
    if not found.as_marked:
        return found
    own: Any = found.bit  # any of the bits is a dataclass with these fields
    marked = {_FIELDS[one.what]: one.marked for one in found.told}
    return replace(found, bit=replace(own, **marked))


def _read_from(bit: Bit, grooves: Sequence[CutGroove]) -> TrueBit:
    """Return a bit with all that the grooves tell, however near it is to what was said."""
    match bit:
        case Straight() | RoundNose():
            return _by_diameter(bit, grooves)
        case VBit() | TaperedBall():
            for groove in grooves:
                _check(bit, groove)
            return _by_one(bit, grooves[0]) if len(grooves) == 1 else _by_several(bit, grooves)
    raise BitError(f"test grooves tell nothing of a {bit.name}: measure the bit itself")


def _check(bit: Sloping, groove: CutGroove) -> None:
    """Refuse a groove that shows the bit's full width, where neither tip nor angle can be seen."""
    if groove.width >= bit.diameter:
        raise BitError(
            f"a groove {both(groove.width, 'mm')} wide is as wide as the whole bit, "
            f"{both(bit.diameter, 'mm')} across, and tells nothing of its tip or angle: "
            "measure a shallower one"
        )


def _by_diameter(bit: Straight | RoundNose, grooves: Sequence[CutGroove]) -> TrueBit:
    """A straight or round-nose bit: its diameter, the mean of all grooves."""
    found = [_diameter(bit, groove) for groove in grooves]
    mean = sum(value for value, _ in found) / len(found)
    doubt = math.hypot(*(off for _, off in found)) / len(found)
    misread = tuple(n for n, (value, off) in enumerate(found, 1) if abs(value - mean) > _MISREAD * off)
    told = Told("diameter", mean, bit.diameter, doubt)
    return TrueBit(replace(bit, diameter=round(mean, _DIGITS["diameter"])), (told,), misread=misread)


def _diameter(bit: Straight | RoundNose, groove: CutGroove) -> tuple[float, float]:
    """Diameter and its doubt: w itself, or of a round nose up to its radius twice the ball's."""
    if isinstance(bit, Straight) or groove.depth >= groove.width / 2:
        return groove.width, WIDTH_OFF
    radius, off = _ball(groove)
    return 2 * radius, 2 * off


def _ball(groove: CutGroove) -> tuple[float, float]:
    """Radius of a ball and its doubt from a segment: w^2 / (8 d) + d / 2 [S19]."""
    w, d = groove.width, groove.depth
    off = math.hypot(w / (4 * d) * WIDTH_OFF, (0.5 - w**2 / (8 * d**2)) * DEPTH_OFF)
    return w**2 / (8 * d) + d / 2, off


def _by_one(bit: Sloping, groove: CutGroove) -> TrueBit:
    """One groove: the tip where the angle is believed; the angle where even a sharp tip would be too wide."""
    side = bit.section.side
    line = _Line(groove.width - 2 * groove.depth * math.tan(side), side, _off(side), 0.0)
    if line.flat < -line.flat_off:
        sharp = replace(bit, flat=0.0) if isinstance(bit, VBit) else bit
        angle = _angle(sharp, groove)
        if angle is None:
            raise _impossible(bit, line.flat)
        return TrueBit(_built(sharp, angle), (angle,))
    tip = _tip(bit, replace(line, flat=max(line.flat, 0.0)))
    if tip.what == "tip radius" and groove.depth < tip.value * (1 - math.sin(side)):
        radius, off = _ball(groove)
        tip = replace(tip, value=radius, doubt=off)
    return TrueBit(_built(bit, tip), (tip,), _angle(bit, groove))


def _by_several(bit: Sloping, grooves: Sequence[CutGroove]) -> TrueBit:
    """Two grooves or more: tip and angle, by least squares."""
    line = _fitted(grooves)
    if line.flat < -2 * line.flat_off:
        raise _impossible(bit, line.flat)
    if line.flat < 0:
        side = math.atan(sum(g.width * g.depth for g in grooves) / sum(g.depth**2 for g in grooves) / 2)
        line = replace(line, flat=0.0, side=side)
    tip = _tip(bit, line)
    if tip.what == "tip radius" and min(g.depth for g in grooves) < tip.value * (1 - math.sin(line.side)):
        raise BitError(
            "the shallowest groove is no deeper than the round tip, which seems to have a radius of "
            f"{both(tip.value, 'mm')}: cut two deeper ones, so that the sides show"
        )
    angle = _angle_told(bit, line.side, line.side_off)
    return TrueBit(_built(bit, tip, angle), (tip, angle), misread=_misread(line, grooves))


def _fitted(grooves: Sequence[CutGroove]) -> _Line:
    """The straight line of least squares through the widths over the depths."""
    count = len(grooves)
    depth, width = sum(g.depth for g in grooves) / count, sum(g.width for g in grooves) / count
    spread = max(g.depth for g in grooves) - min(g.depth for g in grooves)
    if spread < LEAST_SPREAD:
        raise BitError(
            f"grooves {both(spread, 'mm')} apart in depth cannot tell the tip from the angle: "
            f"cut them at least {both(LEAST_SPREAD, 'mm')} apart, or give one alone"
        )
    square = sum((g.depth - depth) ** 2 for g in grooves)
    slope = sum((g.depth - depth) * (g.width - width) for g in grooves) / square
    if slope <= 0:
        raise BitError("the deeper groove is no wider: check which width belongs to which depth")
    side = math.atan(slope / 2)
    off = _off(side)
    flat_off = off * math.sqrt(1 / count + depth**2 / square)
    return _Line(width - slope * depth, side, flat_off, off / math.sqrt(square) / 2 * math.cos(side) ** 2)


def _misread(line: _Line, grooves: Sequence[CutGroove]) -> tuple[int, ...]:
    """Numbers of the grooves further off the line than reading explains."""
    off = [g.width - line.flat - 2 * g.depth * math.tan(line.side) for g in grooves]
    return tuple(n for n, one in enumerate(off, 1) if abs(one) > _MISREAD * _off(line.side))


def _off(side: float) -> float:
    """Doubt of a width at its depth, mm: both are read, and a depth is worth 2 tan(a) of width."""
    return math.hypot(WIDTH_OFF, 2 * math.tan(side) * DEPTH_OFF)


def _tip(bit: Sloping, line: _Line) -> Told:
    """The tip of a line: its flat, or the radius that leaves as much."""
    if isinstance(bit, VBit) and not bit.tip_radius:
        return Told("tip flat", line.flat, bit.flat, line.flat_off)
    share = math.cos(line.side) / (1 - math.sin(line.side)) / 2
    return Told("tip radius", line.flat * share, bit.tip_radius, line.flat_off * share)


def _angle(bit: Sloping, groove: CutGroove) -> Told | None:
    """The angle of one groove where the tip is believed; None where no angle makes it.

    (w - flat) / 2 cos(a) = R + (d - R) sin(a) [D], of which a = acos(R / m) - atan((d - R) / h).
    """
    half, rise = (groove.width - bit.section.flat) / 2, groove.depth - bit.tip_radius
    reach = math.hypot(half, rise)
    if half <= 0 or reach <= bit.tip_radius:
        return None
    side = math.acos(bit.tip_radius / reach) - math.atan2(rise, half)
    if side <= 0 or groove.depth < bit.tip_radius * (1 - math.sin(side)):
        return None
    return _angle_told(bit, side, _off(side) / (2 * groove.depth) * math.cos(side) ** 2)


def _angle_told(bit: Sloping, side: float, off: float) -> Told:
    """A V is known by its included angle, a ball by the taper of one side."""
    if isinstance(bit, VBit):
        return Told("angle", 2 * math.degrees(side), bit.angle_deg, 2 * math.degrees(off))
    return Told("taper", math.degrees(side), bit.taper_deg, math.degrees(off))


def _built(bit: Sloping, *told: Told) -> Bit:
    """The same bit with what was found in place of what was marked."""
    found: dict[str, Any] = {_FIELDS[one.what]: round(one.value, _DIGITS[one.what]) for one in told}
    return replace(bit, **found)


def _impossible(bit: Sloping, flat: float) -> BitError:
    return BitError(
        f"such grooves would want a tip {both(-flat, 'mm')} narrower than a sharp one, which no {bit.name} "
        "has: measure each depth in the wood, from its face, and not at the router's scale"
    )
