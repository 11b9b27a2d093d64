"""Ends of strokes that stop short of the stroke they are meant to meet, because points lie on a coarse grid.

A point on a whole step of the grid is up to half a step off either way, 0.71 steps in all. So an end that
comes nearer than that to another stroke, or to its own stroke further on, is taken to meet it and is led
onto it: a straight along its own direction, a bow to the nearest place. Wider gaps are the face's own.
An end at the letter's own edge is where it joins the next one's, and stays.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.geometry.flatten import flatten
from tracer.letters.rounded import rounded

Array = NDArray[np.float64]

REACH = float(np.sqrt(0.5))
"""Steps of the grid that an end may be off its place."""

_MET = 1e-3
"""Steps within which an end meets already."""

_OWN = 3.0
"""Steps along its own stroke that an end does not look at."""


def drawn(polylines: Sequence[Array], advance: float) -> list[Array]:
    """Return smooth chains (n, 4, 2) along polylines (m, 2), m >= 2, their ends led onto what they meet.

    The letter spans 0 to `advance`; the unit is the step of the grid.
    """
    lines = [np.asarray(line, float) for line in polylines]
    chains = [rounded(line) for line in lines]
    for k, line in enumerate(lines):
        if np.array_equal(line[0], line[-1]):
            continue
        for end in (0, -1):
            place = None if line[end, 0] in {0.0, advance} else _meant(line, end, chains, k)
            if place is not None:
                line[end] = place
                chains[k] = rounded(line)
    return chains


def _meant(line: Array, end: int, chains: Sequence[Array], own: int) -> Array | None:
    """Return where an end of a polyline is meant to lie; None where it meets already, or nothing is near."""
    point, inner = line[end], line[1 if end == 0 else -2]
    starts, stops = _sides(chains, own, end)
    if not len(starts):
        return None
    feet = _feet(point, starts, stops)
    away = np.hypot(*(feet - point).T)
    if not _MET < away.min() <= REACH:
        return None
    if len(line) == 2:
        hits = _hits(point, point - inner, starts, stops)
        if len(hits):
            return np.asarray(hits[np.hypot(*(hits - point).T).argmin()])
    return np.asarray(feet[away.argmin()])


def _sides(chains: Sequence[Array], own: int, end: int) -> tuple[Array, Array]:
    """Return the straight pieces (m, 2), (m, 2) of all chains, without what lies next to the end of one."""
    starts, stops = [], []
    for k, chain in enumerate(chains):
        points = flatten(chain, _MET)
        if k == own:
            along = polyline.arc_lengths(points)
            points = points[along >= _OWN] if end == 0 else points[along <= along[-1] - _OWN]
        starts.append(points[:-1])
        stops.append(points[1:])
    return np.concatenate(starts), np.concatenate(stops)


def _feet(point: Array, starts: Array, stops: Array) -> Array:
    """Return the nearest point (m, 2) of each piece."""
    way = stops - starts
    size = np.maximum((way * way).sum(axis=1), 1e-30)
    part = np.clip(((point - starts) * way).sum(axis=1) / size, 0, 1)
    return np.asarray(starts + part[:, None] * way)


def _hits(point: Array, ahead: Array, starts: Array, stops: Array) -> Array:
    """Return where (m, 2) the line through a point comes to pieces, no further than twice the reach."""
    ahead, way = ahead / np.hypot(*ahead), stops - starts
    cross = ahead[0] * way[:, 1] - ahead[1] * way[:, 0]
    safe = np.where(np.abs(cross) > 1e-9, cross, np.inf)
    gap = starts - point
    far = (gap[:, 0] * way[:, 1] - gap[:, 1] * way[:, 0]) / safe
    part = (gap[:, 0] * ahead[1] - gap[:, 1] * ahead[0]) / safe
    there = (np.abs(far) <= 2 * REACH) & (part >= 0) & (part <= 1) & np.isfinite(safe)
    return np.asarray(point + far[there, None] * ahead)
