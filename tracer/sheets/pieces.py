"""Which piece a stroke belongs to, and which strokes the user left out."""

import numpy as np

from tracer.model.layout import Layout
from tracer.model.plan import Plan

_TOO_THIN = "stroke too thin"  # the reason that is the bit's and not the user's


def piece_of_stroke(layout: Layout) -> dict[int, int]:
    """Return the piece, counted from 0, that each stroke number of the layout belongs to."""
    return {
        stroke.number + offset: index
        for index, (piece, offset) in enumerate(zip(layout.pieces, layout.offsets, strict=True))
        for stroke in piece.drawing.strokes
    }


def home_of_strokes(plan: Plan) -> dict[int, int]:
    """Return the piece, counted from 0, that each stroke of the plan is shown on.

    A stroke that joins two ends, or that an edge leaves when it is moved, is of no drawing: it is
    shown on the piece whose stroke begins or ends nearest to its own start.
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


def joins(plan: Plan) -> range:
    """Return the numbers of the strokes that join two ends: they follow on those of the layout."""
    first = max((stroke.number for stroke in plan.layout.strokes), default=0) + 1
    return range(first, first + len(plan.job.acts.join))


def chosen(plan: Plan) -> frozenset[int]:
    """Return the strokes that are left out because the user said so, or let them be thinned out."""
    named = frozenset(plan.job.acts.leave_out).union(*plan.job.acts.thin_out)
    return frozenset(one.stroke for one in plan.dropped if one.stroke in named and one.reason != _TOO_THIN)
