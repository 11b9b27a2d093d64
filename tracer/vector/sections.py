"""Strokes cut at their corners into sections; how much their samples waver."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import Sections, lines_and_arcs
from tracer.vector.guesses import weights_of
from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

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
    guessed : (m,) bool, points that were not measured but lie where the line is thought to go; None for none.
    """

    points: Array
    corners: Sequence[int]
    closed: bool
    reach: int
    guessed: Flags | None = None

    @property
    def is_ring(self) -> bool:
        """Say whether the direction jumps nowhere, not at its seam either."""
        return self.closed and not len(self.corners)

    @property
    def doubtful(self) -> Flags:
        """Say of which points (m,) the fit may think otherwise: of no corner."""
        if self.guessed is None:
            return np.zeros(len(self.points), bool)
        doubtful = self.guessed.copy()
        doubtful[list(self.corners)] = False
        return doubtful


def parts_of(course: Course) -> list[Index]:
    """Return the points' indices of the stretches between corners; a ring without corners is one."""
    index, corners = np.arange(len(course.points)), sorted({int(c) for c in course.corners})
    if course.closed and corners:
        index = np.concatenate([index[corners[0] : -1], index[: corners[0] + 1]])
        corners = [c - corners[0] for c in corners[1:]]
    cuts = sorted({0, *corners, len(index) - 1})
    return [index[a : b + 1] for a, b in pairwise(cuts)]


def sections_of(courses: Sequence[Course], parts: Sequence[tuple[int, list[Index]]]) -> Sections:
    """Return all parts, one behind the other."""
    sizes = np.array([len(part) for _, own in parts for part in own])
    last = np.cumsum(sizes) - 1
    reach = np.array([courses[k].reach for k, own in parts for _ in own])
    points = np.concatenate([courses[k].points[part] for k, own in parts for part in own])
    guessed = np.concatenate([courses[k].doubtful[part] for k, own in parts for part in own])
    ring = np.array([courses[k].is_ring for k, own in parts for _ in own])
    return Sections(points, last - sizes + 1, last, np.repeat(reach, sizes), guessed, ring)


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
    courses: Sequence[Course], parts: list[tuple[int, list[Index]]], spread: float, tolerance: float
) -> list[tuple[int, list[Index]]]:
    """Return the parts with the seam of each ring where a segment of it begins anyway."""
    rings = [i for i, (k, own) in enumerate(parts) if courses[k].is_ring]
    if not rings:
        return parts
    sections = sections_of(courses, [parts[i] for i in rings])
    sums = RunningSums(sections.points, sections.first, sections.last, weights_of(sections))
    parts = list(parts)
    found = lines_and_arcs(sections, sums, spread, tolerance)
    for i, pieces, first in zip(rings, found, sections.first, strict=True):
        if len(pieces.first) > 1:
            index = parts[i][1][0]
            inner = pieces.first[1:] - first
            seam = int(inner[np.argmin(np.abs(inner - len(index) / 2))])
            parts[i] = parts[i][0], [np.concatenate([index[seam:-1], index[: seam + 1]])]
    return parts
