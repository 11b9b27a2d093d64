"""Corners: sharp where the pen turned sharply, left alone where it went round."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arms import FITS, WINDOW, fitted_arms
from tracer.vector.centre import edge_distance, on_ink
from tracer.vector.samples import SPACING, Samples

Array = NDArray[np.float64]
Index = NDArray[np.intp]

LEAST_TURN = np.radians(26)
"""Turn over about a line's width on each side below which a bend is no corner."""

GENTLE, SUDDEN = np.radians(40), 0.65
"""Of a turn smaller than this, that part must happen over less than half the length: an arc's is even."""

CLEAR = 0.75
"""Part of the scale that each side is cut back from a corner, at the least."""

BESIDE = 0.3
"""Part of the scale kept away from where a side begins to be clean: there its edge still gives way."""

ROUNDED = 0.8
"""The outer edge lies at the pen's radius from a sharp corner; nearer by this factor, the pen went round."""

TIGHT = 0.45
"""Parts of the pen's radius within which a turn is no rounder than sharp; counts at acute turns."""

MITRED = 1.15
"""Times the length of a mitre beyond which the ink outside a corner is another line's."""

SIDES = (*FITS, (1.2, 1))
"""Line widths and degrees of the polynomials that are tried for a side: between corners it may be short."""

NEXT = 0.4, 0.25
"""Part of the way to the next turn at which a side begins at the latest; widths before it where it ends."""

MEASURED = 0.85, 0.12
"""Where this part of the samples round a bend is clean, a corner must lie this near to them, in scales."""


class _Place(NamedTuple):
    """A candidate: its line, the sample of the sharpest turn, and so many samples from it each side's cut
    (`before`, `after`) and end (`back`, `on`), which is not beyond the next turn.
    """

    line: int
    at: int
    before: int
    after: int
    back: int
    on: int


@dataclass(frozen=True, eq=False)
class _Corner:
    """Samples start..stop (exclusive) give place to points `way` (k, 2), the corner at `index` of them."""

    start: int
    stop: int
    way: Array
    index: int


@dataclass(frozen=True, eq=False)
class _Side:
    """One side of each of m corners: a parabola c0 + c1 s + c2 s^2 from its cut on, away from the corner."""

    coefficients: Array

    def at(self, s: Array) -> Array:
        """Return the points (m, 2) at distances `s` (m,)."""
        c = self.coefficients
        points: Array = c[:, 0] + c[:, 1] * s[:, None] + c[:, 2] * (s * s)[:, None]
        return points

    def heading(self, s: Array) -> Array:
        """Return the unit directions (m, 2) away from the corner at distances `s` (m,)."""
        slope = self.coefficients[:, 1] + 2 * s[:, None] * self.coefficients[:, 2]
        unit: Array = slope / np.maximum(np.hypot(*slope.T), 1e-12)[:, None]
        return unit


def sharpened(ink: Ink, lines: Sequence[Samples], scales: Sequence[float]) -> list[tuple[Samples, list[int]]]:
    """Return each line with its corners made sharp, and the indices of the corners, both in order.

    A scale is the length in ink pixels over which a turn counts as one corner: the
    line's width. Both sides are cut back, extrapolated and made to meet; where the
    ink's outer edge is nearer to the meeting than the pen's radius, the corner was
    drawn round and the samples stay.
    """
    places = [
        place
        for k, (line, scale) in enumerate(zip(lines, scales, strict=True))
        for place in _candidates(k, line, max(3, round(scale / SPACING)))
    ]
    found: list[list[_Corner]] = [[] for _ in lines]
    if places:
        for place, corner in _corners(ink, lines, scales, places):
            if not found[place.line] or corner.start > found[place.line][-1].stop:
                found[place.line].append(corner)
    return [_with(line, corners) for line, corners in zip(lines, found, strict=True)]


def _candidates(k: int, line: Samples, step: int) -> list[_Place]:
    """Return the sharpest turns of a line, none nearer than about `step` to a sharper one or an end."""
    points = line.points
    if len(points) < 2 * step + 1:
        return []
    index = np.arange(step, len(points) - step)
    turn = _turns(points, index, step)
    bent = np.flatnonzero(turn >= LEAST_TURN)
    if not len(bent):
        return []
    index, turn = index[bent], turn[bent]
    sharp = (turn >= GENTLE) | (_turns(points, index, max(2, round(0.4 * step))) > SUDDEN * turn)
    chosen: list[int] = []
    for at in index[sharp][np.argsort(-turn[sharp], kind="stable")].tolist():
        if all(abs(at - other) > 1.2 * step for other in chosen):
            chosen.append(at)
    places = []
    last, turns = len(points) - 1, sorted(chosen)
    around = (turns[-1:], turns[:1]) if line.closed else ([last], [0])
    stops = [*(at - last for at in around[0]), *turns, *(at + last for at in around[1])]
    for before, at, after in zip(stops, stops[1:], stops[2:], strict=False):
        cuts = (
            min(_cut(line, at, way, step), max(2, round(NEXT[0] * gap)))
            for way, gap in ((-1, at - before), (1, after - at))
        )
        reach = (round(gap - NEXT[1] * step) for gap in (at - before, after - at))
        places.append(_Place(k, at, *cuts, *reach))
    return places


def _turns(points: Array, index: Index, step: int) -> Array:
    """Return the angle (m,) by which a line turns at samples `index` (m,), over `step` to each side."""
    into, out = points[index] - points[index - step], points[index + step] - points[index]
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    turn: Array = np.abs(np.arctan2(cross, (into * out).sum(axis=1)))
    return turn


def _cut(line: Samples, at: int, way: int, step: int) -> int:
    """Return how many samples to leave out on one side of a corner: to where it is clean, up to two steps."""
    first = max(1, round(CLEAR * step))
    run = max(2, round(0.3 * step))
    far = 2 * step + run
    ahead, behind = line.clean[at + first : at + far], line.clean[max(at - far, 0) : max(at - first, 0)][::-1]
    clean = ahead if way > 0 else behind
    total = np.concatenate([[0], np.cumsum(clean)])
    full = np.flatnonzero(total[run:] - total[:-run] == run)
    most = (len(line.points) - 2 - at) if way > 0 else at - 1
    clear = round(BESIDE * step)
    return max(1, min(first + int(full[0]) + clear if len(full) else first, 2 * step, most))


def _corners(
    ink: Ink, lines: Sequence[Samples], scales: Sequence[float], places: Sequence[_Place]
) -> list[tuple[_Place, _Corner]]:
    """Return the places that are sharp corners, and the corners."""
    scale = np.array([scales[place.line] for place in places])
    one = _side(lines, [(p.line, p.at - p.before, -1, p.back - p.before) for p in places], scale)
    other = _side(lines, [(p.line, p.at + p.after, 1, p.on - p.after) for p in places], scale)
    corner, good = _meeting(one, other)
    bends = np.array([lines[p.line].points[p.at] for p in places])
    good &= np.hypot(*(corner - bends).T) < 1.2 * scale
    still = np.zeros(len(scale))
    zones = [(lines[p.line], p.at - p.before, p.at + p.after + 1) for p in places]
    good &= _is_sharp(ink, zones, scale, -(one.heading(still) + other.heading(still)), corner)
    found = []
    for k in np.flatnonzero(good).tolist():
        into, out = (_leg(side.coefficients[k], corner[k]) for side in (one, other))
        way = np.concatenate([into[::-1], corner[k][None], out])
        if not on_ink(ink, way).all():
            continue
        start, stop = places[k].at - places[k].before, places[k].at + places[k].after + 1
        found.append((places[k], _Corner(start, stop, way, len(into))))
    return found


def _side(lines: Sequence[Samples], cuts: Sequence[tuple[int, int, int, int]], scale: Array) -> _Side:
    """Fit one side of each corner, from its cut (line, sample, way along it, samples at the most) on."""
    points, along = [], []
    for (k, cut, way, room), size in zip(cuts, scale.tolist(), strict=True):
        count = len(lines[k].points)
        most = min(count - 1 - cut if way > 0 else cut, max(room, 2))
        stride = max(1.0, min(3.5 * size / SPACING, most) / (WINDOW - 1))
        offset = np.minimum(np.round(np.arange(WINDOW) * stride), most)
        points.append(lines[k].points[cut + way * offset.astype(int)])
        along.append(offset * SPACING)
    return _Side(fitted_arms(np.array(points), np.array(along), scale, SIDES))


def _meeting(one: _Side, other: _Side) -> tuple[Array, NDArray[np.bool_]]:
    """Return where two sides meet (m, 2) when prolonged along their curves, and whether they do."""
    still = np.zeros(len(one.coefficients))
    p, q, u, v = one.at(still), other.at(still), one.heading(still), other.heading(still)
    good = np.ones(len(still), bool)
    for _ in range(3):
        cross = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
        good &= np.abs(cross) >= 0.2
        gap = q - p
        along = (gap[:, 0] * v[:, 1] - gap[:, 1] * v[:, 0]) / np.where(np.abs(cross) < 0.2, 1.0, cross)
        point = p + u * along[:, None]
        s, t = (-np.hypot(*(point - side.coefficients[:, 0]).T) for side in (one, other))
        p, q, u, v = one.at(s), other.at(t), one.heading(s), other.heading(t)
    return point, good


def _is_sharp(
    ink: Ink, zones: Sequence[tuple[Samples, int, int]], scale: Array, outward: Array, corner: Array
) -> NDArray[np.bool_]:
    """Compare the distance from each corner to the ink's outer edge with the pen's radius.

    Where another line's ink hides the edge it is a corner if the way guessed through that ink passes it.
    A zone is a line and the samples start..stop of it round the corner.
    """
    near = (np.hypot(*(z.points[a:b] - c).T).min() for (z, a, b), c in zip(zones, corner, strict=True))
    passes = np.fromiter(near, float, len(zones))
    measured = np.array([z.clean[a:b].mean() >= MEASURED[0] for z, a, b in zones])
    widths = [z.widths[max(a - 1, 0)] + z.widths[min(b, len(z.widths) - 1)] for z, a, b in zones]
    size, radius = np.hypot(*outward.T), np.array(widths) / 4
    rays = outward / np.maximum(size, 1e-6)[:, None]
    edge = edge_distance(ink, corner, rays, 3 * float(radius.max()) + 4)
    mitre = radius / np.sqrt(np.maximum(1 - (size / 2) ** 2, 0.04))
    # A pen going round at radius R has its outer edge at r - R (mitre / r - 1) from where the sides meet.
    least = np.clip(1 - TIGHT * (mitre / radius - 1), 0.55, ROUNDED)
    hidden, close = ~(edge <= MITRED * mitre + 0.5), passes < MEASURED[1] * scale
    seen = (edge >= least * radius) & ~hidden & (~measured | close)
    sharp: NDArray[np.bool_] = (size > 1e-6) & (seen | hidden & ~measured & close)
    return sharp


def _leg(coefficients: Array, corner: Array) -> Array:
    """Return points from next to the corner to the side's cut."""
    c0, c1, c2 = coefficients
    size = float(np.hypot(*(c0 - corner)))
    u = np.linspace(0, 1, max(1, round(size / SPACING)) + 1)[1:, None]
    s = -size * (1 - u)
    drift = c0 - c1 * size + c2 * size * size - corner
    leg: Array = c0 + c1 * s + c2 * s * s - drift * (1 - u)
    return leg


def _with(line: Samples, corners: Sequence[_Corner]) -> tuple[Samples, list[int]]:
    """Return a line with the ways of its corners in place of the samples there, and the corners' indices."""
    if not corners:
        return line, []
    parts, indices, kept, length = [], [], 0, 0
    for corner in corners:
        width = np.full(len(corner.way), line.widths[max(0, corner.start - 1)])
        bare = Samples(corner.way, width, np.zeros(len(corner.way), bool), closed=False)
        parts += [line.part(kept, corner.start), bare]
        length += corner.start - kept
        indices.append(length + corner.index)
        length += len(corner.way)
        kept = corner.stop
    parts.append(line.part(kept, len(line.points)))
    points, widths, clean = (
        np.concatenate([getattr(p, name) for p in parts]) for name in ("points", "widths", "clean")
    )
    return Samples(points, widths, clean, line.closed), indices
