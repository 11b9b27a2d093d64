"""Strokes cut at their corners into sections; how much their samples waver."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import Sections, lines_and_arcs
from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]
Index = NDArray[np.intp]

BLOCK = 6
"""Samples whose means show the noise: more than those that err alike."""


@dataclass(frozen=True, eq=False)
class Course:
    """What one stroke is to follow.

    Attributes
    ----------
    points : (m, 2) dense samples; a closed stroke repeats its first at its end.
    corners : indices at which the direction may jump.
    closed : the chain is to close, smoothly unless its ends are a corner.
    reach : half a line's width, in samples.
    """

    points: Array
    corners: Sequence[int]
    closed: bool
    reach: int


def parts_of(course: Course) -> list[Array]:
    """Return the points of the stretches between a course's corners; a ring without corners is one."""
    points, corners = course.points, sorted({int(c) for c in course.corners})
    if course.closed and corners:
        points = np.concatenate([points[corners[0] : -1], points[: corners[0] + 1]])
        corners = [c - corners[0] for c in corners[1:]]
    cuts = sorted({0, *corners, len(points) - 1})
    return [points[a : b + 1] for a, b in pairwise(cuts)]


def sections_of(courses: Sequence[Course], parts: Sequence[tuple[int, list[Array]]]) -> Sections:
    """Return all parts, one behind the other."""
    sizes = np.array([len(part) for _, own in parts for part in own])
    last = np.cumsum(sizes) - 1
    reach = np.array([courses[k].reach for k, own in parts for _ in own])
    points = np.concatenate([part for _, own in parts for part in own])
    ring = np.array([courses[k].closed and not len(courses[k].corners) for k, own in parts for _ in own])
    return Sections(points, last - sizes + 1, last, np.repeat(reach, sizes), ring)


def spread_of(sections: Sections) -> float:
    """Return the variance of a mean of samples times their number.

    Third differences of means of BLOCK samples, across the way, have nothing of a line nor of an arc. Of
    independent means they have 20 times the variance; the median, scaled as for a normal distribution, leaves
    out places where the bend changes.
    """
    total = np.concatenate([np.zeros((1, 2)), np.cumsum(sections.points, axis=0)])
    mean = (total[BLOCK:] - total[:-BLOCK]) / BLOCK
    start = np.arange(len(mean))
    last = np.repeat(sections.last, sections.last - sections.first + 1)[: len(mean)]
    start = start[start + 4 * BLOCK - 1 <= last]
    if not len(start):
        return 0.0
    a, b, c, d = (mean[start + k * BLOCK] for k in range(4))
    third, way = d - 3 * c + 3 * b - a, d - a
    across = (third[:, 0] * way[:, 1] - third[:, 1] * way[:, 0]) / np.maximum(np.hypot(*way.T), 1e-12)
    return float(BLOCK * np.median(across**2) / (0.4549 * 20))


def seamed(
    courses: Sequence[Course], parts: list[tuple[int, list[Array]]], spread: float, tolerance: float
) -> list[tuple[int, list[Array]]]:
    """Return the parts with the seam of each ring where a segment of it begins anyway."""
    rings = [i for i, (k, own) in enumerate(parts) if courses[k].closed and not len(courses[k].corners)]
    if not rings:
        return parts
    sections = sections_of(courses, [parts[i] for i in rings])
    sums = RunningSums(sections.points, sections.first, sections.last)
    parts = list(parts)
    found = lines_and_arcs(sections, sums, spread, tolerance)
    for i, pieces, first in zip(rings, found, sections.first, strict=True):
        if len(pieces.first) > 1:
            points = parts[i][1][0]
            inner = pieces.first[1:] - first
            seam = int(inner[np.argmin(np.abs(inner - len(points) / 2))])
            parts[i] = parts[i][0], [np.concatenate([points[seam:-1], points[: seam + 1]])]
    return parts
