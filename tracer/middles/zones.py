"""Which stems meet where: corners, junctions and ends of the skeleton between its stems."""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.middles.glyph_ink import GlyphInk
from tracer.middles.pieces import Piece, end_of, pieces_of
from tracer.middles.stems import SPACING, Followed, followed
from tracer.vector.network import LOOP, Branch

Array = NDArray[np.float64]

STUB = 1.2
"""Widths that a stretch without a stem is long at the most to lead nowhere; twice that between junctions."""

DOT = 0.75
"""Ink whose skeleton is shorter than this part of its width is a dot."""

Arm = tuple[int, int]
"""A stem by index, and its end, 0 or 1."""


@dataclass(eq=False)
class Stem:
    """A stem's pieces, half its width, and at either end its point, way out and the raw skeleton there."""

    pieces: list[Piece]
    half: float
    ring: bool
    points: list[Array] = field(default_factory=list)
    ways: list[Array] = field(default_factory=list)
    raw: list[Array] = field(default_factory=list)


@dataclass(frozen=True, eq=False)
class Zone:
    """Ends of stems that meet.

    Attributes
    ----------
    arms : the ends; one alone is a stroke's end.
    middle : (2,) and `half` the width there.
    tips : (2,) each, of stubs that reach out of the meeting and hold no stem.
    """

    arms: list[Arm]
    middle: Array
    half: float
    tips: list[Array] = field(default_factory=list)


@dataclass(eq=False)
class Found:
    """Stems, the zones in which their ends lie, and dots (2,)."""

    stems: list[Stem] = field(default_factory=list)
    zones: list[Zone] = field(default_factory=list)
    dots: list[Array] = field(default_factory=list)


def zones_of(ink: GlyphInk) -> Found:
    """Return what a drawn glyph is made of."""
    network = ink.network
    degree = {node: len(arms) for node, arms in network.arms().items()}
    found, ends = Found(), {node: list[Arm]() for node in network.nodes}
    tips: dict[int, list[Array]] = {node: [] for node in network.nodes}
    same = {node: node for node in network.nodes}
    for branch in network.branches:
        line = followed(branch.points, ink, ring=branch.a == LOOP)
        degrees = [degree.get(node, 2) for node in (branch.a, branch.b)]
        if degrees == [1, 1] and len(branch.points) < DOT * 2 * float(line.half.max(initial=0)):
            found.dots.append(ink.outline.middle_of(line.points.mean(axis=0)))
            degree[branch.a] = degree[branch.b] = -1
            continue
        runs = line.stems or _bare(line, degrees)
        if runs:
            _add(found, ends, branch, replace(line, stems=runs), cap=ink.cap)
        elif 1 in degrees:
            junction, tip = (branch.b, branch.a) if degrees[0] == 1 else (branch.a, branch.b)
            tips[junction].append(network.nodes[tip])
        elif branch.a != LOOP:
            same[_root(same, branch.a)] = _root(same, branch.b)
    found.dots += [ink.outline.middle_of(network.nodes[node]) for node, count in degree.items() if count == 0]
    groups: dict[int, list[int]] = {}
    for node in network.nodes:
        groups.setdefault(_root(same, node), []).append(node)
    for nodes in groups.values():
        arms = [arm for node in nodes for arm in ends[node]]
        places = np.array([network.nodes[node] for node in nodes])
        if arms:
            half = float(ink.outline.depth(places).max())
            found.zones.append(
                Zone(arms, places.mean(axis=0), half, [t for node in nodes for t in tips[node]])
            )
    return found


def _add(found: Found, ends: dict[int, list[Arm]], branch: Branch, line: Followed, *, cap: float) -> None:
    """Add the stems of a branch, and the zones between them."""
    first = len(found.stems)
    found.stems += [_stem(line, k, line.stems, cap) for k in range(len(line.stems))]
    last = len(found.stems) - 1
    found.zones += [_between(found.stems, (k, 1), (k + 1, 0)) for k in range(first, last)]
    if branch.a != LOOP:
        ends[branch.a].append((first, 0))
        ends[branch.b].append((last, 1))
    elif not found.stems[first].ring:
        found.zones.append(_between(found.stems, (last, 1), (first, 0)))


def _bare(line: Followed, degrees: list[int]) -> list[tuple[int, int]]:
    """Return the whole of a branch without stems where it is too long for a stub or a bridge."""
    free = degrees.count(1)
    length = float(polyline.arc_lengths(line.points)[-1])
    if line.ring or free == 2 or length > STUB * 2 * float(line.half.max()) * (1 if free else 2):
        return [(0, len(line.points) - 1)]
    return []


def _stem(line: Followed, k: int, runs: list[tuple[int, int]], cap: float) -> Stem:
    """Return one stem of a branch; the raw skeleton between two stems is the earlier one's."""
    a, b = runs[k]
    points, half, count = line.points[a : b + 1], float(np.median(line.half[a : b + 1])), len(line.points)
    if line.ring and len(points) == count:
        return Stem([Piece(np.concatenate([points, points[:1]]), straight=False)], half, ring=True)
    stem = Stem(pieces_of(points, cap), half, ring=False)
    before = line.points[:a][::-1] if not k and not line.ring else line.points[:0]
    if k < len(runs) - 1:
        after = line.points[b + 1 : runs[k + 1][0]]
    else:
        after = np.concatenate([line.points[b + 1 :], line.points[: runs[0][0] if line.ring else 0]])
    for end, raw in ((0, before), (1, after)):
        point, way = end_of(stem.pieces, end, max(2, round(0.8 * half / SPACING)))
        stem.points.append(point)
        stem.ways.append(way)
        stem.raw.append(raw)
    return stem


def _between(stems: list[Stem], one: Arm, other: Arm) -> Zone:
    """Return the zone between two stems that follow one another on a branch."""
    points = np.array([stems[k].points[end] for k, end in (one, other)])
    return Zone([one, other], points.mean(axis=0), min(stems[one[0]].half, stems[other[0]].half))


def _root(same: dict[int, int], node: int) -> int:
    """Return the node that stands for all that were made one with it."""
    while same[node] != node:
        node = same[node]
    return node
