"""Which piece a stroke belongs to, and which strokes the user left out."""

import numpy as np

from tracer.job import Job
from tracer.model.layout import Layout
from tracer.model.plan import Plan


def piece_of_stroke(layout: Layout) -> dict[int, int]:
    """Return the piece, counted from 0, that each stroke number of the layout belongs to."""
    return {
        stroke.number + offset: index
        for index, (piece, offset) in enumerate(zip(layout.pieces, layout.offsets, strict=True))
        for stroke in piece.drawing.strokes
    }


def home_of_strokes(plan: Plan) -> dict[int, int]:
    """Return the piece, counted from 0, that each stroke of the plan is shown on.

    A stroke that joins two ends belongs to no piece: it is shown on that whose stroke ends
    nearest to its own start.
    """
    homes = piece_of_stroke(plan.layout)
    owned = [stroke for stroke in plan.strokes if stroke.number in homes]
    if not owned:
        return homes
    ends = np.array([(stroke.curves[0, 0], stroke.curves[-1, 3]) for stroke in owned]).reshape(-1, 2)
    for stroke in plan.strokes:
        if stroke.number not in homes:
            nearest = int(np.hypot(*(ends - stroke.curves[0, 0]).T).argmin())
            homes[stroke.number] = homes[owned[nearest // 2].number]
    return homes


def chosen(job: Job) -> frozenset[int]:
    """Return the strokes that the user left out, or let be thinned out."""
    return frozenset(job.acts.leave_out).union(*job.acts.thin_out)
