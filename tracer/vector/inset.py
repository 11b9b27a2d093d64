"""Where the middle of a pen of known width must have been: the ink's outline, half a width further in.

Along the side of a line the points half a width inside its edge are the line's middle, and round the end of
a line or the outside of a corner they are the very place where the pen stopped or turned. So one edge in
sight is enough, where lines merge at a small angle or run to a tip.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.edges import level_edge
from tracer.vector.prune import depth_at
from tracer.vector.roots import in_solid

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

NOTCH = np.radians(14)
"""Turn of the outline towards the ink, over a third of a radius to either side, that parts two lines."""

ROOM = 0.75
"""Part of the pen's radius that the ink must be deep at the middle of a line."""

STILL = 0.4
"""Part of the outline's length below which its middle stands still: there the pen turned or stopped."""

_SHORTEST = 8
"""Border pixels below which an outline encloses nothing."""


@dataclass(frozen=True, eq=False)
class Run:
    """The middle of a pen along a stretch of one edge of the ink, which lies to the same hand of all.

    Attributes
    ----------
    points, headings : (m, 2) ink pixels, and unit vectors along the edge; zero where the pen stood still.
    closed : the edge comes round without a notch; the first point is not repeated.
    """

    points: Array
    headings: Array
    closed: bool


def inset_runs(ink: Ink, width: float) -> list[Run]:
    """Return the middles of a pen of `width` ink pixels along all edges of the ink, parted at notches.

    What lies in solids tells of no pen.
    """
    mask = (ink.line | ink.solid).astype(np.uint8)
    rings, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
    return [run for ring in rings if len(ring) > _SHORTEST for run in _runs(ink, ring, width / 2)]


def _runs(ink: Ink, ring: NDArray[Any], radius: float) -> Iterator[Run]:
    """Return the runs along one ring of border pixels."""
    edge = level_edge(ink, ring)[:-1]
    headings = _headings(edge, max(1, round(0.25 * radius)))
    middle = edge - radius * np.column_stack([-headings[:, 1], headings[:, 0]])
    step = np.hypot(*(np.roll(middle, -1, axis=0) - np.roll(middle, 1, axis=0)).T) / 2
    good = ~_notches(headings, max(2, round(0.35 * radius)))
    good &= (depth_at(ink.radius, middle) > ROOM * radius) & ~in_solid(ink, middle)
    headings = np.where((step < STILL)[:, None], 0.0, headings)
    if good.all():
        yield Run(middle, headings, closed=True)
        return
    first = int(np.argmin(good))
    middle, headings = (np.roll(column, -first, axis=0) for column in (middle, headings))
    good = np.roll(good, -first)
    bounds = np.flatnonzero(np.diff(np.concatenate([[0], good.astype(np.int8), [0]])))
    for a, b in bounds.reshape(-1, 2).tolist():
        if b - a > 2:
            yield Run(middle[a:b], headings[a:b], closed=False)


def _headings(ring: Array, reach: int) -> Array:
    """Return unit vectors (m, 2) along a ring."""
    along = np.roll(ring, -reach, axis=0) - np.roll(ring, reach, axis=0)
    unit: Array = along / np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    return unit


def _notches(headings: Array, reach: int) -> Flags:
    """Say where (m,) the ink's outline turns towards the ink."""
    into, out = np.roll(headings, reach, axis=0), np.roll(headings, -reach, axis=0)
    turn = np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1))
    found: Flags = turn > NOTCH
    return found
