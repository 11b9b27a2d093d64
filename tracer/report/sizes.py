"""From which size on nothing is lost, how much at others, and what other bits and depths would do."""

import math
from collections.abc import Sequence
from typing import get_args

from tracer.errors import JobError
from tracer.geometry import affine
from tracer.job import Job
from tracer.lengths import MM_PER_INCH, Units
from tracer.model.layout import Layout
from tracer.model.sizes import Side, SizeRow, Sizes
from tracer.report.choices import find_choices
from tracer.report.cures import Kind
from tracer.report.least import find_least
from tracer.report.looks import Looks

SMALLEST, LARGEST = 0.5, 3.0
"""Sizes looked at, as multiples of that asked for: beyond is another job (our own choice)."""

TINIEST = 1 / 32
"""How small a figure is made to find what it loses."""

LONGEST = 5000.0
"""mm; no figure is looked at larger than may be asked for."""

ROWS, FEW_ROWS = 12, 8
"""Sizes in the table; few where each must be looked at afresh."""

_STEPS = (1.0, 2.0, 5.0)
"""Sizes in the table are multiples of such a step, of tens of it, and so on; in inches, of eighths."""

_SHARE = 0.06
"""Such a step is at most this share of the size."""


def find_sizes(layout: Layout, job: Job) -> Sizes:
    """Return what becomes of the figure of `layout`, its only piece, at other sizes.

    Where grooves are the same at all sizes each stroke, each land and each piece of standing wood
    gives the size from which on it holds by a sum; that all hold there, and not a little below, is
    then looked at in the wood. Where grooves follow the size it is searched for.

    Raises
    ------
    BitError, JobError
        As for a plan; and for a figure without size.
    """
    width, height = size_of(layout)
    side: Side = "wide" if width > 0 else "high"
    asked = width or height
    if not asked:
        raise JobError("this drawing is a single dot and has no size: draw something larger")
    looks = Looks(layout, job)
    largest = min(LARGEST, LONGEST / asked)
    fits = largest_on_board(layout, job, asked)
    known = [asked] if fits is None or fits > largest * asked else [asked, fits]
    sizes = _table(known, job.units, _lowest(looks), largest, few=looks.follows_size(job))
    rows = [looks.at(size / asked) for size in reversed(sizes)][::-1]
    thin, merged, holds = (find_least(looks, rows, kind, asked) for kind in get_args(Kind))
    return Sizes(
        job=job,
        width=width,
        height=height,
        side=side,
        strokes=len(looks.figure.numbers),
        rows=tuple(SizeRow(width * look.times, height * look.times, look.losses) for look in rows),
        nothing_thin=thin,
        nothing_merged=merged,
        all_holds=holds,
        largest=fits,
        choices=find_choices(looks),
        capitals=_capitals(layout),
    )


def size_of(layout: Layout) -> tuple[float, float]:
    """Return the figure's finished width and height as the user says them: before it is turned."""
    (piece,) = layout.pieces
    x0, y0, x1, y1 = piece.drawing.bounds
    scale = affine.scale_of(piece.matrix)
    return (x1 - x0) * scale, (y1 - y0) * scale


def _capitals(layout: Layout) -> float:
    (piece,) = layout.pieces
    return 0.0 if piece.drawing.marks is None else piece.drawing.marks.cap_height * piece.scale


def largest_on_board(layout: Layout, job: Job, asked: float) -> float | None:
    """Return the largest size on the board with margins and groove, turned as it lies."""
    if job.board is None:
        return None
    x0, y0, x1, y1 = layout.extent
    room = [side - 2 * job.margin - job.groove for side in job.board[:2]]
    return asked * min(free / need for free, need in zip(room, (x1 - x0, y1 - y0), strict=True) if need > 0)


def _lowest(looks: Looks) -> float:
    """Return the size, as a multiple of that given, with which the table begins: one that loses something."""
    times = SMALLEST
    while times > TINIEST and not looks.thin_at(times) and not looks.at(times).losses.any:
        times /= 2
    return times


def _table(known: Sequence[float], units: Units, lowest: float, largest: float, *, few: bool) -> list[float]:
    """Return the sizes of the table, rising by about the same share: round numbers, and those `known`."""
    count = FEW_ROWS if few else ROWS
    grow = (largest / lowest) ** (1 / (count - 1))
    round_ones = {rounded(known[0] * lowest * grow**k, units) for k in range(count)}
    near = math.log(grow) / 2
    apart = {size for size in round_ones if all(abs(math.log(size / one)) > near for one in known)}
    return sorted(apart | set(known))


def rounded(size: float, units: Units) -> float:
    """Return a size that is easily said, near this one."""
    unit = MM_PER_INCH / 8 if units == "in" else 1.0
    base = 2.0 if units == "in" else 10.0
    steps = (1.0,) if units == "in" else _STEPS
    most = max(_SHARE * size / unit, 1.0)
    power = base ** math.floor(math.log(most, base))
    step = max(step * power for step in steps if step * power <= most) * unit
    return max(step, round(size / step) * step)
