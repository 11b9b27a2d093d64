"""Where on the board no clamp may stand: under the router's base as it goes along the grooves. Wood mm."""

from collections.abc import Iterator

import numpy as np

from tracer.geometry.flatten import flatten
from tracer.geometry.swept import Untouched, untouched
from tracer.lengths import both, format_length
from tracer.model.drawing import extent
from tracer.model.plan import Plan

_FLAT = 0.5
"""mm within which strokes are straightened."""

_PITCH = 4.0
"""mm of hatching on the wood."""

_STRIP = 10.0
"""mm: narrower strips along an edge hold no clamp (common practice, no source)."""

_LEAST = 400.0
"""mm^2: smaller areas hold no clamp, either."""


def clamp_room(plan: Plan) -> Untouched:
    """Return where on the board clamps may stand: what the router's base never reaches.

    The base is round about the bit. Nothing where the board's size was not said: there is
    no edge then to tell it from.
    """
    board = plan.layout.board
    if not board.declared or not plan.cut:
        return Untouched()
    lines = [flatten(stroke.curves, _FLAT) for stroke in plan.cut]
    room = untouched(lines, plan.job.router_base / 2, (board.width, board.height), pitch=_PITCH)
    return room if room.area >= _LEAST else Untouched()


def clamp_words(plan: Plan, room: Untouched) -> str:
    """Say where clamps may stand, in a plain sentence; `room` is `clamp_room` of the plan."""
    units, half = plan.job.units, plan.job.router_base / 2
    away = f"at least {both(half, units)} from the middle of every groove, half the router's base"
    if not plan.layout.board.declared or not plan.cut:
        return f"Clamps: {away}."
    if not room.area:
        across = both(plan.job.router_base, units)
        return (
            f"Clamps: nowhere on the board's face: the router's base, {across} across, passes over all of "
            "it; hold the board by its edges or from below."
        )
    strips = ", ".join(f"{format_length(wide, units)} at the {side}" for side, wide in _strips(plan))
    free = f" Free along the edges: {strips}." if strips else ""
    return f"Clamps: only where hatched, {away}.{free}"


def _strips(plan: Plan) -> Iterator[tuple[str, float]]:
    """Yield the edges along which a strip of the board is free from end to end, and how wide it is."""
    board, half = plan.layout.board, plan.job.router_base / 2
    x0, y0, x1, y1 = extent(plan.cut)
    wide = np.array([x0, y0, board.width - x1, board.height - y1]) - half
    for side, free in zip(("left", "top", "right", "bottom"), wide.tolist(), strict=True):
        if free >= _STRIP:
            yield side, free
