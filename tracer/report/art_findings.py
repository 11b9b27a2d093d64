"""What is said of the pictures themselves: good enough or not, and by what better ones would be."""

import math
from collections.abc import Iterator

from tracer.job import Job
from tracer.lengths import MM_PER_INCH
from tracer.model.drawing import Drawing
from tracer.model.finding import Finding
from tracer.model.layout import Layout

LEAST_PX, BETTER_PX = 4.0, 6.0
"""Pixels across a line that its true middle needs, and that leave room for paper and blur (practice)."""

PALE = 0.25
"""Contrast below which ink and paper's own flaws are hard to tell apart (our own limit)."""

SOFT = 0.45
"""Blur in parts of a line's width from which on lines side by side run together (our own limit)."""

SCANNERS = (150, 200, 300, 400, 600, 1200)
"""Resolutions that scanners offer, dots an inch."""


def about_art(layout: Layout, job: Job) -> Iterator[Finding]:
    """Say of each picture whether its lines can be told well, and what would make it better."""
    for index, piece in enumerate(layout.pieces):
        yield from _fineness(piece.drawing)
        yield from _clearness(piece.drawing)
        if piece.drawing.size_doubt and _own_size(index, job):
            yield _doubt(piece.drawing)


def _fineness(drawing: Drawing) -> Iterator[Finding]:
    quality = drawing.quality
    if quality is None or not 0 < quality.line_px < BETTER_PX:
        return
    fine = quality.line_px < LEAST_PX
    need = f"at least {LEAST_PX:g} are needed, {BETTER_PX:g}" if fine else f"{BETTER_PX:g}"
    yield Finding(
        check="lines few pixels wide",
        severity="risk" if fine else "note",
        message=(
            f"The lines of {drawing.name} are {quality.line_px:.1f} pixels wide in the picture; {need} are "
            "better: ends and corners come out less true."
        ),
        remedy=_larger(drawing, BETTER_PX / quality.line_px),
    )


def _larger(drawing: Drawing, times: float) -> str:
    """Return how to get a picture `times` as fine."""
    if drawing.size_doubt:
        return f"Photograph it from {1 / times:.0%} of the distance, in parts if need be, or scan it."
    if drawing.mm_per_px:
        wanted = times * MM_PER_INCH / drawing.mm_per_px
        dpi = next((one for one in SCANNERS if one >= wanted), math.ceil(wanted))
        return f"Scan it at {dpi} dpi (it has {MM_PER_INCH / drawing.mm_per_px:.0f})."
    width, height = (math.ceil(times * side / 100) * 100 for side in drawing.size_px)
    return f"Use one of {width} x {height} pixels or more: making this one larger adds nothing."


def _clearness(drawing: Drawing) -> Iterator[Finding]:
    quality = drawing.quality
    if quality is None or not quality.line_px:
        return
    if quality.contrast < PALE:
        yield Finding(
            check="picture too pale",
            severity="note",
            message=(
                f"The lines of {drawing.name} are only {quality.contrast:.0%} darker than its paper "
                f"({PALE:.0%} or more is wanted): faint ones may be missing, flaws may be taken for lines."
            ),
            remedy="Go over it with a darker pen, or scan it darker; then compare the strokes with the art.",
        )
    if quality.blur_px > SOFT * quality.line_px and quality.line_px >= LEAST_PX:
        yield Finding(
            check="picture too soft",
            severity="note",
            message=(
                f"{drawing.name} is not sharp: its edges are blurred by {quality.blur_px:.1f} pixels, "
                f"and its lines are {quality.line_px:.1f} wide. Lines side by side may run together."
            ),
            remedy="Scan it again, or hold the camera still and let it focus on the sheet.",
        )


def _own_size(index: int, job: Job) -> bool:
    """Say whether a piece is as large as its art."""
    spec = job.pieces[index] if index < len(job.pieces) else None
    return job.board is None and (spec is None or (spec.width is None and spec.height is None))


def _doubt(drawing: Drawing) -> Finding:
    return Finding(
        check="size of the art in doubt",
        severity="note",
        message=(
            f"The size of {drawing.name} comes from its paper, and may be {drawing.size_doubt:.1%} off: "
            "that is what paper may differ from its name."
        ),
        remedy="Say --width, or measure two points of the art and say --known.",
    )
