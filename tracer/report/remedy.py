"""What would cure a groove that is too wide; each answer is checked against the bit before it is given."""

import math
from dataclasses import replace

from tracer.errors import BitError
from tracer.job import Job
from tracer.lengths import MM_PER_INCH, Units, both
from tracer.model.layout import Layout
from tracer.shop.bits import Bit, VBit

LEAST_DEPTH = 0.4
"""mm; shallower than about 1/64 in, depth stop and flatness decide and not the user (common practice)."""

MOST_LARGER = 3.0
"""A figure to be made larger than this many times is another job: no remedy (our own choice)."""

_ANGLES_DEG = (90.0, 60.0, 45.0, 30.0)
"""Included angles in which V bits are commonly sold (common practice, no source)."""


def shallower(job: Job, widest: float) -> float | None:
    """Return the greatest depth (mm) at which the bit cuts no wider than `widest`, None if none will do."""
    bit = job.bit
    if not bit.width_follows_depth or widest <= bit.min_width:
        return None
    depth = job.depth if widest >= bit.max_width else min(bit.depth_for(widest), job.depth)
    step = MM_PER_INCH / 64 if job.units == "in" else 0.05
    depth = math.floor(depth / step + 1e-9) * step
    return depth if depth >= LEAST_DEPTH - 0.01 and _holds(bit, depth, widest) else None


def narrower_bit(job: Job, widest: float) -> str | None:
    """Return the words for a sharper V that cuts no wider than `widest` at this depth, None if none does."""
    if not isinstance(job.bit, VBit):
        sharper = [VBit(angle, 12.7) for angle in _ANGLES_DEG]
    else:
        angles = [angle for angle in _ANGLES_DEG if angle < job.bit.angle_deg]
        sharper = [replace(job.bit, angle_deg=angle) for angle in angles]
    for bit in sharper:
        if _holds(bit, job.depth, widest):
            return f"a {bit.angle_deg:g} deg V"
    return None


def _holds(bit: Bit, depth: float, widest: float) -> bool:
    try:
        return bit.width_at(depth) <= widest + 1e-9
    except BitError:
        return False


def size_at_least(width: float, units: Units) -> float:
    """Return `width` (mm) rounded up to what one says at the bench: whole mm, or 1/8 in."""
    step = MM_PER_INCH / 8 if units == "in" else 1.0
    return math.ceil(width / step - 1e-9) * step


def larger(layout: Layout, job: Job, factor: float) -> str:
    """Return the words for making the whole figure `factor` times as large."""
    x0, y0, x1, y1 = layout.extent
    side, size = ("wide", x1 - x0) if x1 > x0 else ("high", y1 - y0)
    if len(layout.pieces) != 1 or size == 0:
        return f"made {math.ceil(factor * 100) / 100:g} times as large"
    return f"from {both(size_at_least(size * factor, job.units), job.units)} {side} on"


def cures(layout: Layout, job: Job, *, widest: float, factor: float) -> str:
    """Return as a sentence what cuts no wider than `widest`, or makes the figure `factor` times as large."""
    ways = []
    depth = shallower(job, widest)
    if depth is not None:
        ways.append(f"at {both(depth, job.units, down=True)} deep or less")
    bit = narrower_bit(job, widest)
    if bit:
        ways.append(f"with {bit} at this depth")
    if factor <= MOST_LARGER:
        ways.append(larger(layout, job, factor))
    if not ways:
        return ""
    return "It holds " + (", ".join(ways[:-1]) + ", or " if len(ways) > 1 else "") + ways[-1] + "."
