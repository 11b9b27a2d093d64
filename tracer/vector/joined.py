"""One cubic in the place of several lines and arcs, where it holds."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import CUBIC, FREE, LINE, SEGMENT, Pieces, prices
from tracer.vector.cubics import fitted_cubics, rounded
from tracer.vector.paths import Edges, cheapest
from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]
Index = NDArray[np.intp]

MOST = 8
"""Pieces that one cubic may replace."""


def joined(chosen: Sequence[Pieces], sums: RunningSums, spread: float) -> list[tuple[Pieces, Array]]:
    """Return for each section its cheapest chain of the pieces chosen and of cubics in the place of several.

    With them the numbers (n, 8) of each piece as it would lie alone, see `cubics`.
    """
    single = Pieces.together(chosen)
    sizes = np.array([len(pieces.kind) for pieces in chosen])
    owner, each = np.repeat(np.arange(len(chosen)), sizes), np.arange(sizes.sum())
    alone = _alone(single, sums)
    begin, end = _runs(single, owner, sums)
    first, last = single.first[begin], single.last[end]
    guess = np.concatenate([alone[begin, :5], alone[end, 5:]], axis=1)
    fit = fitted_cubics(sums, first, last, guess, free=True)
    price = SEGMENT + FREE + fit.off * (last - first + 1) / spread
    order = np.argsort(np.concatenate([each, begin]), kind="stable")
    more = Pieces(first, last, np.full(len(begin), CUBIC))
    pieces = Pieces.together([single, more]).only(order)
    numbers = np.concatenate([alone, fit.numbers])[order]
    start, goal = np.concatenate([each, begin])[order], np.concatenate([each, end])[order] + 1
    cost = np.concatenate([prices(single, sums, spread), price])[order]
    edges = Edges(start + owner[start], goal + owner[start], cost, pieces.kind == LINE)
    walks = cheapest(edges, np.repeat(np.arange(len(chosen)), sizes + 1))
    return [(pieces.only(walk), numbers[walk]) for walk in walks]


def _alone(pieces: Pieces, sums: RunningSums) -> Array:
    """Return the numbers (n, 8) of lines and arcs; what is neither is taken for its line."""
    found = sums.primitives(pieces.first, pieces.last, 0.0)
    straight = (pieces.kind == LINE) | ~np.isfinite(found.off_arc)
    start, end = (found.feet(sums.points[sample], straight) for sample in (pieces.first, pieces.last))
    return rounded(start, end)


def _runs(single: Pieces, owner: Index, sums: RunningSums) -> tuple[Index, Index]:
    """Return the first and last piece of each run that a cubic may replace: not a line, nor turning round."""
    found = sums.primitives(single.first, single.last, 0.0)
    turn = np.where(single.kind == LINE, 0.0, np.minimum(found.turn, 4.0))
    upto = np.cumsum(turn)
    begin = np.tile(np.arange(len(owner)), MOST)
    end = begin + np.repeat(np.arange(MOST), len(owner))
    begin, end = begin[end < len(owner)], end[end < len(owner)]
    whole = upto[end] - upto[begin] + turn[begin]
    good = (owner[begin] == owner[end]) & (whole < 5.5) & (whole > 0)
    return begin[good], end[good]
