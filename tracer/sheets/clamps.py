"""Where on the board no clamp may stand: under the router's base as it goes along the grooves. Wood mm."""

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from tracer.geometry.flatten import flatten_all
from tracer.geometry.swept import Untouched, untouched
from tracer.job import ASSUMED
from tracer.lengths import both, format_length
from tracer.model.drawing import extent
from tracer.model.plan import Plan

CLAMPS = "Clamps:"
"""What is said of clamps begins so."""

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
    return _room(plan) if plan.layout.board.declared else Untouched()


def clamp_words(plan: Plan, room: Untouched) -> str:
    """Say where clamps may stand, in plain sentences; `room` is `clamp_room` of the plan.

    Distances are said on the wood, and on the paper, too, where the two differ.
    """
    board, units, ratio = plan.layout.board, plan.job.units, plan.job.ratio
    if not plan.cut:
        return f"{CLAMPS} anywhere, as nothing is cut."
    half = plan.job.router_base / 2
    paper = f", on the template {both(half / ratio, units)}" if ratio != 1.0 else ""
    came = f", {ASSUMED} to be {both(2 * half, units)} across" if _assumed(plan) else ""
    away = (
        f"at least {both(half, units)} on the wood{paper} from the middle of every groove, half the "
        f"router's base{came}"
    )
    if not (room.area or _room(plan).area):
        known = "the board's face" if board.declared else f"the face of a board of {_size(plan)}, as assumed"
        ways = "hold it" if board.declared else "take a larger board, or hold it"
        return (
            f"{CLAMPS} nowhere on {known}: the router's base passes over all of it. A clamp must stand "
            f"{away}: {ways} by its edges or from below."
        )
    if not board.declared:
        return f"{CLAMPS} {away}."
    strips = ", ".join(f"{format_length(wide, units)} at the {side}" for side, wide in _strips(plan))
    free = f" Free along the board's edges, on the wood: {strips}." if strips else ""
    return f"{CLAMPS} only where hatched, {away}.{free}"


@lru_cache(maxsize=1)
def _room(plan: Plan) -> Untouched:
    """Return what the router's base leaves of the board, said or assumed; nothing where no clamp holds."""
    board = plan.layout.board
    if not plan.cut:
        return Untouched()
    lines = flatten_all([stroke.curves for stroke in plan.cut], _FLAT)
    room = untouched(lines, plan.job.router_base / 2, (board.width, board.height), pitch=_PITCH)
    return room if room.area >= _LEAST else Untouched()


def _assumed(plan: Plan) -> bool:
    return plan.job.origin("router-base") == ASSUMED


def _size(plan: Plan) -> str:
    board, units = plan.layout.board, plan.job.units
    return " x ".join(format_length(side, units) for side in (board.width, board.height))


def _strips(plan: Plan) -> Iterator[tuple[str, float]]:
    """Yield the edges along which a strip of the board is free from end to end, and how wide it is."""
    board, half = plan.layout.board, plan.job.router_base / 2
    x0, y0, x1, y1 = extent(plan.cut)
    wide = np.array([x0, y0, board.width - x1, board.height - y1]) - half
    for side, free in zip(("left", "top", "right", "bottom"), wide.tolist(), strict=True):
        if free >= _STRIP:
            yield side, free
