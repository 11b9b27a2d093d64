"""Smooth cubics through samples, within a tolerance.

Between corners a chain has continuous tangents (G1). From each breakpoint the
longest stretch that one cubic holds is taken: where every part of a stretch that
fits also fits, no other choice of breakpoints needs fewer. Handles are found by
least squares with the parameters refined (Schneider 1990). All stretches of a
drawing are tried in step with one another, as one batch of arrays.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.vector.circle import circle_of

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_ROUNDS = 4
"""Refinements of the parameters before a stretch is given up as too long."""

_HOPELESS = 6
"""A stretch this many tolerances off at the first try is not refined."""

LONGEST = 60
"""Times its reach, which is half a line's width, that a stretch is fitted in one go."""

FEWER = 16
"""The end of a cubic is sought to within this part of its length: the search ends sooner."""


@dataclass(frozen=True, eq=False)
class Course:
    """What one stroke is to follow.

    Attributes
    ----------
    points : (m, 2) dense samples; a closed stroke repeats its first at its end.
    corners : indices at which the direction may jump.
    closed : the chain is to close, smoothly unless its ends are a corner.
    reach : samples to each side over which tangents are measured.
    """

    points: Array
    corners: Sequence[int]
    closed: bool
    reach: int


def fitted(courses: Sequence[Course], tolerance: float) -> list[Array]:
    """Return for each course a chain of cubics (n, 4, 2) within `tolerance` of its points."""
    chains: list[list[Array]] = [[] for _ in courses]
    owners, sections = [], []
    for k, course in enumerate(courses):
        smooth_ring = course.closed and not len(course.corners)
        circle = circle_of(course.points[:-1], tolerance) if smooth_ring else None
        if circle is not None:
            chains[k].append(circle)
            continue
        new = [part for whole in _sections(course, tolerance) for part in _parted(*whole, course.reach)]
        sections += new
        owners += [k] * len(new)
    for k, curves in zip(owners, _greedy(sections, tolerance), strict=True):
        chains[k].append(curves)
    return [np.concatenate(chain) for chain in chains]


def _sections(course: Course, tolerance: float) -> list[tuple[Array, Array]]:
    """Return the (points, unit tangents) of the stretches between a course's corners."""
    points, corners = course.points, list(course.corners)
    if course.closed and not corners:
        return [(points, _ring_tangents(points, course.reach))]
    if course.closed:
        points = np.concatenate([points[corners[0] : -1], points[: corners[0] + 1]])
        corners = [c - corners[0] for c in corners[1:]]
    cuts = sorted({0, *corners, len(points) - 1})
    pieces = [points[a : b + 1] for a, b in pairwise(cuts)]
    return [(piece, _tangents(piece, course.reach, tolerance)) for piece in pieces]


def _parted(points: Array, tangents: Array, reach: int) -> list[tuple[Array, Array]]:
    """Return a stretch in equal parts of bounded length, which are fitted at the same time."""
    count = -(-len(points) // (LONGEST * reach))
    cuts = np.linspace(0, len(points) - 1, count + 1).round().astype(int)
    return [(points[a : b + 1], tangents[a : b + 1]) for a, b in pairwise(cuts)]


def _ring_tangents(points: Array, reach: int) -> Array:
    """Return unit tangents (m, 2) of a smooth closed polyline, the same at both sides of its seam."""
    ring = points[:-1]
    reach = max(1, min(reach, len(ring) // 3))
    tangents = np.roll(ring, -reach, axis=0) - np.roll(ring, reach, axis=0)
    return _units(np.concatenate([tangents, tangents[:1]]), np.array([1.0, 0.0]))


def _tangents(points: Array, reach: int, tolerance: float) -> Array:
    """Return unit tangents (m, 2): central differences, at the ends those of a parabola.

    A stretch that is straight within half the tolerance has its chord's direction throughout.
    """
    m, chord = len(points), points[-1] - points[0]
    if m < 3 or _is_straight(points, tolerance / 2):
        return _units(np.repeat(chord[None], m, axis=0), np.array([1.0, 0.0]))
    reach = max(1, min(reach, (m - 1) // 2))
    index = np.arange(m)
    tangents = points[np.minimum(index + reach, m - 1)] - points[np.maximum(index - reach, 0)]
    for end, step in ((0, reach), (m - 1, -reach)):
        near, far = points[end + step] - points[end], points[end + 2 * step] - points[end]
        tangents[end] = np.sign(step) * (4 * near - far)
    return _units(tangents, chord)


def _is_straight(points: Array, tolerance: float) -> bool:
    """Say whether all points lie within `tolerance` of the chord."""
    chord, away = points[-1] - points[0], points - points[0]
    off = np.abs(away[:, 0] * chord[1] - away[:, 1] * chord[0])
    return bool(off.max() <= tolerance * np.hypot(*chord)) and bool(chord.any())


def _units(vectors: Array, instead: Array) -> Array:
    """Return vectors (m, 2) at length one; those of no length give place to the direction `instead`."""
    vectors = np.where(np.hypot(*vectors.T)[:, None] > 0, vectors, instead)
    unit: Array = vectors / np.maximum(np.hypot(*vectors.T), 1e-300)[:, None]
    return unit


def _greedy(sections: Sequence[tuple[Array, Array]], tolerance: float) -> list[Array]:
    """Return for each section the chain of the longest cubics, one after the other.

    Every section looks for the end of its next cubic at the same time: farther by
    doubling until a trial fails, then by halving what is left. It begins at the length
    of the cubic before.
    """
    if not sections:
        return []
    points, tangents = (np.concatenate(column) for column in zip(*sections, strict=True))
    last = np.cumsum([len(p) for p, _ in sections]) - 1
    first = np.concatenate([[0], last[:-1] + 1])
    good, bad, step = first + 1, last + 1, np.full(len(first), 8)
    best = np.stack([points[first]] * 2 + [points[np.minimum(good, last)]] * 2, axis=1)
    chains: list[list[Array]] = [[] for _ in sections]
    active = np.flatnonzero(first < last)
    while len(active):
        grow = bad[active] > last[active]
        farther = np.minimum(good[active] + step[active], last[active])
        trial = np.where(grow, farther, (good[active] + bad[active]) // 2)
        settled = ~grow & (bad[active] - good[active] <= 1 + (good[active] - first[active]) // FEWER)
        settled |= trial <= good[active]
        for k in active[settled]:
            chains[k].append(best[k].copy())
            step[k] = max(8, good[k] - first[k])
            first[k], good[k], bad[k] = good[k], min(good[k] + 1, last[k]), last[k] + 1
            best[k] = points[[first[k], first[k], good[k], good[k]]]
        trying, trial = active[~settled], trial[~settled]
        cubics, fits = _batch(points, tangents, first[trying], trial, tolerance)
        good[trying[fits]], best[trying[fits]] = trial[fits], cubics[fits]
        bad[trying[~fits]] = trial[~fits]
        step[trying] *= 2
        active = active[first[active] < last[active]]
    return [np.array(chain) for chain in chains]


def _batch(
    points: Array, tangents: Array, first: Index, last: Index, tolerance: float
) -> tuple[Array, NDArray[np.bool_]]:
    """Fit one cubic to each stretch points[first..last]; return cubics (b, 4, 2) and whether each holds."""
    cubics = np.zeros((len(first), 4, 2))
    fits = np.zeros(len(first), bool)
    if not len(first):
        return cubics, fits
    stretch = _Stretches(points, tangents, first, last)
    waiting = np.arange(len(first))
    for _ in range(_ROUNDS):
        cubics[waiting] = stretch.cubics()
        worst = stretch.worst(cubics[waiting])
        fits[waiting] = worst <= tolerance
        again = (worst > tolerance) & (worst < _HOPELESS * tolerance)
        if not again.any():
            break
        stretch.refine(cubics[waiting])
        stretch, waiting = stretch.only(again), waiting[again]
    return cubics, fits


class _Stretches:
    """A batch of stretches of a polyline in flat arrays, with a parameter for each point."""

    def __init__(self, points: Array, tangents: Array, first: Index, last: Index):
        self.sizes = last - first + 1
        self.begin = np.cumsum(self.sizes) - self.sizes
        self.owner = np.repeat(np.arange(len(first)), self.sizes)
        index = np.arange(len(self.owner)) - self.begin[self.owner] + first[self.owner]
        self.points = points[index]
        self.p, self.q = points[first], points[last]
        self.start, self.end = tangents[first], tangents[last]
        steps = np.hypot(*np.diff(self.points, axis=0, prepend=self.points[:1]).T)
        steps[self.begin] = 0
        along = np.cumsum(steps)
        along -= along[self.begin][self.owner]
        self.length = np.maximum(along[self.begin + self.sizes - 1], 1e-12)
        self.u = along / self.length[self.owner]

    def only(self, wanted: NDArray[np.bool_]) -> "_Stretches":
        """Return the stretches that are wanted."""
        new = object.__new__(_Stretches)
        inside = wanted[self.owner]
        for name in ("p", "q", "start", "end", "length", "sizes"):
            setattr(new, name, getattr(self, name)[wanted])
        new.points, new.u = self.points[inside], self.u[inside]
        new.begin = np.cumsum(new.sizes) - new.sizes
        new.owner = np.repeat(np.arange(len(new.sizes)), new.sizes)
        return new

    def cubics(self) -> Array:
        """Return the cubics (b, 4, 2) with handles along the end tangents nearest to the points."""
        u, v, own = self.u, 1 - self.u, self.owner
        b1, b2 = 3 * v * v * u, 3 * v * u * u
        base = (v**3 + b1)[:, None] * self.p[own] + (b2 + u**3)[:, None] * self.q[own]
        gap = self.points - base
        s, e = self.start[own], self.end[own]
        cosine = (self.start * self.end).sum(axis=1)
        a11, a12, a22, r1, r2 = (
            np.add.reduceat(x, self.begin)
            for x in (b1 * b1, b1 * b2, b2 * b2, b1 * (gap * s).sum(axis=1), -b2 * (gap * e).sum(axis=1))
        )
        a12 = -a12 * cosine
        determinant = a11 * a22 - a12 * a12
        sound = determinant > 1e-9 * a11 * a22
        determinant = np.where(sound, determinant, 1.0)
        third = self.length / 3
        h1 = np.where(sound, (a22 * r1 - a12 * r2) / determinant, third)
        h2 = np.where(sound, (a11 * r2 - a12 * r1) / determinant, third)
        h1, h2 = (np.clip(h, 0.05 * self.length, self.length)[:, None] for h in (h1, h2))
        return np.stack([self.p, self.p + h1 * self.start, self.q - h2 * self.end, self.q], axis=1)

    def worst(self, cubics: Array) -> Array:
        """Return the largest distance (b,) of each stretch's points from its cubic."""
        away = bezier.evaluate(cubics[self.owner], self.u) - self.points
        largest: Array = np.sqrt(np.maximum.reduceat((away * away).sum(axis=1), self.begin))
        return largest

    def refine(self, cubics: Array) -> None:
        """Move each parameter one Newton step towards the foot of its point on the cubic."""
        own = cubics[self.owner]
        gap = bezier.evaluate(own, self.u) - self.points
        slope, bend = bezier.derivative(own, self.u), bezier.second_derivative(own, self.u)
        below = (slope * slope).sum(axis=1) + (gap * bend).sum(axis=1)
        step = (gap * slope).sum(axis=1) / np.where(np.abs(below) > 1e-12, below, np.inf)
        self.u = np.clip(self.u - step, 0, 1)
        self.u[self.begin], self.u[self.begin + self.sizes - 1] = 0, 1
