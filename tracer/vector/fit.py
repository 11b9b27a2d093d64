"""Smooth cubics through samples, few of them, within a tolerance.

Breakpoints are chosen over a whole stroke between its corners, then all its segments are moved together;
between corners the chain has continuous tangents (G1). What departs by more than the tolerance is pressed
there first, then given more freedom, step by step, down to cubics from sample to sample.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import ARC, CUBIC, Pieces, lines_and_arcs
from tracer.vector.chains import Route, chains_of
from tracer.vector.circle import circle_of
from tracer.vector.cubics import control, fitted_cubics
from tracer.vector.cut import eased, halved, quartered
from tracer.vector.guesses import laid, weights_of
from tracer.vector.joined import joined
from tracer.vector.refine import STEPS, Refined, refined
from tracer.vector.sections import Course, parts_of, seamed, sections_of, spread_of
from tracer.vector.spans import RunningSums
from tracer.vector.steady import steady

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Index = NDArray[np.intp]

__all__ = ["Course", "fitted"]

_TURNS = 20
"""Times that segments are given more freedom; the last ones halve cubics down to single samples."""

_STEADY = 2
"""The turn from which sections that do not hold yet are fitted with steady chains instead."""

_LAST = 4
"""The last turn in which segments move: from then on those cut in two lie where they were cut."""

_FEW = 2
"""So many bad pieces of a section are cut in two once before that."""

_MILD = 1.5
"""Times the tolerance up to which any third of the pieces is cut in two as well."""

_DEARER = 4
"""A steady chain of more than so many cubics for each piece is not taken: cutting these in two is cheaper."""

_MOST = 0.5
"""Part of a section's pieces beyond which the whole is given a steady chain."""

_PRESSED = 10.0
"""A sample beyond the tolerance weighs this many times more from then on."""

_LOOSE, _FAST = 1.0, 1e3
"""Weight, in samples, that holds corners and ends in place, at first and once the tolerance is at stake."""

_STRAINED = 12.0
"""Squares, in units of the noise, that smooth joints may cost an arc; beyond it becomes a free cubic."""

_FINEST, _COARSEST = 1 / 9, 1 / 2
"""The noise's spread is taken for no less and no more than these parts of the tolerance's square."""


def fitted(courses: Sequence[Course], tolerance: float, noise: float | None = None) -> list[Array]:
    """Return for each course a chain of cubics (n, 4, 2) within `tolerance` of its points.

    `noise` is the standard deviation of a mean of samples times the root of their number (of independent
    samples their own deviation); where None it is measured.
    """
    if not courses:
        return []
    parts = [(k, parts_of(course)) for k, course in enumerate(courses)]
    spread = noise**2 if noise is not None else spread_of(sections_of(courses, parts))
    spread = float(np.clip(spread, _FINEST * tolerance**2, _COARSEST * tolerance**2))
    chains: list[Array | None] = [
        circle_of(course.points[:-1], tolerance, spread) if course.is_ring else None for course in courses
    ]
    parts = seamed(courses, [part for part in parts if chains[part[0]] is None], spread, tolerance)
    if parts:
        work = _Work(courses, parts, spread, tolerance)
        for (k, _), chain in zip(parts, work.chains(), strict=True):
            chains[k] = chain
    return [chain for chain in chains if chain is not None]


class _Work:
    """Strokes on the way to their chains: of each section the pieces, and their numbers as far as known."""

    def __init__(
        self,
        courses: Sequence[Course],
        parts: Sequence[tuple[int, list[Index]]],
        spread: float,
        tolerance: float,
    ):
        self.spread, self.tolerance = spread, tolerance
        self.courses = [courses[k] for k, _ in parts]
        sections = sections_of(courses, parts)
        sums = RunningSums(sections.points, sections.first, sections.last, weights_of(sections))
        chosen = joined(lines_and_arcs(sections, sums, spread, tolerance), sums, spread)
        self.found = quartered(chosen, sums)
        self.sections = replace(sections, points=laid(sections, self.found, sums, tolerance))
        self.sums = RunningSums(self.sections.points, sections.first, sections.last)
        self.weights = np.ones(len(sections.points))
        self.freed: set[int] = set()
        self.fresh: dict[int, Index] = {}
        ends = np.cumsum([len(own) for _, own in parts]).tolist()
        self.own = [range(end - len(own), end) for end, (_, own) in zip(ends, parts, strict=True)]

    def chains(self) -> list[Array]:
        """Return the chain of each stroke."""
        busy = list(range(len(self.courses)))
        for turn in range(_TURNS):
            bad = self._turn(busy, turn)
            if turn >= _STEADY:
                self._steady({s: w > self.tolerance for s, w in bad.items() if not self._cut(s, w, turn)})
            busy = [k for k in busy if any(s in bad for s in self.own[k])]
            if not busy:
                break
        return [control(self._chain(own)) for own in self.own]

    def _chain(self, own: range) -> Array:
        """Return a stroke's numbers, the ends of its sections made one."""
        return np.concatenate([self.found[s][1] for s in own])

    def _turn(self, busy: Sequence[int], turn: int) -> dict[int, Array]:
        """Move the segments of busy strokes, give what does not hold more freedom.

        Returned are the sections that do not hold yet, and how far off each of their pieces is.
        """
        routes = [self._route(k, _LOOSE if turn == 0 else _FAST) for k in busy]
        steps = STEPS if turn <= _LAST else 0
        result = refined(chains_of(routes, self.sums.points), self.sums, self.weights, steps)
        self.weights[result.index[result.gaps > self.tolerance]] *= _PRESSED
        sections = [s for k in busy for s in self.own[k]]
        strained = np.zeros(len(result.worst), bool)
        if turn == 0:
            strained = self._strained(sections, result.squares)
        bad, at = {}, 0
        for s in sections:
            own = slice(at, at + len(self.found[s][0].kind))
            part = result.part(own)
            at = own.stop
            if not self._settle(s, part, strained[own], turn):
                bad[s] = part.worst
        self._handled()
        return bad

    def _handled(self) -> None:
        """Give the parts of pieces cut in two the handles that suit their samples."""
        if not self.fresh:
            return
        pieces = Pieces.together([self.found[s][0].only(parts) for s, parts in self.fresh.items()])
        numbers = np.concatenate([self.found[s][1][parts] for s, parts in self.fresh.items()])
        fit = fitted_cubics(self.sums, pieces.first, pieces.last, numbers, free=False, count=64)
        cuts = np.cumsum([len(parts) for parts in self.fresh.values()])[:-1]
        for (s, parts), own in zip(self.fresh.items(), np.split(fit.numbers, cuts), strict=True):
            self.found[s][1][parts] = own
        self.fresh = {}

    def _settle(self, s: int, part: Refined, strained: Flags, turn: int) -> bool:
        """Take over what has been found for a section; say whether it holds, give it more freedom."""
        kind, wrong = self.found[s][0].kind, part.worst > self.tolerance
        pieces = Pieces(part.first, part.last, kind) if (part.first < part.last).all() else self.found[s][0]
        kind, wrong = np.where(strained, CUBIC, kind), wrong | strained
        if s not in self.freed or not wrong.any():
            self.found[s] = replace(pieces, kind=kind), part.numbers
        if turn == 1 and wrong.any():
            self.found[s] = eased(*self.found[s], wrong, part.at, sums=self.sums, sections=self.sections)
        elif turn >= _STEADY and self._cut(s, part.worst, turn):
            pieces, numbers, self.fresh[s] = halved(*self.found[s], wrong, self.sums.points)
            self.found[s] = pieces, numbers
        return not wrong.any()

    def _cut(self, s: int, worst: Array, turn: int) -> bool:
        """Say whether a section's bad pieces are to be cut in two, rather than laid anew."""
        wrong = worst > self.tolerance
        mild = worst.max() < _MILD * self.tolerance and wrong.mean() <= 1 / 3
        few = wrong.sum() <= min(_FEW, 2 * len(wrong) // 3)
        return s in self.freed or (turn == _STEADY and bool(few or mild))

    def _strained(self, sections: Sequence[int], squares: Array) -> Flags:
        """Say which of the pieces of sections are arcs that lie much worse than they would alone."""
        pieces = Pieces.together([self.found[s][0] for s in sections])
        alone = self.sums.offs(pieces.first, pieces.last, 0.0)[1]
        strained: Flags = (pieces.kind == ARC) & (squares - alone > _STRAINED * self.spread)
        return strained

    def _steady(self, bad: dict[int, Flags]) -> None:
        """Give runs of pieces that do not hold steady chains between their neighbours."""
        self.freed |= set(bad)
        if not bad:
            return
        runs = [(s, *run) for s, wrong in bad.items() for run in _runs(wrong)]
        spans = [(self.found[s][0].first[a], self.found[s][0].last[b - 1]) for s, a, b in runs]
        ends = np.array([self._ends(*run) for run in runs])
        first, last = np.array(spans).T
        rings = np.array([self._goes_round(*run) for run in runs])
        some = self.sections.cut(first, last, rings)
        sums = RunningSums(some.points, some.first, some.last)
        chains = steady(some, sums, ends, spread=self.spread, tolerance=self.tolerance)
        shifts = first - some.first
        for (s, a, b), (pieces, numbers), shift in reversed(list(zip(runs, chains, shifts, strict=True))):
            if len(numbers) > _DEARER * (b - a):
                continue
            old, known = self.found[s]
            new = Pieces(pieces.first + shift, pieces.last + shift, pieces.kind)
            before, after = list(range(a)), list(range(b, len(known)))
            self.found[s] = (
                Pieces.together([old.only(before), new, old.only(after)]),
                np.concatenate([known[:a], numbers, known[b:]]),
            )

    def _ends(self, s: int, a: int, b: int) -> list[Array]:
        """Return x, y and angle at the start and the end of pieces a..b of a section; nan where it ends."""
        numbers, unknown = self.found[s][1], np.full(3, np.nan)
        goes_on = bool(self.sections.ring[s]) and not self._goes_round(s, a, b)
        return [
            numbers[a, :3] if a or goes_on else unknown,
            numbers[b - 1, 5:] if b < len(numbers) or goes_on else unknown,
        ]

    def _goes_round(self, s: int, a: int, b: int) -> bool:
        """Say whether pieces a..b are all of a ring."""
        return bool(self.sections.ring[s]) and b - a == len(self.found[s][1])

    def _route(self, k: int, hold: float) -> Route:
        """Return one stroke's segments of all its sections."""
        found, course = [self.found[s] for s in self.own[k]], self.courses[k]
        pieces = Pieces.together([p for p, _ in found])
        corner = np.zeros(len(pieces.kind), bool)
        corner[np.cumsum([len(p.kind) for p, _ in found]) - 1] = not course.is_ring
        return Route(pieces, np.concatenate([n for _, n in found]), corner, course.closed, hold)


def _runs(wrong: Flags) -> list[tuple[int, int]]:
    """Return where each run of wrong pieces and their neighbours begins, and ends before; all of most."""
    wide = np.convolve(np.pad(wrong, 1), np.ones(3), "valid") > 0
    if wide.mean() > _MOST:
        return [(0, len(wrong))]
    edge = np.diff(wide.astype(int), prepend=0, append=0)
    return list(zip(np.flatnonzero(edge > 0).tolist(), np.flatnonzero(edge < 0).tolist(), strict=True))
