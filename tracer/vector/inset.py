"""Where the middle of a pen of known width must have been: the ink's outline, half a width further in.

Along the side of a line the points half a width inside its edge are the line's middle, and round the end of
a line or the outside of a corner they are the very place where the pen stopped or turned. So one edge in
sight is enough, where lines merge at a small angle or run to a tip.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.bundle import Bundle, turned
from tracer.vector.edges import level_edges
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
    mask = ink.line | ink.solid if ink.solid.any() else ink.line
    rings, _ = cv2.findContours(mask.view(np.uint8), cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
    rings = [ring for ring in rings if len(ring) > _SHORTEST]
    if not rings:
        return []
    radius = width / 2
    edges = level_edges(ink, rings)
    headings = replace(edges, points=edges.directions(max(1, round(0.25 * radius))))
    middles = replace(edges, points=edges.points - radius * turned(headings.points))
    good = ~_notches(headings, max(2, round(0.35 * radius))) & ~in_solid(ink, middles.points)
    good &= depth_at(ink.radius, middles.points) > ROOM * radius
    before, after = (middles.points[middles.beside(k)] for k in (-1, 1))
    still = np.hypot(*(after - before).T) / 2 < STILL
    ways = np.where(still[:, None], 0.0, headings.points)
    parts = zip(*(edges.split(column) for column in (middles.points, ways, good)), strict=True)
    return [run for part in parts for run in _runs(*part)]


def _runs(middle: Array, headings: Array, good: Flags) -> Iterator[Run]:
    """Return the runs along one ring (m, 2): where it is good."""
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


def _notches(headings: Bundle, reach: int) -> Flags:
    """Say where (m,) the ink's outline turns towards the ink."""
    into, out = (headings.points[headings.beside(k)] for k in (-reach, reach))
    turn = np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1))
    found: Flags = turn > NOTCH
    return found
