"""Chains cut where they cross, and pieces of them joined again."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.joints import find_joints

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Piece:
    """A piece of a chain.

    Attributes
    ----------
    chain : the chain's index.
    start, end : its places; where it runs over the seam of a ring the end is beyond the last cubic.
    tail, head : the meetings that it goes between, by number; -1 where its chain ends.
    """

    chain: int
    start: float
    end: float
    tail: int
    head: int


def cut_up(chains: Sequence[tuple[Array, bool]], tolerance: float, borders: int) -> list[Piece]:
    """Cut chains where they cross one of so many first `borders`; each chain's pieces follow one another.

    A chain that is the beginning of another, as an outline is of what it encloses, is cut where that is.
    """
    cuts: list[list[tuple[float, int]]] = [[] for _ in chains]
    leads = _leads(chains)
    own = [index for index, lead in enumerate(leads) if lead == index]
    first = sum(index < borders for index in own)
    meetings = find_joints([chains[index] for index in own], tolerance, first=first)
    for node, meeting in enumerate(meetings):
        for chain, t in meeting.members:
            curves, closed = chains[own[chain]]
            cuts[own[chain]].append((t % len(curves) if closed else t, node))
    pieces = []
    for index, (curves, closed) in enumerate(chains):
        ends = sorted(cuts[leads[index]])
        if closed and ends:
            ends = [*ends, (ends[0][0] + len(curves), ends[0][1])]
        else:
            inner = [p for p in ends if 0 < p[0] < len(curves)]
            ends = [(0.0, -1), *inner, (float(len(curves)), -1)]
        pieces += [Piece(index, a, b, tail, head) for (a, tail), (b, head) in pairwise(ends) if b > a]
    return pieces


def _leads(chains: Sequence[tuple[Array, bool]]) -> list[int]:
    """Return for each chain the index of an earlier one that begins as it does, else its own."""
    leads = list(range(len(chains)))
    known: dict[bytes, list[int]] = {}
    for index, (curves, closed) in enumerate(chains):
        others = known.setdefault(curves[0].tobytes(), [])
        for other in others:
            longer, ring = chains[other]
            fits = len(longer) == len(curves) and ring if closed else len(longer) >= len(curves)
            if fits and np.array_equal(longer[: len(curves)], curves):
                leads[index] = other
                break
        else:
            others.append(index)
    return leads


def beside(chains: Sequence[Array], pieces: Sequence[Piece], far: float) -> tuple[Array, Array]:
    """Return points (m, 2) `far` to the right and to the left of each piece, y pointing down.

    They lie beside the middle of its longest cubic: at a corner both might lie on the border itself.
    """
    first = np.cumsum([0, *(len(curves) for curves in chains)])
    middles = np.array([first[p.chain] + _middle(chains[p.chain], p) for p in pieces])
    curves = np.concatenate([*chains, np.zeros((0, 4, 2))])
    points, along = bezier.points_at(curves, middles), bezier.tangents_at(curves, middles)
    normals = far * np.column_stack([-along[:, 1], along[:, 0]])
    return points + normals, points - normals


def _middle(curves: Array, piece: Piece) -> float:
    """Return the place of the middle of the longest cubic of a piece."""
    knots = np.arange(math.floor(piece.start) + 1, math.ceil(piece.end))
    if not len(knots):
        return (piece.start + piece.end) / 2 % len(curves)
    t = np.concatenate([[piece.start], knots, [piece.end]])
    ends = bezier.points_at(curves, np.where(t == len(curves), t, t % len(curves)))
    longest = int(np.argmax(np.hypot(*np.diff(ends, axis=0).T)))
    return float((t[longest] + t[longest + 1]) / 2) % len(curves)


def is_whole(chains: Sequence[Array], run: Piece) -> bool:
    """Say whether a run is the whole of its chain."""
    return run.end - run.start >= len(chains[run.chain])


def runs_of(
    chains: Sequence[Array], pieces: list[Piece], states: NDArray[np.int_]
) -> list[tuple[Piece, int]]:
    """Join pieces of a chain that follow one another in the same state, over a ring's seam too."""
    runs: list[tuple[Piece, int]] = []
    first = 0
    for piece, state in zip(pieces, states.tolist(), strict=True):
        if runs and runs[-1][0].chain == piece.chain:
            last, before = runs[-1]
            if before == state and last.end == piece.start:
                runs[-1] = Piece(piece.chain, last.start, piece.end, last.tail, piece.head), state
                continue
        else:
            _over_seam(chains, runs, first)
            first = len(runs)
        runs.append((piece, state))
    _over_seam(chains, runs, first)
    return runs


def _over_seam(chains: Sequence[Array], runs: list[tuple[Piece, int]], first: int) -> None:
    """Join the last run of a chain with its first where they are one round the seam."""
    if len(runs) - first < 2:
        return
    (head, state), (tail, other) = runs[first], runs[-1]
    around = tail.end == head.start + len(chains[head.chain]) and tail.head == head.tail >= 0
    if state == other and around:
        end = tail.end + head.end - head.start
        runs[first] = Piece(head.chain, tail.start, end, tail.tail, head.head), state
        del runs[-1]


def chain_of(chains: Sequence[Array], run: Piece, side: int) -> Array:
    """Return the cubics of a run, backwards where `side` is negative; of a whole ring from its own start."""
    curves = chains[run.chain]
    count = len(curves)
    if is_whole(chains, run):
        piece = curves
    elif run.end <= count:
        piece = bezier.between(curves, run.start, run.end)
    elif run.start >= count:
        piece = bezier.between(curves, run.start - count, run.end - count)
    else:
        parts = [bezier.between(curves, run.start, count), bezier.between(curves, 0.0, run.end - count)]
        piece = np.concatenate(parts)
    return piece if side > 0 else bezier.reverse(piece)
