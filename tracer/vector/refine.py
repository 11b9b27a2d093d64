"""All segments of a stroke moved together to where the samples are nearest, their joints kept smooth.

The unknowns are the nodes' places and directions and the cubics' handles. Lines and arcs are kept by heavy
rows of their own. Each step solves the linear problem of Gauss and Newton, one small matrix a stroke.
"""

from copy import copy
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import LINE
from tracer.vector.cubics import newton, rows, squared, terms
from tracer.vector.kept import kept_rows
from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

STEPS = 4

_HEAVY = 1e6
"""Weight of what must hold, against one sample."""

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
class Chains:
    """Segments of many strokes, and which numbers they share.

    Attributes
    ----------
    kind, first, last : (s,) LINE, ARC or CUBIC, and the samples of each segment, both included.
    following : (s,) the segment that goes on smoothly where each ends, or -1.
    block : (s,) the matrix each belongs to, in rising order.
    unknown : (s, 8) where in `values` each of a segment's numbers is; smooth neighbours share some.
    values : (v,) a first guess: places and angles of one block behind the other, then all handles.
    begin : (blocks + 1,) where each block's places and angles begin.
    hold : (begin[-1],) weights, in samples, that keep places and angles at their first guess.
    """

    kind: Index
    first: Index
    last: Index
    following: Index
    block: Index
    unknown: Index
    values: Array
    begin: Index
    hold: Array


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
        names = ("numbers", "worst", "at", "squares", "first", "last")
        return replace(self, **{name: getattr(self, name)[own] for name in names})


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
    chains = track.chains
    own, u = track.nearest(values, track.own, track.u)
    squares = track.squares(values, own, u)
    damping, settled = np.full(len(squares), _DAMPING), np.zeros(len(squares), bool)
    for _ in range(steps):
        new = _straightened(chains, values + _step(track, values, own, u, damping))
        handles = chains.unknown[:, 3:5]
        new[handles] = np.clip(new[handles], 0.03 * track.length[:, None], track.length[:, None])
        new_own, new_u = track.nearest(new, own, u)
        new_squares = track.squares(new, new_own, new_u)
        better = (new_squares <= _WORSE * squares + 1e-9) & ~settled
        kept = np.append(np.repeat(better, np.diff(chains.begin)), np.repeat(better[chains.block], 2))
        values = np.where(kept, new, values)
        moved = better[chains.block[own]]
        own, u = np.where(moved, new_own, own), np.where(moved, new_u, u)
        settled |= better & (squares - new_squares < _SETTLED * squares)
        squares = np.where(better, new_squares, squares)
        damping *= np.where(better, _CALMER, _BOLDER)
        if settled.all():
            break
    return values, own, u


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

    def nearest(self, values: Array, own: Index, u: Array) -> tuple[Index, Array]:
        """Return the segment and parameter of each sample, a step nearer to its foot."""
        known = terms(values[self.chains.unknown])
        u = newton(known[:, own], u, self.wanted)
        on = np.flatnonzero((u > 1) & (self.chains.following[own] >= 0))
        back = np.flatnonzero((u < 0) & (self.preceding[own] >= 0))
        on, back = on[self._beyond(known, own, on, 1)], back[self._beyond(known, own, back, 0)]
        own = own.copy()
        own[on], u[on] = self.chains.following[own[on]], 0
        own[back], u[back] = self.preceding[own[back]], 1
        moved = np.concatenate([on, back])
        u[moved] = newton(known[:, own[moved]], u[moved], self.wanted[:, moved])
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
        return squared(terms(values[self.chains.unknown])[:, own], u, self.wanted)

    def squares(self, values: Array, own: Index, u: Array) -> Array:
        """Return the sum of squared distances of each block; infinite where a segment has run away."""
        numbers = values[self.chains.unknown]
        lost = np.hypot(*(numbers[:, 5:7] - numbers[:, :2]).T) > self.longest
        count = len(self.chains.begin) - 1
        squares = _totals(self.chains.block[own], self.weight * self.gaps(values, own, u), count)
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
        squares = _totals(own, gaps, count)
        first, last = self._spans(own)
        return Refined(numbers, np.sqrt(worst), at, squares, self.index, np.sqrt(gaps), first, last)

    def _spans(self, own: Index) -> tuple[Index, Index]:
        """Return the first and last sample of each segment; a ring's seam is where it was."""
        inside = np.maximum.accumulate(np.where(np.abs(own - self.own) > 2, self.own, own))
        begin = np.minimum(np.searchsorted(inside, np.arange(len(self.length))), len(own) - 1)
        first = np.where(np.append(False, self.linked[:-1]), self.index[begin], self.chains.first)
        return first, np.where(self.linked, np.append(first[1:], 0), self.chains.last)


def _totals(place: Index, values: Array, count: int) -> Array:
    """Return the sums (count,) of the values at each place."""
    totals: Array = np.bincount(place, values, count).astype(float)
    return totals


def _straightened(chains: Chains, values: Array) -> Array:
    """Return the values with each line's angles those of its chord, so that its neighbours go on along it."""
    line = chains.unknown[chains.kind == LINE]
    chord = values[line[:, 5:7]] - values[line[:, :2]]
    values = values.copy()
    values[line[:, 2]] = values[line[:, 7]] = np.arctan2(chord[:, 1], chord[:, 0])
    values[line[:, 3]] = values[line[:, 4]] = np.hypot(*chord.T) / 3
    return values


def _lined(row: Array, kind: Index, u: Array) -> Array:
    """Return the rows of samples with those of lines told by the lines' ends alone."""
    line = np.flatnonzero(kind == LINE)
    normal = row[0:2, line] + row[5:7, line]
    row[0:2, line], row[5:7, line] = (1 - u[line]) * normal, u[line] * normal
    row[2:5, line] = row[7, line] = 0
    return row


def _step(track: _Track, values: Array, own: Index, u: Array, damping: Array) -> Array:
    """Return the change (v,) of all values."""
    chains = track.chains
    order = np.argsort(own, kind="stable")
    own, u, wanted, weight = own[order], u[order], track.wanted[:, order], track.weight[order]
    row = _lined(rows(terms(values[chains.unknown])[:, own], u, wanted), chains.kind[own], u)
    weighted, across = weight * row, row.T
    bound = np.searchsorted(own, np.arange(len(chains.kind) + 1)).tolist()
    normal = np.array([weighted[:, a:b] @ across[a:b] for a, b in pairwise(bound)])
    diagonal = np.arange(8)
    normal[:, diagonal, diagonal] *= 1 + damping[chains.block][:, None]
    kept = kept_rows(chains.kind, values[chains.unknown])
    normal += _HEAVY * (kept.transpose(0, 2, 1) @ kept)
    pull = chains.hold * (chains.values - values)[: chains.begin[-1]]
    return _solved(chains, normal, pull)


def _solved(chains: Chains, normal: Array, pull: Array) -> Array:
    """Return the change (v,) of all values by the segments' normal equations (s, 9, 9).

    Handles belong to one segment each: they are eliminated first and found last.
    """
    own, shared = [3, 4], [0, 1, 2, 5, 6, 7, 8]
    inner = normal[:, own][:, :, own] + 1e-9 * np.eye(2)
    cross = np.linalg.solve(inner, normal[:, own][:, :, shared])
    rest = normal[:, shared][:, :, shared] - normal[:, shared][:, :, own] @ cross
    joints = chains.unknown[:, [0, 1, 2, 5, 6, 7]]
    step = np.zeros(len(chains.values))
    step[: chains.begin[-1]] = _joints_solved(chains, joints, rest, pull)
    step[chains.unknown[:, 3:5]] = cross[:, :, 6] - (cross[:, :, :6] @ step[joints][..., None])[..., 0]
    return step


def _joints_solved(chains: Chains, joints: Index, normal: Array, pull: Array) -> Array:
    """Return the change of all places and angles; blocks of about a size are solved together.

    `joints` (s, 6) are those of each segment, `normal` (s, 7, 7) its equations.
    """
    size = np.diff(chains.begin)
    step = np.zeros(chains.begin[-1])
    local = joints - chains.begin[chains.block][:, None]
    classes = np.ceil(np.log2(np.maximum(size, 6)) * 2).astype(int)
    for c in np.unique(classes):
        members = np.flatnonzero(classes == c)
        n = int(size[members].max())
        slot = np.full(len(size), -1)
        slot[members] = np.arange(len(members))
        s = np.flatnonzero(slot[chains.block] >= 0)
        row = slot[chains.block[s]][:, None] * n + local[s]
        cell = row[:, :, None] * n + local[s][:, None, :]
        matrix = _totals(cell.ravel(), normal[s, :6, :6].ravel(), len(members) * n * n).reshape(-1, n, n)
        right = _totals(row.ravel(), normal[s, :6, 6].ravel(), len(members) * n)
        here = np.flatnonzero(np.repeat(slot, size) >= 0)
        place = np.repeat(slot * n - chains.begin[:-1], size)[here] + here
        right[place] += pull[here]
        hold = np.zeros(len(right))
        hold[place] = chains.hold[here]
        diagonal = matrix[:, np.arange(n), np.arange(n)] + hold.reshape(-1, n)
        matrix[:, np.arange(n), np.arange(n)] = np.where(diagonal > 0, diagonal, 1.0)
        step[here] = solve_all(matrix, right.reshape(-1, n, 1)).ravel()[place]
    return step


def solve_all(matrix: Array, right: Array) -> Array:
    """Return x (k, n, 1) of matrix (k, n, n) x = right (k, n, 1), for symmetric matrices.

    Where segments shrink to nothing two unknowns may say the same: then a part in 10^6 of the
    diagonal is added, which lets each take half (Levenberg 1944).
    """
    try:
        return np.asarray(np.linalg.solve(matrix, right))
    except np.linalg.LinAlgError:
        n = matrix.shape[1]
        more = 1e-6 * matrix[:, np.arange(n), np.arange(n)]
        return np.asarray(np.linalg.solve(matrix + more[:, :, None] * np.eye(n), right))
