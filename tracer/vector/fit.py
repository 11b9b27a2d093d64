"""Smooth cubics through samples, few of them, within a tolerance.

Breakpoints are chosen over a whole stroke between its corners, then all its segments are moved together;
between corners the chain has continuous tangents (G1). What departs by more than the tolerance is pressed
there first, then given more freedom, step by step, down to cubics from sample to sample.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import ARC, CUBIC, Pieces, Sections, lines_and_arcs
from tracer.vector.chains import Route, chains_of
from tracer.vector.circle import circle_of
from tracer.vector.cubics import control
from tracer.vector.cut import eased, halved, quartered
from tracer.vector.joined import joined
from tracer.vector.refine import STEPS, refined
from tracer.vector.sections import Course, parts_of, seamed, sections_of, spread_of
from tracer.vector.spans import RunningSums
from tracer.vector.steady import steady

Array = NDArray[np.float64]
Index = NDArray[np.intp]

__all__ = ["Course", "fitted"]

_TURNS = 20
"""Times that segments are given more freedom; the last ones halve cubics down to single samples."""

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
    chains: list[Array | None] = [None] * len(courses)
    parts: list[tuple[int, list[Array]]] = []
    for k, course in enumerate(courses):
        ring = course.closed and not len(course.corners)
        chains[k] = circle_of(course.points[:-1], tolerance) if ring else None
        if chains[k] is None:
            parts.append((k, parts_of(course)))
    if not parts:
        return [c for c in chains if c is not None]
    spread = noise**2 if noise is not None else spread_of(sections_of(courses, parts))
    spread = float(np.clip(spread, _FINEST * tolerance**2, _COARSEST * tolerance**2))
    parts = seamed(courses, parts, spread, tolerance)
    for (k, _), chain in zip(parts, _chains(courses, parts, spread, tolerance), strict=True):
        chains[k] = chain
    return [c for c in chains if c is not None]


def _chains(
    courses: Sequence[Course], parts: Sequence[tuple[int, list[Array]]], spread: float, tolerance: float
) -> list[Array]:
    """Return the chain of each stroke."""
    sections = sections_of(courses, parts)
    sums = RunningSums(sections.points, sections.first, sections.last)
    chosen = joined(lines_and_arcs(sections, sums, spread, tolerance), sums, spread)
    found = [quartered(*piece, sums) for piece in chosen]
    ends = np.cumsum([len(own) for _, own in parts]).tolist()
    weights = np.ones(len(sections.points))
    chains: list[Array] = [np.zeros((0, 4, 2))] * len(parts)
    busy = list(range(len(parts)))
    for turn in range(_TURNS):
        mine = [range(ends[k] - len(parts[k][1]), ends[k]) for k in busy]
        routes = [
            _route(courses[parts[k][0]], [found[s] for s in m], _LOOSE if turn == 0 else _FAST) for k, m in zip(busy, mine, strict=True)
        ]
        result = refined(chains_of(routes, sums.points), sums, weights, steps=STEPS if turn < 4 else 0)
        wrong = result.worst > tolerance
        weights[result.index[result.gaps > tolerance]] *= _PRESSED
        strained = _strained(Pieces.together([r.pieces for r in routes]), result.squares, sums, spread)
        if turn == 0:
            wrong |= strained
        bad, at, again = [], 0, []
        for k, m in zip(busy, mine, strict=True):
            begin = at
            for s in m:
                own = slice(at, at + len(found[s][0].kind))
                at = own.stop
                pieces, numbers = found[s][0], result.numbers[own]
                first, last = result.first[own], result.last[own]
                if (first < last).all():
                    pieces = Pieces(first, last, pieces.kind)
                if not wrong[own].any():
                    found[s] = pieces, numbers
                    continue
                bad.append(s)
                if turn == 0:
                    found[s] = replace(pieces, kind=np.where(strained[own], CUBIC, pieces.kind)), numbers
                elif turn == 1:
                    found[s] = eased(*found[s], wrong[own], result.at[own], sums=sums, sections=sections)
                elif turn >= 4:
                    found[s] = halved(*found[s], wrong[own], sums)
            chains[k] = control(result.numbers[begin:at])
            if wrong[begin:at].any():
                again.append(k)
        busy = again
        if not busy:
            break
        if turn == 2:
            for s, new in zip(bad, _steadied(sections, bad, spread, tolerance), strict=True):
                found[s] = new
    return chains


def _steadied(
    sections: Sections, which: list[int], spread: float, tolerance: float
) -> list[tuple[Pieces, Array]]:
    """Return steady chains for some of the sections."""
    some = sections.only(which)
    found = steady(some, RunningSums(some.points, some.first, some.last), spread, tolerance)
    moved = zip(found, sections.first[which] - some.first, strict=True)
    return [(Pieces(p.first + shift, p.last + shift, p.kind), numbers) for (p, numbers), shift in moved]


def _route(course: Course, found: Sequence[tuple[Pieces, Array]], hold: float) -> Route:
    """Return one stroke's segments of all its sections."""
    pieces = Pieces.together([p for p, _ in found])
    corner = np.zeros(len(pieces.kind), bool)
    corner[np.cumsum([len(p.kind) for p, _ in found]) - 1] = True
    if course.closed and not len(course.corners):
        corner[-1] = False
    return Route(pieces, np.concatenate([e for _, e in found]), corner, course.closed, hold)


def _strained(pieces: Pieces, squares: Array, sums: RunningSums, spread: float) -> NDArray[np.bool_]:
    """Say which arcs lie much worse than they would alone."""
    alone = sums.primitives(pieces.first, pieces.last, 0.0).off_arc
    strained: NDArray[np.bool_] = (pieces.kind == ARC) & (squares - alone > _STRAINED * spread)
    return strained
