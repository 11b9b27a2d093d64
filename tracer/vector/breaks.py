"""Where a stroke's segments begin and end, chosen over the whole stroke.

The choice is the cheapest of all (least description length; Rissanen 1978): each segment has its price, and
the squares of the samples' distances from it are counted in units of their noise. Lines and arcs come first:
their costs follow from running sums.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.vector.paths import Edges, Flags, cheapest
from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]
Index = NDArray[np.intp]

LINE, ARC, CUBIC = 0, 1, 2

SEGMENT = 18.0
"""Price of a segment: twice the logarithm of the odds against it (parameters, one breakpoint of many)."""

CURVE = 3.0
"""What an arc costs more than a line, for its bend."""

FREE = 12.0
"""What a cubic costs more than a line: five parameters instead of one or two."""

QUARTER = 12.0
"""Price of each further cubic of the same arc: it brings no new parameters."""

SPARE = 0.2
"""A cubic takes a quarter circle and this much more, in radians: angles are measured, not known."""

STEEP = 0.15
"""Radians of turning at which candidates stand closer than half a line's width."""

_COARSE = 3
"""One of so many candidates is looked at first."""

_NEAR = 3
"""So many candidates to both sides of a breakpoint among these are looked at then."""


@dataclass(frozen=True, eq=False)
class Pieces:
    """Segments chosen: samples first..last of each, both included, and its kind."""

    first: Index
    last: Index
    kind: Index

    def only(self, wanted: Index | list[int]) -> "Pieces":
        """Return the pieces that are wanted."""
        return Pieces(self.first[wanted], self.last[wanted], self.kind[wanted])

    @staticmethod
    def together(parts: "Sequence[Pieces]") -> "Pieces":
        """Return the pieces of several sections, one behind the other."""
        return Pieces(*(np.concatenate([getattr(p, n) for p in parts]) for n in ("first", "last", "kind")))


@dataclass(frozen=True, eq=False)
class Sections:
    """Stretches between corners, one behind the other: samples first..last of `points` (m, 2) each.

    `reach` (m,) is half a line's width in samples, `guessed` (m,) where points were not measured. Of a
    `ring` (s,) first and last are the same place, and no corner.
    """

    points: Array
    first: Index
    last: Index
    reach: Index
    guessed: Flags
    ring: Flags

    def cut(self, first: Index, last: Index, ring: Flags) -> "Sections":
        """Return stretches of them, samples first..last; whole ones where `ring`."""
        index = np.concatenate([np.arange(a, b + 1) for a, b in zip(first, last, strict=True)])
        end = np.cumsum(last - first + 1) - 1
        reach, guessed = self.reach[index], self.guessed[index]
        return Sections(self.points[index], end - (last - first), end, reach, guessed, ring)

    def around(self, reach: Index) -> tuple[Index, Index]:
        """Return for each sample those `reach` before and behind it, or the section's ends."""
        sizes = self.last - self.first + 1
        index = np.arange(len(self.points))
        behind = np.maximum(index - reach, np.repeat(self.first, sizes))
        return behind, np.minimum(index + reach, np.repeat(self.last, sizes))


def candidates(sections: Sections) -> tuple[Index, Index]:
    """Return the samples that may be breakpoints, and the section of each.

    They stand half a line's width apart, closer where the way bends much; a section's ends are among them.
    """
    points, first, last = sections.points, sections.first, sections.last
    behind, ahead = sections.around(sections.reach)
    into, out = points - points[behind], points[ahead] - points
    turn = np.abs(np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1)))
    reach = np.maximum((ahead - behind) / 2, 1)
    density = np.minimum(1.0, np.maximum(1 / sections.reach, turn / reach / STEEP))
    density = (density + np.roll(density, 1)) / 2
    density[first] = 0
    key = np.cumsum(density)
    key -= np.repeat(key[first], last - first + 1)
    count = np.maximum(1, np.round(key[last]).astype(int))
    scale = count / np.maximum(key[last], 1e-12)
    offset = np.cumsum(count + 1) - count - 1
    key = key * np.repeat(scale, last - first + 1) + np.repeat(offset, last - first + 1)
    wanted = np.arange(int((count + 1).sum()))
    right = np.clip(np.searchsorted(key, wanted), 1, len(key) - 1)
    nearest = np.where(wanted - key[right - 1] < key[right] - wanted, right - 1, right)
    nearest[offset], nearest[offset + count] = first, last
    chosen = np.unique(nearest)
    return chosen, np.searchsorted(first, chosen, side="right") - 1


def _prices(off_line: Array, off_arc: Array, turn: Array, spread: float) -> tuple[Array, Array]:
    """Return what each span costs as a line and as an arc."""
    more = np.maximum(0, np.ceil((turn - SPARE) / (np.pi / 2)) - 1)
    return SEGMENT + off_line / spread, SEGMENT + CURVE + QUARTER * more + off_arc / spread


def lines_and_arcs(sections: Sections, sums: RunningSums, spread: float, tolerance: float) -> list[Pieces]:
    """Return for each section its cheapest chain of lines and arcs.

    `spread` is the variance of a mean of samples times their number. Where neither a line nor an arc
    holds from one candidate to the next a cubic stands. Breakpoints are sought among some of the candidates
    first, then among all that are near those found.
    """
    samples, section = candidates(sections)
    sizes = np.bincount(section)
    count = np.repeat(sizes - 1, sizes)
    rank = np.arange(len(samples)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    step = count / np.maximum(1, np.round(count / _COARSE))
    some = np.abs(rank - step * np.round(rank / step)) <= 0.5  # the same from both ends
    rough = _among(samples[some], section[some], sums, spread=spread, tolerance=tolerance)
    ends = np.concatenate([sample for pieces in rough for sample in (pieces.first, pieces.last)])
    near = np.searchsorted(samples, ends)[:, None] + np.arange(-_NEAR, _NEAR + 1)
    chosen = np.unique(np.clip(near, 0, len(samples) - 1))
    return _among(samples[chosen], section[chosen], sums, spread=spread, tolerance=tolerance)


def _among(
    samples: Index, section: Index, sums: RunningSums, *, spread: float, tolerance: float
) -> list[Pieces]:
    """Return for each section its cheapest chain of lines and arcs between some of the samples."""

    def holds(a: Index, b: Index) -> Flags:
        good: Flags = np.minimum(*_prices(*sums.offs(a, b, np.sqrt(spread)), spread)) <= _limit(
            b - a + 1, spread, tolerance
        )
        return good

    start, end = spans(samples, section, holds)
    line, arc = _prices(*sums.offs(samples[start], samples[end], np.sqrt(spread)), spread)
    limit = _limit(samples[end] - samples[start] + 1, spread, tolerance)
    limit[end == start + 1] = np.inf
    odd = (end == start + 1) & ~np.isfinite(arc)
    arc[odd] = line[odd] + FREE
    kept = np.column_stack([line, arc]) <= limit[:, None]
    span, kind = np.nonzero(kept)
    edges = Edges(start[span], end[span], np.column_stack([line, arc])[kept], kind == LINE)
    kind[odd[span] & (kind == ARC)] = CUBIC
    return [
        Pieces(samples[edges.start[walk]], samples[edges.end[walk]], kind[walk])
        for walk in cheapest(edges, section)
    ]


def _limit(count: Index, spread: float, tolerance: float) -> Array:
    """Return the price above which a span of `count` samples is not worth a thought."""
    limit: Array = 4 * SEGMENT + count * np.minimum(1.0, tolerance**2 / (4 * spread))
    return limit


def spans(samples: Index, section: Index, holds: Callable[[Index, Index], Flags]) -> tuple[Index, Index]:
    """Return the candidates (start, end) of all spans up to about the longest that `holds`; sorted by start.

    `holds` says of spans of samples, from and to, whether a segment may hold them. Lengths are doubled until
    none does.
    """
    count = len(samples)
    last = np.flatnonzero(np.diff(section, append=-1))[section]
    start = np.flatnonzero(np.arange(count) < last)
    longest = np.minimum(1, last - np.arange(count))
    trying, step = start, 2
    while len(trying):
        end = np.minimum(trying + step, last[trying])
        good = holds(samples[trying], samples[end])
        longest[trying] = np.where(good | (end == trying + 1), end, end - 1) - trying
        trying, step = trying[good & (end < last[trying])], 2 * step
    sizes = longest[start]
    begin = np.repeat(start, sizes)
    return begin, begin + np.arange(len(begin)) - np.repeat(np.cumsum(sizes) - sizes, sizes) + 1


def prices(pieces: Pieces, sums: RunningSums, spread: float) -> Array:
    """Return what pieces cost; a cubic as much as if its line held."""
    line, arc = _prices(*sums.offs(pieces.first, pieces.last, np.sqrt(spread)), spread)
    price: Array = np.where(pieces.kind == LINE, line, np.where(pieces.kind == ARC, arc, line + FREE))
    return price
