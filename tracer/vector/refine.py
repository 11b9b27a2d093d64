"""All segments of a stroke moved together to where the samples are nearest, their joints kept smooth.

The unknowns are the nodes' places and directions and the cubics' handles. A stroke that has settled takes no
more steps.
"""

from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import LINE
from tracer.vector.cubics import newton, squared, terms
from tracer.vector.equations import step, totals
from tracer.vector.spans import RunningSums
from tracer.vector.unknowns import Chains

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

STEPS = 4

_DAMPING = 0.03
"""Share of each unknown's own weight added to it."""

_CALMER, _BOLDER = 0.3, 20.0
"""Factors of the damping after a step that helped and one that did not (Levenberg 1944, Marquardt 1963)."""

_WORSE = 1.01
"""A step that lets a stroke's squares grow by more than this is taken back."""

_THIN = 3
"""Of so many samples of a long segment one tells where it lies."""

_LONG = 72
"""Samples of a long segment."""

_SETTLED = 1e-2
"""A stroke whose squares shrink by less than this part is left as it is, whatever others need."""


@dataclass(frozen=True, eq=False)
class Refined:
    """Segments where the samples are nearest.

    Attributes
    ----------
    numbers : (s, 8), see `cubics`.
    worst, at : (s,) largest distance of the samples of each, and which sample has it.
    squares : (s,) sum of the squared distances of each.
    index, gaps : the samples, and the distance of each.
    first, last : (s,) the samples of each, now that joints have moved.
    """

    numbers: Array
    worst: Array
    at: Index
    squares: Array
    index: Index
    gaps: Array
    first: Index
    last: Index

    def part(self, own: slice) -> "Refined":
        """Return some of the segments; all samples stay."""
        return Refined(
            self.numbers[own],
            self.worst[own],
            self.at[own],
            self.squares[own],
            self.index,
            self.gaps,
            self.first[own],
            self.last[own],
        )


def refined(chains: Chains, sums: RunningSums, weights: Array, steps: int = STEPS) -> Refined:
    """Return the segments moved to where the samples, of `weights` (m,), are nearest."""
    track = _Track(chains, sums, weights)
    thin = track.thinned() if steps else track
    values, own, u = _moved(thin, _straightened(chains, chains.values), steps)
    if steps:
        own, u = track.nearest(values, own[thin.near], u[thin.near])
    return track.result(values, *track.nearest(values, own, u))


def _moved(track: "_Track", values: Array, steps: int) -> tuple[Array, Index, Array]:
    """Return the values that let the track's samples lie nearest, and where on the segments these lie."""
    own, u = track.nearest(values, track.own, track.u)
    squares = track.squares(values, own, u)
    damping = np.full(len(squares), _DAMPING)
    parts = _Parts(track.chains, values.copy(), own.copy(), u.copy())
    for _ in range(steps):
        chains = track.chains
        seen = {"wanted": track.wanted, "weight": track.weight}
        new = _straightened(chains, values + step(chains, values, own, u, damping=damping, **seen))
        handles = chains.unknown[:, 3:5]
        new[handles] = np.clip(new[handles], 0.03 * track.length[:, None], track.length[:, None])
        new_own, new_u = track.nearest(new, own, u)
        new_squares = track.squares(new, new_own, new_u)
        better = new_squares <= _WORSE * squares + 1e-9
        values = np.where(chains.numbers_of(better), new, values)
        moved = better[chains.block[own]]
        own, u = np.where(moved, new_own, own), np.where(moved, new_u, u)
        settled = better & (squares - new_squares < _SETTLED * squares)
        squares = np.where(better, new_squares, squares)
        damping *= np.where(better, _CALMER, _BOLDER)
        parts.keep(values, own, u)
        if settled.all():
            break
        if settled.any():
            values, own, u = parts.only(~settled, values, own, u)
            track, squares, damping = track.only(~settled), squares[~settled], damping[~settled]
    return parts.values, parts.own, parts.u


class _Parts:
    """All values, and the segment and parameter of all samples, of which some are still worked on."""

    def __init__(self, chains: Chains, values: Array, own: Index, u: Array):
        self.values, self.own, self.u = values, own, u
        self.chains = chains
        self.numbers, self.segments, self.samples = (np.arange(len(x)) for x in (values, chains.kind, own))

    def keep(self, values: Array, own: Index, u: Array) -> None:
        """Take over what is worked on."""
        self.values[self.numbers] = values
        self.own[self.samples], self.u[self.samples] = self.segments[own], u

    def only(self, wanted: Flags, values: Array, own: Index, u: Array) -> tuple[Array, Index, Array]:
        """Return what of these belongs to the wanted blocks, which alone are worked on from now on."""
        segments, numbers = wanted[self.chains.block], self.chains.numbers_of(wanted)
        samples = segments[own]
        self.numbers, self.segments = self.numbers[numbers], self.segments[segments]
        self.samples, self.chains = self.samples[samples], self.chains.only(wanted)
        return values[numbers], (np.cumsum(segments) - 1)[own[samples]], u[samples]


class _Track:
    """The samples of all chains; each is at some `u` of its `own` segment, and may go over to a neighbour."""

    def __init__(self, chains: Chains, sums: RunningSums, weights: Array):
        points, way = sums.points, sums.along
        self.chains, self.points = chains, points
        first, last = chains.first, chains.last
        self.preceding = np.full(len(first), -1)
        on = np.flatnonzero(chains.following >= 0)
        self.preceding[chains.following[on]] = on
        self.linked = np.append(last[:-1] == first[1:], False)
        sizes = last - first + ~self.linked
        self.own = np.repeat(np.arange(len(sizes)), sizes)
        self.index = np.arange(len(self.own)) - (np.cumsum(sizes) - sizes)[self.own] + first[self.own]
        self.wanted = np.ascontiguousarray(points[self.index].T)
        self.weight = weights[self.index]
        self.length = np.maximum(way[last] - way[first], 1e-9)
        numbers = chains.values[chains.unknown]
        self.longest = 1.5 * np.maximum(np.hypot(*(numbers[:, 5:7] - numbers[:, :2]).T), self.length) + 1
        self.near = np.arange(len(self.own))
        self.u = (way[self.index] - way[first][self.own]) / self.length[self.own]

    def thinned(self) -> "_Track":
        """Return the track with some samples of long segments, and all that weigh more; `near` each sample.

        Neighbours err alike, so little is lost.
        """
        place = np.arange(len(self.own))
        begin = np.append(True, self.own[1:] != self.own[:-1])
        phase = place - np.maximum.accumulate(np.where(begin, place, 0))
        size = np.bincount(self.own, minlength=len(self.length))[self.own]
        part = np.where(size >= _LONG, _THIN, 1)
        kept = (phase % part == 0) | (self.weight > 1)
        thin = copy(self)
        thin.near = np.cumsum(kept) - 1
        thin.own, thin.index, thin.u = self.own[kept], self.index[kept], self.u[kept]
        thin.wanted = self.wanted[:, kept]
        thin.weight = np.where(phase % part == 0, part, 1)[kept] * self.weight[kept]
        return thin

    def only(self, wanted: Flags) -> "_Track":
        """Return the samples and the segments of the wanted blocks."""
        segments = wanted[self.chains.block]
        samples, rank = segments[self.own], np.cumsum(segments) - 1
        some = copy(self)
        some.chains, some.preceding = self.chains.only(wanted), self.preceding[segments]
        some.preceding = np.where(some.preceding < 0, -1, rank[some.preceding])
        some.length, some.longest = self.length[segments], self.longest[segments]
        some.own, some.weight = rank[self.own[samples]], self.weight[samples]
        some.wanted = self.wanted[:, samples]
        return some

    def nearest(self, values: Array, own: Index, u: Array) -> tuple[Index, Array]:
        """Return the segment and parameter of each sample, a step nearer to its foot."""
        known = terms(values[self.chains.unknown])
        u = newton(known[:8, own], u, self.wanted)
        on = np.flatnonzero((u > 1) & (self.chains.following[own] >= 0))
        back = np.flatnonzero((u < 0) & (self.preceding[own] >= 0))
        on, back = on[self._beyond(known, own, on, 1)], back[self._beyond(known, own, back, 0)]
        own = own.copy()
        own[on], u[on] = self.chains.following[own[on]], 0
        own[back], u[back] = self.preceding[own[back]], 1
        moved = np.concatenate([on, back])
        u[moved] = newton(known[:8, own[moved]], u[moved], self.wanted[:, moved])
        return own, np.clip(u, 0, 1)

    def _beyond(self, known: Array, own: Index, which: Index, end: int) -> Flags:
        """Say which samples lie beyond the end (1) or the start (0) of their segments."""
        mine = known[:, own[which]]
        gap = (
            self.wanted[:, which]
            - mine[[0, 4]]
            - end * np.array([mine[1:4].sum(axis=0), mine[5:8].sum(axis=0)])
        )
        c, s = mine[[11, 12]] if end else -mine[[8, 9]]
        beyond: Flags = gap[0] * c + gap[1] * s > 0
        return beyond

    def gaps(self, values: Array, own: Index, u: Array) -> Array:
        """Return the squared distance of each sample."""
        return squared(terms(values[self.chains.unknown])[:8, own], u, self.wanted)

    def squares(self, values: Array, own: Index, u: Array) -> Array:
        """Return the sum of squared distances of each block; infinite where a segment has run away."""
        numbers = values[self.chains.unknown]
        lost = np.hypot(*(numbers[:, 5:7] - numbers[:, :2]).T) > self.longest
        count = len(self.chains.begin) - 1
        squares = totals(self.chains.block[own], self.weight * self.gaps(values, own, u), count)
        squares[self.chains.block[lost]] = np.inf
        return squares

    def result(self, values: Array, own: Index, u: Array) -> Refined:
        """Return the segments."""
        gaps, count = self.gaps(values, own, u), len(self.length)
        numbers = values[self.chains.unknown]
        worst = np.zeros(count)
        np.maximum.at(worst, own, gaps)
        for loose, place, sample in (
            (self.preceding < 0, numbers[:, :2], self.chains.first),
            (self.chains.following < 0, numbers[:, 5:7], self.chains.last),
        ):  # a corner or an end does not run on beyond its sample
            beyond = ((place - self.points[sample]) ** 2).sum(axis=1)
            worst[loose] = np.maximum(worst, beyond)[loose]
        order = np.argsort(gaps)
        at = self.chains.first.copy()
        at[own[order]] = self.index[order]
        squares = totals(own, gaps, count)
        first, last = self._spans(own)
        return Refined(numbers, np.sqrt(worst), at, squares, self.index, np.sqrt(gaps), first, last)

    def _spans(self, own: Index) -> tuple[Index, Index]:
        """Return the first and last sample of each segment; a ring's seam is where it was."""
        inside = np.maximum.accumulate(np.where(np.abs(own - self.own) > 2, self.own, own))
        begin = np.minimum(np.searchsorted(inside, np.arange(len(self.length))), len(own) - 1)
        first = np.where(np.append(False, self.linked[:-1]), self.index[begin], self.chains.first)
        return first, np.where(self.linked, np.append(first[1:], 0), self.chains.last)


def _straightened(chains: Chains, values: Array) -> Array:
    """Return the values with each line's angles those of its chord, so that its neighbours go on along it."""
    line = chains.unknown[chains.kind == LINE]
    chord = values[line[:, 5:7]] - values[line[:, :2]]
    values = values.copy()
    values[line[:, 2]] = values[line[:, 7]] = np.arctan2(chord[:, 1], chord[:, 0])
    values[line[:, 3]] = values[line[:, 4]] = np.hypot(*chord.T) / 3
    return values
