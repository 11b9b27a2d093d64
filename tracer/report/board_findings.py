"""What is said of the board, the bit and the linkage: too deep, over the edge, a ratio nobody measured."""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from tracer.job import ASSUMED, Job
from tracer.lengths import MM_PER_INCH, both, quoted
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.report.change import depth_words, fitting_words, lesser_depths
from tracer.report.cut import Cut
from tracer.report.places import piece_names
from tracer.report.words import said
from tracer.shop.linkage import ratio_words

LEAST_FLOOR = 6.35
"""mm of wood to leave under a groove, or half the board where that is less (common practice, no source)."""

NO_FIT = "This does not fit the board"
"""How a finding begins that says so."""

_NOISE = 1e-6

BED_CAUTION = (
    "On a child's bed a cut right through can trap a head, a neck or a limb: before you cut read the "
    "standard that holds where you live (in the United States 16 CFR 1219 and 1220 for cots, 1213 and 1513 "
    "for bunk beds; in Europe EN 716 and EN 747). Nothing here says that a bed is safe."
)


def about_board(layout: Layout, job: Job, cut: Cut) -> Iterator[Finding]:
    """Say what the board will not bear, and what was not measured."""
    if cut.strokes:
        yield from _depth(layout, job, float(cut.depth.max()))
        yield from _edges(layout, job, cut)
    if job.stops > 1 and not job.bit.width_follows_depth:
        yield _one_stop(job)
    if job.linkage.measured_on is None:
        yield _unmeasured(job)
    if len(cut.strokes) > 1 and not job.hand_error and job.origin("hand") == ASSUMED:
        yield _hand(job)


def _depth(layout: Layout, job: Job, deepest: float) -> Iterator[Finding]:
    thickness = layout.board.thickness
    floor = thickness - deepest
    least = min(LEAST_FLOOR, thickness / 2)
    if floor <= 0:
        yield Finding(
            check="cut right through",
            severity="risk",
            message=(
                f"The grooves go right through the board: {both(deepest, job.units)} deep in "
                f"{both(thickness, job.units)}. What they ring round falls out. {BED_CAUTION}"
            ),
            measured=deepest,
            limit=thickness,
            remedy=_less_deep(job, thickness - least),
        )
    elif floor < least - _NOISE:
        yield Finding(
            check="too deep for the board",
            severity="risk",
            message=(
                f"Only {said(floor, job.units)} of wood is left under the deepest groove; "
                f"leave at least {both(least, job.units)} (rule of thumb)."
            ),
            measured=floor,
            limit=least,
            remedy=_less_deep(job, thickness - least),
        )


def _less_deep(job: Job, most: float) -> str:
    """Return the greatest depth that can be set and leaves wood enough."""
    depth = next((one for one in lesser_depths(job) if one <= most + _NOISE), None)
    return (
        "Take a thicker board."
        if depth is None
        else f"It holds {depth_words(depth, job.units)}, or in a thicker board."
    )


def _edges(layout: Layout, job: Job, cut: Cut) -> Iterator[Finding]:
    """Compare the outermost grooves' edges with the board's and with the margin."""
    if not layout.board.declared:
        return
    left = _left(layout, cut)
    least = min(left.values())
    if least < -_NOISE:
        yield Finding(
            check="over the board's edge",
            severity="loss",
            message=_over(layout, job, cut),
            measured=least,
            limit=0.0,
            remedy=_inside(left, 0.0, job) or _fitting(layout, job),
        )
        return
    # How far a border lies from the edge was said.
    inner = cut.only([number for number in cut.numbers if number not in layout.bordering])
    if inner.strokes:
        yield from _margin(layout, job, inner)


def _margin(layout: Layout, job: Job, cut: Cut) -> Iterator[Finding]:
    """Compare with the margin what is left beside the grooves."""
    left = _left(layout, cut)
    side, least = min(left.items(), key=lambda item: item[1])
    if least < job.margin - _NOISE:
        inside = _inside(left, job.margin, job) or _SMALLER
        yield Finding(
            check="margin",
            severity="risk",
            message=(
                f"The outermost groove{_whose(layout, cut, side)} comes within {said(least, job.units)} of "
                f"the board's {side} edge; the margin is {both(job.margin, job.units)}."
            ),
            measured=least,
            limit=job.margin,
            remedy=f"{inside.removesuffix('.')}, or ask for a smaller margin.",
        )


def _left(layout: Layout, cut: Cut) -> dict[str, float]:
    """Return how much of the board is left beside the grooves, by its sides, mm."""
    return {side: float(left.min()) for side, left in _beside(layout, cut).items()}


def _whose(layout: Layout, cut: Cut, side: str) -> str:
    """Return of which piece, of several, the groove nearest one side is."""
    number = cut.numbers[int(_beside(layout, cut)[side].argmin())]
    piece = layout.piece_of(number) if len(layout.pieces) > 1 else None
    return "" if piece is None else f" of {quoted(piece_names(layout)[piece])}"


def _beside(layout: Layout, cut: Cut) -> dict[str, NDArray[np.float64]]:
    """Return how much of the board is left beside each groove (k,), by the board's sides, mm."""
    bounds, board = np.array([stroke.bounds for stroke in cut.strokes]), layout.board
    return {
        "left": bounds[:, 0] - cut.radius,
        "top": bounds[:, 1] - cut.radius,
        "right": board.width - bounds[:, 2] - cut.radius,
        "bottom": board.height - bounds[:, 3] - cut.radius,
    }


def _inside(left: dict[str, float], margin: float, job: Job) -> str:
    """Return how the figure gets inside a margin by moving it, "" where there is no room."""
    short = {side: margin - room for side, room in left.items() if room < margin - _NOISE}
    away = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
    if all(left[away[side]] - by >= margin - _NOISE for side, by in short.items()):
        step = MM_PER_INCH / 16 if job.units == "in" else 1.0
        up = {side: math.ceil(by / step) * step for side, by in short.items()}
        moves = [f"{both(by, job.units)} away from the {side} edge" for side, by in up.items()]
        return f"Move the figure {' and '.join(moves)}."
    return ""


_SMALLER = "Make the figure smaller, or take a larger board."


def _over(layout: Layout, job: Job, cut: Cut) -> str:
    """Say how far the grooves run over which edges; of a figure alone, whether it could lie on the board."""
    left = _left(layout, cut)
    edges = [
        f"{said(-room, job.units)} over the board's {side} edge"
        for side, room in left.items()
        if room < -_NOISE
    ]
    runs = f"run {', '.join(edges[:-1])}{' and ' if edges[1:] else ''}{edges[-1]}."
    if len(layout.pieces) > 1 or _inside(left, 0.0, job):
        return f"The grooves{_whose(layout, cut, min(left, key=lambda side: left[side]))} {runs}"
    return f"{NO_FIT}: the grooves {runs}"


def _fitting(layout: Layout, job: Job) -> str:
    """Return which size fits the board, and what board the figure takes as it is, each with the margin."""
    smaller = fitting_words(layout, job)
    if not smaller:
        return _SMALLER
    x0, y0, x1, y1 = layout.extent
    step = MM_PER_INCH / 16 if job.units == "in" else 1.0
    sides = [math.ceil((by + 2 * job.margin + job.groove) / step) * step for by in (x1 - x0, y1 - y0)]
    takes = " x ".join(both(side, job.units) for side in sides)
    return f"It fits {smaller}; as it is it takes a board of at least {takes}."


def _one_stop(job: Job) -> Finding:
    return Finding(
        check="one depth stop",
        severity="note",
        message=(
            f"A {job.bit.name} cuts as wide at any depth: more than one depth stop would change no line, "
            "and one is used."
        ),
        remedy="For bold and fine lines take a V or a round-nose bit.",
    )


def _unmeasured(job: Job) -> Finding:
    return Finding(
        check="ratio not measured",
        severity="note",
        message=(
            f"The ratio is {job.origin('ratio')} and was not measured: {ratio_words(job.ratio)}. "
            "If your linkage is set otherwise the carving comes out at another size."
        ),
        remedy="Trace a line of known length on scrap, measure the cut, and enter both in the shop file.",
    )


def _hand(job: Job) -> Finding:
    astray = MM_PER_INCH / 16 if job.units == "in" else 1.0
    return Finding(
        check="hand not counted",
        severity="note",
        message=(
            f"How far your hand strays is not counted: {both(astray, job.units)} off the line on the "
            f"template is {said(job.linkage.error_on_wood(astray), job.units)} in the wood."
        ),
        remedy="Say how far it strays with --hand.",
    )
