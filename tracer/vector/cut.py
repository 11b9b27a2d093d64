"""Pieces of a section cut: arcs into quarters, what does not hold into parts with more freedom."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import ARC, CUBIC, SPARE, Pieces, Sections
from tracer.vector.cubics import rounded
from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]


def quartered(found: Sequence[tuple[Pieces, Array]], sums: RunningSums) -> list[tuple[Pieces, Array]]:
    """Return sections' pieces, and their numbers, with arcs of more than a quarter circle in equal parts."""
    pieces, numbers = Pieces.together([own for own, _ in found]), np.concatenate([own for _, own in found])
    turn = sums.offs(pieces.first, pieces.last, 0.0)[2]
    count = np.where(pieces.kind == ARC, np.maximum(1, np.ceil((turn - SPARE) / (np.pi / 2))), 1).astype(int)
    long = np.flatnonzero(count > 1)
    each = [_equal(pieces, k, count[k], sums.along) for k in long.tolist()]
    cuts = np.concatenate([np.zeros(0, int), *each])
    arc = np.repeat(long, count[long] - 1)
    whole = sums.primitives(pieces.first[arc], pieces.last[arc], 0.0)
    place, way = whole.feet(sums.points[cuts], np.zeros(len(cuts), bool))
    source = np.repeat(np.arange(len(count)), count)
    goes_on = np.flatnonzero(source[1:] == source[:-1])
    parts = pieces.only(source)
    parts.first[goes_on + 1] = parts.last[goes_on] = cuts
    start, end = ((numbers[source, at : at + 2], _unit(numbers[source, at + 2])) for at in (0, 5))
    start[0][goes_on + 1], start[1][goes_on + 1] = end[0][goes_on], end[1][goes_on] = place, way
    fresh = count[source] > 1
    numbers = np.where(fresh[:, None], rounded(start, end), numbers[source])
    sizes = np.add.reduceat(count, np.cumsum([0, *(len(own) for _, own in found[:-1])]))
    own_parts = np.split(np.arange(len(source)), np.cumsum(sizes)[:-1])
    return [(parts.only(own), numbers[own]) for own in own_parts]


def _equal(pieces: Pieces, k: int, count: np.intp, along: Array) -> Index:
    """Return the samples that cut the k-th piece into so many parts of about the same length."""
    a, b = pieces.first[k], pieces.last[k]
    wanted = np.linspace(along[a], along[b], count + 1)[1:-1]
    cuts: Index = np.clip(a + np.searchsorted(along[a : b + 1], wanted), a + 1, b - 1)
    return cuts


def eased(
    pieces: Pieces, numbers: Array, bad: Flags, at: Index, *, sums: RunningSums, sections: Sections
) -> tuple[Pieces, Array]:
    """Return a section's pieces with more freedom in the bad ones.

    A long line or arc keeps its form but for a stretch about the worst sample; a short one becomes a cubic.
    """
    kinds = pieces.kind
    pieces = replace(pieces, kind=kinds.copy())
    for k in np.flatnonzero(bad & (kinds != CUBIC))[::-1]:
        a, b, worst, reach = pieces.first[k], pieces.last[k], at[k], sections.reach[at[k]]
        pieces.kind[k] = CUBIC
        cuts = np.array([c for c in (worst - reach, worst + reach) if a + reach < c < b - reach], int)
        if not len(cuts):
            continue
        local = sums.primitives(np.maximum(cuts - reach, a), np.minimum(cuts + reach, b), 0.0)
        joint = local.feet(sums.points[cuts], ~np.isfinite(local.off_arc))
        pieces, numbers = _cut(pieces, numbers, k, cuts, joint)
        parts = np.arange(k, k + len(cuts) + 1)
        keeps = (pieces.last[parts] < worst) | (pieces.first[parts] > worst)
        pieces.kind[parts[keeps]] = kinds[k]
    return pieces, numbers


def halved(pieces: Pieces, numbers: Array, wrong: Flags, points: Array) -> tuple[Pieces, Array, Index]:
    """Return a section's pieces with the wrong ones in two, joined at a sample, and which those parts are.

    What has no sample between its ends is drawn to the samples there.
    """
    numbers = numbers.copy()
    for k in np.flatnonzero(wrong & (pieces.last - pieces.first <= 1)):
        numbers[k, :2], numbers[k, 5:7] = points[pieces.first[k]], points[pieces.last[k]]
        numbers[max(k - 1, 0) : k, 5:7] = numbers[k, :2]
        numbers[k + 1 : k + 2, :2] = numbers[k, 5:7]
    which = np.flatnonzero(wrong & (pieces.last - pieces.first > 1))
    for k in which[::-1]:
        middle = np.array([(pieces.first[k] + pieces.last[k]) // 2])
        way = points[middle + 1] - points[middle - 1]
        way /= np.maximum(np.hypot(*way.T), 1e-12)[:, None]
        pieces, numbers = _cut(pieces, numbers, k, middle, (points[middle], way))
    begin = which + np.arange(len(which))
    return pieces, numbers, np.sort(np.append(begin, begin + 1))


def _cut(
    pieces: Pieces, numbers: Array, k: int, cuts: Index, joint: tuple[Array, Array]
) -> tuple[Pieces, Array]:
    """Return the pieces with the k-th cut at samples `cuts`, arcs between the places and directions there."""
    new = Pieces(
        np.insert(pieces.first, k + 1, cuts),
        np.insert(pieces.last, k, cuts),
        np.insert(pieces.kind, k, np.full(len(cuts), pieces.kind[k])),
    )
    start, end = numbers[k, :3], numbers[k, 5:]
    place = np.concatenate([start[None, :2], joint[0], end[None, :2]])
    way = np.concatenate([_unit(start[2:]), joint[1], _unit(end[2:])])
    parts = rounded((place[:-1], way[:-1]), (place[1:], way[1:]))
    return new, np.concatenate([numbers[:k], parts, numbers[k + 1 :]])


def _unit(angles: Array) -> Array:
    """Return unit vectors (m, 2)."""
    return np.column_stack([np.cos(angles), np.sin(angles)])
