"""Gaps of about a pen's width in lines: found where two ends point at each other, or one at a line's side."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.raster.line_ends import BLOCK, LineEnds, Skeleton, find_line_ends, sampled

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

LONGEST = 1.15
"""Line widths of paper, and half a pixel, that a gap has at the most; what is wider was meant."""

LOOKED = 1.6
"""The same for gaps of dashed lines, of which some may be wider than others."""

FACING = 30.0
"""Degrees by which the directions of two ends may differ."""

ASIDE = 0.4
"""Line widths by which one end may lie beside the other's way."""

ALIKE = 1.7
"""Times that one end may be as wide as the other."""

OUTWEIGHS = 1.5
"""Gaps that the line on either side must be long: shorter ones are ticks or dots."""

SHORT_OF = 0.25
"""Line widths that an end may stop short of another line's side; a wider gap there is seen as one."""

BLUNT = 0.8
"""Part of its usual width that an end must have to be a pen's that stopped short; hairs taper."""

CLEAR = 1.0
"""Line widths from where an end points to, to any end of that line, at the least."""

DASH = 12.0
"""Line widths that a dash is long at the most."""

EVEN = 2.0
"""Times that the longest of even dashes and gaps may be as long as the shortest."""

_SAMPLES = 49
"""Places along the way across a gap at which the darkness is looked at."""

_PEN = np.linspace(-0.4, 0.4, 5)
"""Line widths to the side of rays from an end ahead."""


@dataclass(frozen=True, eq=False)
class Gap:
    """A gap between line ends, or an end and a side; ink pixels.

    Attributes
    ----------
    place : (2,) the middle of the paper between.
    length : how much paper that is.
    one : the end; other : the end opposite, None where it is a line's side.
    side : (2,) column and row of the skeleton's pixel of that line.
    """

    place: Array
    length: float
    one: LineEnds
    other: LineEnds | None = None
    side: Index | None = None


@dataclass(frozen=True, eq=False)
class Dashes:
    """A dashed line: the middle (2,) of its gaps and how far they spread, ink pixels."""

    place: Array
    extent: float


def find_gaps(ink: Ink) -> tuple[list[Gap], list[Dashes]]:
    """Return the gaps in lines from top to bottom, and the dashed lines, whose gaps are meant."""
    skeleton = Skeleton(ink.skeleton)
    every = skeleton.ends()
    if not len(every):
        return [], []
    ends = find_line_ends(ink, skeleton, every, LOOKED)
    pairs, lengths, places = _pairs(ink, ends)
    small = lengths <= LONGEST * ends.widths[pairs].mean(axis=1) + 0.5
    small &= OUTWEIGHS * lengths <= ends.lengths[pairs].min(axis=1)
    dashed = [rows for rows in _dashes(skeleton, ends, pairs, lengths) if small[rows].any()]
    free = np.ones(len(ends.widths), bool)
    free[pairs[small]] = False
    for rows in dashed:
        small[rows] = False
        free[pairs[rows]] = False
    gaps = [
        Gap(place, float(length), ends.of(np.array(i)), ends.of(np.array(j)))
        for (i, j), length, place in zip(pairs[small].tolist(), lengths[small], places[small], strict=True)
    ]
    left = np.flatnonzero(free)
    for k in range(0, len(left), BLOCK):
        gaps += _sides(ink, ends.of(left[k : k + BLOCK]), every)
    gaps.sort(key=lambda gap: (float(gap.place[1]), float(gap.place[0])))
    spots = [ends.points[pairs[rows].ravel()] for rows in dashed]
    return gaps, [Dashes(each.mean(axis=0), float(np.hypot(*np.ptp(each, axis=0)))) for each in spots]


def _pairs(ink: Ink, ends: LineEnds) -> tuple[Index, Array, Array]:
    """Return the pairs (g, 2) of ends that go on in each other, how much paper is between, and its middle."""
    i, j = _near(ends)
    way = ends.points[j] - ends.points[i]
    apart = np.maximum(np.hypot(*way.T), 1e-9)
    width = (ends.widths[i] + ends.widths[j]) / 2
    onward = ends.headings[i] - ends.headings[j]
    onward /= np.maximum(np.hypot(*onward.T), 1e-9)[:, None]
    turn = np.degrees(np.arccos(np.clip(-(ends.headings[i] * ends.headings[j]).sum(axis=1), -1, 1)))
    aside = np.abs(onward[:, 0] * way[:, 1] - onward[:, 1] * way[:, 0])
    ratio = np.maximum(ends.widths[i], ends.widths[j]) / np.minimum(ends.widths[i], ends.widths[j])
    fit = (turn <= FACING) & (aside <= ASIDE * width) & ((onward * way).sum(axis=1) > 0) & (ratio <= ALIKE)
    i, j, width, turn, aside, apart = (column[fit] for column in (i, j, width, turn, aside, apart))
    paper, middle, once = _paper(ink, ends.points[i], ends.points[j])
    length = paper * apart
    good = once & (length <= LOOKED * width)
    cost = length / width + aside / width + turn / FACING
    chosen, taken = [], set[int]()
    for k in np.flatnonzero(good)[np.argsort(cost[good], kind="stable")].tolist():
        if not taken & {int(i[k]), int(j[k])}:
            chosen.append(k)
            taken |= {int(i[k]), int(j[k])}
    pairs = np.column_stack([i, j])[chosen].reshape(-1, 2)
    way = ends.points[pairs[:, 1]] - ends.points[pairs[:, 0]]
    return pairs, length[chosen], ends.points[pairs[:, 0]] + middle[chosen, None] * way


def _near(ends: LineEnds) -> tuple[Index, Index]:
    """Return the pairs of ends that are no further apart than a gap can be."""
    order = np.argsort(ends.points[:, 1], kind="stable")
    y = ends.points[order, 1]
    reach = (LOOKED + 2) * ends.widths.max(initial=0.0) + 2
    others = np.searchsorted(y, y + reach, side="right") - np.arange(len(y)) - 1
    first = np.repeat(np.arange(len(y)), others)
    second = first + 1 + np.arange(len(first)) - np.repeat(np.cumsum(others) - others, others)
    i, j = order[first], order[second]
    near = np.abs(ends.points[i, 0] - ends.points[j, 0]) <= reach
    return i[near], j[near]


def _paper(ink: Ink, start: Array, goal: Array) -> tuple[Array, Array, Flags]:
    """Return what part (n,) of straight ways is paper, where along them, and whether it is one gap.

    That is where it is all in one place, with ink before and after.
    """
    t = np.linspace(0, 1, _SAMPLES)
    paper = sampled(ink, start[:, None] + t[:, None] * (goal - start)[:, None]) < ink.level
    starts = (paper[:, 1:] & ~paper[:, :-1]).sum(axis=1)
    middle = (paper * t).sum(axis=1) / np.maximum(paper.sum(axis=1), 1)
    return paper.mean(axis=1), middle, (starts == 1) & ~paper[:, 0] & ~paper[:, -1]


def _dashes(skeleton: Skeleton, ends: LineEnds, pairs: Index, lengths: Array) -> Iterator[list[int]]:
    """Yield the rows of those pairs, `lengths` apart, that belong to one dashed line.

    Gaps with a short stroke between them hang together. Where gaps and strokes are all
    about as long as each other, and there are two strokes at least, they are dashes.
    """
    if len(pairs) < 2:
        return
    rows = pairs.ravel()
    most = max(4, round(DASH * float(np.median(ends.usual[rows]))))
    trails = skeleton.trails(ends.pixels[rows], most)
    long = np.where(trails.other, trails.count, np.inf) + ends.usual[rows]
    gap_at = {tuple(pixel): k // 2 for k, pixel in enumerate(ends.pixels[rows].tolist())}
    last = trails.pixels[np.arange(len(rows)), trails.count - 1].tolist()
    beyond = [gap_at.get(tuple(p), -1) if end else -1 for p, end in zip(last, trails.other, strict=True)]
    inner = (np.array(beyond) >= 0).reshape(-1, 2)
    length = long.reshape(-1, 2)
    for gaps in _groups(len(pairs), [(k // 2, gap) for k, gap in enumerate(beyond) if gap >= 0]):
        between = inner[gaps]
        if _even(lengths[gaps] + 1) and _alike(length[gaps][between], length[gaps][~between]):
            yield gaps


def _alike(inner: Array, outer: Array) -> bool:
    """Say whether strokes between gaps, told from both their ends, and those beyond are dashes."""
    if not _even(inner):
        return False
    usual = float(np.median(inner))
    return len(inner) > 2 or bool(((outer >= usual / EVEN) & (outer <= usual * EVEN)).any())


def _even(lengths: Array) -> bool:
    """Say whether nearly all lengths are about the same."""
    low, high = np.percentile(lengths, [10, 90])
    return bool(high <= EVEN * low)


def _groups(count: int, links: list[tuple[int, int]]) -> list[list[int]]:
    """Return those of `count` things that are linked, by however many links (union and find, Galler 1964)."""
    first = list(range(count))

    def found(one: int) -> int:
        while first[one] != one:
            first[one] = first[first[one]]
            one = first[one]
        return one

    for one, other in links:
        low, high = sorted((found(one), found(other)))
        first[high] = low
    groups: dict[int, list[int]] = {}
    for one in range(count):
        groups.setdefault(found(one), []).append(one)
    return [group for group in groups.values() if len(group) > 1]


def _sides(ink: Ink, ends: LineEnds, every: Index) -> list[Gap]:
    """Return the gaps where an end stops short of a line's side that it points straight at."""
    far = (1.0 + SHORT_OF) * float(ends.widths.max()) + 2
    along = np.arange(0.0, far, 0.25)
    sideways = np.column_stack([-ends.headings[:, 1], ends.headings[:, 0]])
    start = ends.points[:, None] + (ends.widths[:, None] * _PEN)[..., None] * sideways[:, None]
    ways = start[:, :, None] + along[:, None] * ends.headings[:, None, None]
    n, k, m, _ = ways.shape
    inked = (sampled(ink, ways.reshape(n, k * m, 2)) >= ink.level).reshape(n, k, m)
    paper = np.logical_or.accumulate(~inked, axis=2)
    left = along[paper.argmax(axis=2)]
    found: Flags = np.all(np.any(paper & inked, axis=2), axis=1)
    met = along[(paper & inked).argmax(axis=2)]
    middle = len(_PEN) // 2
    length = met[:, middle] - left[:, middle]
    found &= length <= SHORT_OF * ends.widths
    found &= ends.widths >= BLUNT * ends.usual
    found &= OUTWEIGHS * length <= ends.lengths
    gaps = []
    for row in np.flatnonzero(found).tolist():
        end = ends.of(np.array(row))
        side = _middle_beyond(ink, end, float(met[row, middle]))
        if side is not None and _clear(side, every, end, CLEAR):
            place = end.points + (left[row, middle] + met[row, middle]) / 2 * end.headings
            gaps.append(Gap(place, float(length[row]), end, side=side))
    return gaps


def _middle_beyond(ink: Ink, end: LineEnds, met: float) -> Index | None:
    """Return the pixel (2,) of another line's skeleton beyond its edge, which is `met` ahead of an end."""
    height, width = ink.skeleton.shape
    for step in np.arange(met, met + 2 * float(end.widths) + 2, 0.5).tolist():
        x, y = np.floor(end.points + step * end.headings).astype(int).tolist()
        if not (0 <= x < width and 0 <= y < height) or (step > met + 1 and not ink.line[y, x]):
            return None
        near = ink.skeleton[max(0, y - 1) : y + 2, max(0, x - 1) : x + 2]
        if near.any():
            row, column = np.argwhere(near)[0].tolist()
            return np.array([max(0, x - 1) + column, max(0, y - 1) + row])
    return None


def _clear(side: Index, every: Index, end: LineEnds, widths: float) -> bool:
    """Say whether no line ends near where one points at a side, but the one itself."""
    away = np.hypot(*(every - side).T.astype(np.float64))
    away[(every[:, 0] == end.pixels[0]) & (every[:, 1] == end.pixels[1])] = np.inf
    return bool(away.min(initial=np.inf) > widths * float(end.widths))
