"""Where the pen ended: tracks that come out on paper."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arms import Arms
from tracer.vector.centre import edge_distance
from tracer.vector.samples import SPACING
from tracer.vector.track import STEPS, Tracks

Array = NDArray[np.float64]
Index = NDArray[np.intp]

FLAT = 0.08
"""Part of its radius by which a round end must fall back at 0.6 of the radius to either side; true: 0.2."""

BEYOND = 0.35
"""Line widths beyond the junction that a line must end to have passed through it."""


@dataclass(frozen=True, eq=False)
class Ends:
    """Where each track ends.

    Attributes
    ----------
    length : (a,) from the cut to the pen's last place along the track, ink pixels; negative where
        the pen ended before the cut, nan where the track does not come out on paper.
    through : (a,) bool, the line passed its junction, an edge in sight, and ended beyond it.
    sure : (a,) steps before its end with both edges in sight.
    """

    length: Array
    through: NDArray[np.bool_]
    sure: Index


def find_ends(ink: Ink, arms: Arms, tracks: Tracks) -> Ends:
    """Return where tracks end.

    The pen's last place is half the line's width before the edge of the ink where that
    is round, at the edge where it is flat; at the picture's border and on solids it is
    where the track was stopped.
    """
    rows = np.arange(len(arms.ends))
    last = np.maximum(tracks.count - 2, 0)
    radius, step = arms.start.widths / 2, arms.start.widths / STEPS
    tips, headings = tracks.points[rows, last], tracks.headings[rows, last]
    sideways = np.column_stack([-headings[:, 1], headings[:, 0]])
    behind = tips - radius[:, None] * headings
    far = 2 * float(radius.max(initial=0.0)) + 2
    middle, one, other = (
        edge_distance(ink, behind + (part * radius)[:, None] * sideways, headings, far)
        for part in (0.0, 0.6, -0.6)
    )
    flat = np.fmax(np.abs(middle - one), np.abs(middle - other)) < FLAT * radius
    flat &= arms.free & (arms.kept * SPACING > arms.start.widths)
    flat &= tracks.seen[rows, np.maximum(last - 2, 0)] == 2
    edge = last * step + middle - radius
    length = np.where(flat, edge, edge - radius)
    length = np.where(tracks.stopped, (tracks.count - 1) * step, length)
    paper = tracks.out & (middle < 2 * radius + 2 * step)
    length = np.where(paper | tracks.stopped, length, np.nan)
    along = np.arange(tracks.seen.shape[1]) * step[:, None]
    near = (along <= length[:, None]) & (along > (length - arms.start.widths)[:, None])
    return Ends(length, _through(arms, tracks, length), (near & (tracks.seen == 2)).sum(axis=1))


def tail_of(track: Array, length: float, step: float) -> Array:
    """Return the points (m, 2) of a track behind its first, up to `length` along it."""
    whole = int(max(length, 0) / step)
    kept = track[1 : whole + 1]
    rest = length - whole * step
    before = track[min(whole, len(track) - 1)]
    way = track[min(whole + 1, len(track) - 1)] - before
    size = float(np.hypot(*way))
    if rest < 0.05 * step or size == 0:
        return kept
    return np.concatenate([kept, (before + way * (rest / size))[None]])


def _through(arms: Arms, tracks: Tracks, length: Array) -> NDArray[np.bool_]:
    """Say which lines have an edge in sight from before their junction to their end beyond it."""
    widths = arms.start.widths
    along = np.arange(tracks.seen.shape[1]) * (widths / STEPS)[:, None]
    span = (along > (arms.start.ahead - 0.5 * widths)[:, None]) & (along <= length[:, None])
    seen = (span & (tracks.seen > 0)).sum(axis=1)
    last = span & (along > (length - 0.5 * widths)[:, None])
    at_last = (last & (tracks.seen > 0)).sum(axis=1)
    in_sight = (seen > 0.6 * span.sum(axis=1)) & (at_last > 0.6 * last.sum(axis=1))
    through: NDArray[np.bool_] = (length > arms.start.ahead + BEYOND * widths) & in_sight & ~arms.free
    return through
