"""How large the carving is: as drawn, as followed, over the grooves. Wood mm."""

import numpy as np

from tracer.model.drawing import extent
from tracer.model.plan import Plan
from tracer.sheets.placement import pieces_of_words

Box = tuple[float, float, float, float]

_SAME = 0.05
"""mm within which two extents are the same."""


def followed_extent(plan: Plan) -> Box:
    """Return the extent (x0, y0, x1, y1) between outermost middles of what the bit follows.

    That is `Layout.extent`, before anything was dropped, unless edges are followed on a side or ground is
    cleared: then it is the extent of the tracks.
    """
    return extent(plan.cut) if beside_edges(plan) else plan.layout.extent


def beside_edges(plan: Plan) -> bool:
    """Say whether the outermost tracks lie elsewhere than the strokes of the drawing that they cut."""
    numbers = {groove.stroke for groove in plan.grooves}
    drawn = extent(tuple(stroke for stroke in plan.layout.strokes if stroke.number in numbers))
    return bool(np.abs(np.subtract(drawn, extent(plan.cut))).max() > _SAME)


def between_words(plan: Plan) -> str:
    """Say what `Layout.extent` lies between."""
    if not beside_edges(plan):
        return "between outermost stroke middles"
    only = len(pieces_of_words(plan)) == len(plan.layout.pieces)
    return "between the letters' edges" if only else "between the drawing's edges"
