"""Chains of cubics whose joints follow the samples from the start.

Where lines and arcs do not hold together smoothly, the direction at each candidate is that of the samples
about it, and each cubic is bound to the directions at its ends: whatever path is cheapest is smooth. What a
cubic would cost follows from sums of powers of the arc length (taken for its parameter), which grow by one
stretch at a time; only the cubics chosen are fitted.
"""

from math import comb

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import CUBIC, FREE, SEGMENT, Pieces, Sections, candidates
from tracer.vector.cubics import Fit, fitted_cubics, rounded
from tracer.vector.paths import Edges, Flags, cheapest
from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]
Index = NDArray[np.intp]

SAFE = 0.9
"""Part of the tolerance that samples may be away: not all of them are looked at."""

_LOOKS = 32
"""Samples looked at in each span."""

_MEAN = 0.8
"""Part of the tolerance that samples of a span may be away, root mean square."""

_MOST = 48
"""Stretches between candidates that one cubic may hold."""

_PART = 0.5
"""Part of the squares left at equal parts of the way that counts: some of it is along the way."""

_ROUNDS = 3
"""Times that paths are looked for without the spans that have turned out too long."""

_TURN = 1.9
"""Radians that one cubic may turn: beyond, arc length is no parameter for it."""


def steady(
    sections: Sections, sums: RunningSums, ends: Array, *, spread: float, tolerance: float
) -> list[tuple[Pieces, Array]]:
    """Return for each section a chain of cubics, and their numbers (n, 8), see `cubics`.

    `ends` (s, 2, 3) are x, y and angle at the first and last sample of each; nan where the samples tell.
    """
    samples, section = candidates(sections)
    place, way = _joints(sections, sums, samples, tolerance)
    for known, sample in ((ends[:, 0], sections.first), (ends[:, 1], sections.last)):
        given = np.flatnonzero(np.isfinite(known[:, 0]))
        at, (x, y, angle) = np.searchsorted(samples, sample[given]), known[given].T
        place[at], way[at] = np.column_stack([x, y]), np.column_stack([np.cos(angle), np.sin(angle)])
    start, end, off = _spans(_Stretches(sums, samples, place, way), section, tolerance)
    cost = SEGMENT + FREE + _PART * off / spread
    edges = Edges(start, end, cost, np.zeros(len(start), bool))

    def bound(i: Index, j: Index) -> Fit:
        guess = rounded((place[i], way[i]), (place[j], way[j]))
        return fitted_cubics(sums, samples[i], samples[j], guess, free=False, count=_LOOKS)

    for _ in range(_ROUNDS):
        walks = cheapest(edges, section)
        chosen = np.concatenate([np.array(walk, int) for walk in walks])
        start, end = edges.start[chosen], edges.end[chosen]
        fit = bound(start, end)
        wrong = (fit.worst > SAFE * tolerance) & (end > start + 1)
        if not wrong.any():
            break
        edges = edges.only(_without(edges, start[wrong], end[wrong]))
    sizes = [len(walk) for walk in walks]
    cuts = np.cumsum(sizes)[:-1]
    whole = Pieces(samples[start], samples[end], np.full(len(start), CUBIC))
    return [(whole.only(k), fit.numbers[k]) for k in np.split(np.arange(len(start)), cuts)]


def _without(edges: Edges, start: Index, end: Index) -> Flags:
    """Say which edges hold none of the spans, each from `start` to `end`."""
    limit = np.full(edges.end.max() + 1, edges.end.max() + 1)
    np.minimum.at(limit, start, end)
    limit = np.minimum.accumulate(limit[::-1])[::-1]
    free: Flags = edges.end < limit[edges.start]
    return free


class _Stretches:
    """Sums of powers over the samples from each candidate to the next, about the candidate."""

    def __init__(self, sums: RunningSums, samples: Index, place: Array, way: Array):
        self.place, self.way = place, way
        self.along = sums.along[samples]
        counts = np.diff(samples, append=len(sums.points))
        power = sums.along - np.repeat(self.along, counts)
        points = (sums.points - sums.shift).T
        self.shift = sums.shift[samples]
        values = [np.ones(len(power))]
        for _ in range(6):
            values.append(values[-1] * power)
        values += [values[k] * c for c in points for k in range(4)] + [(points * points).sum(axis=0)]
        self.sums = np.add.reduceat(np.array(values), samples, axis=1)
        angle = np.arctan2(way[:, 1], way[:, 0])
        step = np.diff(angle, prepend=angle[:1])
        self.turn = np.cumsum(step - 2 * np.pi * np.round(step / (2 * np.pi)))

    def after(self, start: Index, stretch: Index) -> Array:
        """Return the sums of stretches about the candidates `start` before them."""
        ahead, own = self.along[stretch] - self.along[start], self.sums[:, stretch]
        powers = [np.ones(len(ahead))]
        for _ in range(6):
            powers.append(powers[-1] * ahead)
        total = own.copy()
        for base, degree in ((0, 6), (7, 3), (11, 3)):
            for k in range(1, degree + 1):
                for m in range(k):
                    total[base + k] += comb(k, m) * powers[k - m] * own[base + m]
        return total

    def off(self, start: Index, end: Index, total: Array) -> Array:
        """Return the sums of squared distances, at the same parts of the way, of the best cubics."""
        length = np.maximum(self.along[end] - self.along[start], 1e-9)
        n, x, y, square = total[:7].copy(), total[7:11].copy(), total[11:15].copy(), total[15]
        px, py = (self.place[start] - self.shift[start]).T
        square = square - 2 * (px * x[0] + py * y[0]) + (px * px + py * py) * n[0]
        scale = length ** -np.arange(7.0)[:, None]
        n *= scale
        x, y = x * scale[:4] - px * n[:4], y * scale[:4] - py * n[:4]
        qx, qy = (self.place[end] - self.place[start]).T
        (sx, sy), (ex, ey) = self.way[start].T, self.way[end].T
        # 3u^2 - 2u^3 leads from end to end; 3u - 6u^2 + 3u^3 and 3u^2 - 3u^3 go with the handles.
        rest = 9 * n[4] - 12 * n[5] + 4 * n[6]
        square += (qx * qx + qy * qy) * rest
        square -= 2 * (qx * (3 * x[2] - 2 * x[3]) + qy * (3 * y[2] - 2 * y[3]))
        a11 = 9 * (n[2] - 4 * n[3] + 6 * n[4] - 4 * n[5] + n[6])
        a22 = 9 * (n[4] - 2 * n[5] + n[6])
        a12 = -9 * (n[3] - 3 * n[4] + 3 * n[5] - n[6]) * (sx * ex + sy * ey)
        h1 = 9 * n[3] - 24 * n[4] + 21 * n[5] - 6 * n[6]
        h2 = 9 * n[4] - 15 * n[5] + 6 * n[6]
        b1 = [3 * c[1] - 6 * c[2] + 3 * c[3] - q * h1 for c, q in ((x, qx), (y, qy))]
        b2 = [3 * c[2] - 3 * c[3] - q * h2 for c, q in ((x, qx), (y, qy))]
        r1, r2 = sx * b1[0] + sy * b1[1], -(ex * b2[0] + ey * b2[1])
        determinant = np.maximum(a11 * a22 - a12 * a12, 1e-12)
        gain = (a22 * r1 * r1 - 2 * a12 * r1 * r2 + a11 * r2 * r2) / determinant
        off: Array = np.maximum(square - gain, 0.0)
        return off


def _spans(stretches: _Stretches, section: Index, tolerance: float) -> tuple[Index, Index, Array]:
    """Return candidates (start, end) of spans that a cubic may hold, sorted by start, and what it leaves."""
    last = np.flatnonzero(np.diff(section, append=-1))[section]
    start = np.flatnonzero(np.arange(len(section)) < last)
    total = np.zeros((16, len(start)))
    found = []
    for size in range(1, _MOST + 1):
        end = start + size
        total = total + stretches.after(start, end - 1)
        off = stretches.off(start, end, total)
        turn = np.abs(stretches.turn[end] - stretches.turn[start])
        good = (off <= (_MEAN * tolerance) ** 2 * total[0]) & (turn < _TURN)
        kept = good | (size == 1)
        found.append((start[kept], end[kept], off[kept]))
        on = kept & (end < last[start])
        start, total = start[on], total[:, on]
        if not len(start):
            break
    begin, goal, off = (np.concatenate(part) for part in zip(*found, strict=True))
    order = np.argsort(begin, kind="stable")
    return begin[order], goal[order], off[order]


def _joints(sections: Sections, sums: RunningSums, samples: Index, tolerance: float) -> tuple[Array, Array]:
    """Return place and direction (k, 2) at samples by arcs through their neighbours; ends stay in place."""
    behind, ahead = sections.around(np.maximum(2, sections.reach // 2))
    local = sums.primitives(behind[samples], ahead[samples], 0.0)
    points = sums.points[samples]
    place, way = local.feet(points, ~np.isfinite(local.off_arc))
    fixed = np.hypot(*(place - points).T) > tolerance / 2
    fixed[np.searchsorted(samples, np.append(sections.first, sections.last))] = True
    place[fixed] = points[fixed]
    first, last = (np.searchsorted(samples, end[sections.ring]) for end in (sections.first, sections.last))
    mean = way[first] + way[last]
    way[first] = way[last] = mean / np.maximum(np.hypot(*mean.T), 1e-12)[:, None]
    return place, way
