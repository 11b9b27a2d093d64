"""What can be changed about a job, and how each change is said."""

import math
from dataclasses import replace
from functools import lru_cache

from tracer.geometry import affine
from tracer.job import ASSUMED, Job
from tracer.lengths import MM_PER_INCH, Units
from tracer.lengths import both as both_
from tracer.model.layout import Layout
from tracer.shop.bits import Bit, VBit

LEAST_DEPTH = 0.4
"""mm; shallower than about 1/64 in, depth stop and flatness decide and not the user (common practice)."""

LEAST_REMEDY = 0.75
"""mm; below about 1/32 in a depth is no remedy: a board out of flat would leave gaps (our own choice)."""

DEPTH_STEPS: dict[Units, float] = {"mm": 0.1, "in": MM_PER_INCH / 64}
"""What a depth stop can be set to, by the units of the rule it is set with (common practice, no source)."""

SIZE_STEPS: dict[Units, float] = {"mm": 1.0, "in": MM_PER_INCH / 8}
"""To what a finished size is said at the bench (our own choice)."""

MOST_LARGER = 3.0
"""A figure to be made larger than this many times is another job: no remedy (our own choice)."""

_ANGLES_DEG = (90.0, 60.0, 45.0, 30.0)
"""Included angles in which V bits are commonly sold (common practice, no source)."""

_NOISE = 1e-9

both = lru_cache(maxsize=1024)(both_)
"""The same few depths and sizes are said of every stroke that is left out."""


def lesser_depths(job: Job) -> list[float]:
    """Return the depths below the job's that can be set and are worth saying, the deepest first; mm."""
    step = DEPTH_STEPS[job.units]
    first, last = math.ceil(LEAST_REMEDY / step), math.ceil(job.depth / step - _NOISE) - 1
    return [k * step for k in range(last, first - 1, -1)]


def other_bits(job: Job) -> tuple[list[tuple[str, Bit]], list[tuple[str, Bit]]]:
    """Return the other bits at hand, and those to buy, each with what to call it.

    With several depth stops there are none: the depths would follow the bit.
    """
    if job.stops > 1:
        return [], []
    at_hand = [(f"your bit “{name}”", bit) for name, bit in job.bits if bit != job.bit]
    own = job.bit
    if isinstance(own, VBit):
        to_buy = [replace(own, angle_deg=angle) for angle in _ANGLES_DEG if angle < own.angle_deg]
    else:
        to_buy = [VBit(angle, 12.7) for angle in _ANGLES_DEG]
    return at_hand, [(f"a {bit.angle_deg:g} deg V", bit) for bit in to_buy]


def sizes(layout: Layout, job: Job) -> range | None:
    """Return the sizes above the figure's that can be said at the bench, in steps; None where none can.

    Where grooves would follow the size, as they do with several depth stops of free depth,
    there are none; nor where a border keeps the figure to the board that the user has.
    """
    if job.stops > 1 and job.origin("depth") == ASSUMED:
        return None
    if layout.board.declared and any(piece.border for piece in layout.pieces):
        return None
    step = size_step(layout, job)
    found = range(math.floor(1.0 / step + _NOISE) + 1, math.floor(MOST_LARGER / step + _NOISE) + 1)
    return found or None


def size_step(layout: Layout, job: Job) -> float:
    """Return the step of sizes as a share of the figure's size."""
    return 0.01 if _by_times(layout) else SIZE_STEPS[job.units] / _side(layout)[1]


def depth_words(depth: float, units: Units) -> str:
    """Return such as "at 1/32 in (0.79 mm) deep"; inches beside mm are rounded down."""
    return f"at {both(depth, units, down=units == 'mm')} deep"


def size_words(layout: Layout, job: Job, times: float) -> str:
    """Return the words for a figure so many times as large; what the board takes, where that is less."""
    how, size = _side(layout)
    most = room_for(layout, job)
    if _by_times(layout):
        words = f"made {times:.3g} times as large"
        room = f"no more than {math.floor(most * 100) / 100:g} times" if most < math.inf else ""
    else:
        words = how.format(both(size * times, job.units))
        room = f"only {both(size * most, job.units, down=True)}" if most < math.inf else ""
    return words if times <= most + _NOISE else f"{words}, but this board takes {room}"


def fitting_words(layout: Layout, job: Job) -> str:
    """Return such as "with capitals up to 18 mm (45/64 in) high" for what fits the board, "" for no size."""
    how, size = _side(layout)
    step = SIZE_STEPS[job.units]
    most = math.floor(size * room_for(layout, job) / step + _NOISE) * step if size else 0.0
    if _by_times(layout) or most <= 0:
        return ""
    return how.replace("from", "up to").format(both(most, job.units, down=True))


def _by_times(layout: Layout) -> bool:
    """Whether there is no one size to speak of."""
    return len(layout.pieces) != 1 or _side(layout)[1] == 0


def _side(layout: Layout) -> tuple[str, float]:
    """Return how the figure's size is said, and that size, mm; of words it is that of the capitals."""
    piece = layout.pieces[0]
    if piece.drawing.marks is not None and piece.drawing.marks.cap_height > 0:
        return "with capitals from {} high", piece.drawing.marks.cap_height * affine.scale_of(piece.matrix)
    x0, y0, x1, y1 = layout.extent
    return ("from {} wide", x1 - x0) if x1 > x0 else ("from {} high", y1 - y0)


def room_for(layout: Layout, job: Job) -> float:
    """Return how many times as large the figure can be on the board the user has."""
    if not layout.board.declared:
        return math.inf
    x0, y0, x1, y1 = layout.extent
    edge = 2 * job.margin + job.groove
    room = ((layout.board.width - edge, x1 - x0), (layout.board.height - edge, y1 - y0))
    return max(0.0, min((has / needs for has, needs in room if needs > 0), default=math.inf))
