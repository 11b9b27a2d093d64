"""What is said of the board and the linkage: too deep, over the edge, a ratio nobody measured."""

from collections.abc import Iterator, Sequence

from tracer.job import Job
from tracer.lengths import both
from tracer.model.drawing import Stroke, extent
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.shop.linkage import ratio_words

LEAST_FLOOR = 6.35
"""mm of wood to leave under a groove, or half the board where that is less (common practice, no source)."""

_NOISE = 1e-6

BED_CAUTION = (
    "On a child's bed a cut right through can trap a head, a neck or a limb: before you cut read the "
    "standard that holds where you live (in the United States 16 CFR 1219 and 1220 for cots, 1213 and 1513 "
    "for bunk beds; in Europe EN 716 and EN 747). Nothing here says that a bed is safe."
)


def about_board(layout: Layout, job: Job, cut: Sequence[Stroke]) -> Iterator[Finding]:
    """Say what the board will not bear, and what was not measured."""
    if cut:
        yield from _depth(layout, job)
        yield from _edges(layout, job, cut)
    if job.linkage.measured_on is None:
        yield _unmeasured(job)


def _depth(layout: Layout, job: Job) -> Iterator[Finding]:
    thickness = layout.board.thickness
    floor = thickness - job.depth
    least = min(LEAST_FLOOR, thickness / 2)
    if floor <= 0:
        yield Finding(
            check="cut right through",
            severity="risk",
            message=(
                f"The grooves go right through the board: {both(job.depth, job.units)} deep in "
                f"{both(thickness, job.units)}. What they ring round falls out. {BED_CAUTION}"
            ),
            measured=job.depth,
            limit=thickness,
            remedy=f"Set the depth to {both(thickness - least, job.units, down=True)} or less.",
        )
    elif floor < least - _NOISE:
        yield Finding(
            check="too deep for the board",
            severity="risk",
            message=(
                f"Only {both(floor, job.units)} of wood is left under the grooves; leave at least "
                f"{both(least, job.units)} (rule of thumb)."
            ),
            measured=floor,
            limit=least,
            remedy=f"Set the depth to {both(thickness - least, job.units, down=True)} or less.",
        )


def _edges(layout: Layout, job: Job, cut: Sequence[Stroke]) -> Iterator[Finding]:
    """Compare the outermost grooves' edges with the board's and with the margin."""
    if not layout.board.declared:
        return
    x0, y0, x1, y1 = extent(tuple(cut))
    half = job.groove / 2
    left = {
        "left": x0 - half,
        "top": y0 - half,
        "right": layout.board.width - x1 - half,
        "bottom": layout.board.height - y1 - half,
    }
    side, least = min(left.items(), key=lambda item: item[1])
    if least < -_NOISE:
        yield Finding(
            check="over the board's edge",
            severity="loss",
            message=f"The grooves run {both(-least, job.units)} over the board's {side} edge.",
            measured=least,
            limit=0.0,
            remedy="Make the figure smaller, move it, or take a larger board.",
        )
    elif least < job.margin - _NOISE:
        yield Finding(
            check="margin",
            severity="risk",
            message=(
                f"The outermost groove comes within {both(least, job.units)} of the board's {side} edge; "
                f"the margin is {both(job.margin, job.units)}."
            ),
            measured=least,
            limit=job.margin,
            remedy="Make the figure smaller, move it, or ask for a smaller margin.",
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
