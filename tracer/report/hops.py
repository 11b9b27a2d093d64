"""Where the bit can go from one part to another inside grooves that are cut anyway.

The rule: a straight hop from one groove's middle to another's is allowed where the bit, at
the wood's face, never reaches more than SLACK beyond the grooves' edges. Two long grooves side
by side may then be up to a groove's width apart; two that meet end to end much less, since
the waist between their round ends would be cut out. Under the face a sloping bit shaves the
ridge that stands between two such grooves; that ridge has lost its top already.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.nearby import Nearby
from tracer.report.samples import Samples

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

SLACK = 0.1
"""mm that a hop may widen a groove by: less than a hand's wander through any linkage (our own choice)."""

STATIONS = np.linspace(0.025, 0.975, 20)
"""Shares of a hop at which the bit's two sides are looked at; with four, waists between them were missed."""


_AT_ONCE = 20_000
"""Pairs of points that are looked at together, the nearest first."""


@dataclass(frozen=True, eq=False)
class Hop:
    """From place `t` on stroke number `stroke` to `other_t` on `other`; `points` (2, 2) of both, wood mm."""

    stroke: int
    t: float
    other: int
    other_t: float
    points: Array


def find_hops(samples: Samples, numbers: list[int], parts: Ints, radius: float) -> tuple[Hop, ...]:
    """Return the shortest hops that join as many parts as can be joined, none of them needless.

    Parameters
    ----------
    samples : along all strokes, at most half a groove's radius apart.
    numbers : stroke number by the sample's stroke index.
    parts : (k,) connected part of each stroke by index.
    radius : half the groove's width, the same for all, mm.
    """
    if len(np.unique(parts)) < 2:
        return ()
    part = parts[samples.stroke]
    pairs = _near_pairs(samples.points, part, 2 * radius)
    length = np.hypot(*(samples.points[pairs[:, 0]] - samples.points[pairs[:, 1]]).T)
    pairs = pairs[np.lexsort((pairs[:, 1], pairs[:, 0], length))]
    forest, kept = _Forest(parts), list[tuple[int, int]]()
    grooves = Nearby(samples.points, radius + SLACK)
    for some in np.split(pairs, np.arange(_AT_ONCE, len(pairs), _AT_ONCE)):
        # Of parts that are joined by now no pair need be looked at.
        apart = some[forest.apart(part[some])]
        inside = apart[_inside(samples.points, apart, grooves, radius)]
        kept += [(i, j) for i, j in inside.tolist() if forest.join(int(part[i]), int(part[j]))]
    return tuple(_hop(samples, numbers, a, b) for a, b in kept)


def _near_pairs(points: Array, part: Ints, reach: float) -> Ints:
    """Return the pairs (k, 2), lower index first, of points of different parts within `reach`."""
    largest = part == np.bincount(part).argmax()  # most points are its own: they are not paired at all
    inner, outer = np.flatnonzero(largest), np.flatnonzero(~largest)
    one, other, _ = Nearby(points[outer], reach).pairs(points[outer])
    among = outer[np.column_stack([one, other])[one < other]]
    one, other, _ = Nearby(points[inner], reach).pairs(points[outer])
    pairs = np.concatenate([among, np.column_stack([outer[one], inner[other]])])
    return np.sort(pairs[part[pairs[:, 0]] != part[pairs[:, 1]]], axis=1)


def _inside(points: Array, pairs: Ints, grooves: Nearby, radius: float) -> NDArray[np.bool_]:
    """Say which hops keep the bit's sides within SLACK of the grooves."""
    a, b = points[pairs[:, 0]], points[pairs[:, 1]]
    d = b - a
    size = np.hypot(d[:, 0], d[:, 1])
    aside = np.column_stack([-d[:, 1], d[:, 0]]) * (radius / np.where(size > 0, size, 1.0))[:, None]
    middle = a[:, None] + STATIONS[:, None] * d[:, None]
    inside = np.ones(len(pairs), dtype=bool)
    # The waist of most is in the middle: few are left to be looked at all along.
    for some in (slice(len(STATIONS) // 2, len(STATIONS) // 2 + 1), slice(None)):
        left = np.flatnonzero(inside)
        here, off = middle[left, some], aside[left, None]
        sides = np.concatenate([here + off, here - off], axis=1)
        inside[left] = grooves.any(sides.reshape(-1, 2)).reshape(sides.shape[:2]).all(axis=1)
    return inside


class _Forest:
    """Parts joined one by one (Kruskal 1956)."""

    def __init__(self, parts: Ints):
        self._root = np.arange(int(parts.max()) + 1)

    def apart(self, pairs: Ints) -> NDArray[np.bool_]:
        """Say of pairs of parts (k, 2) which are not joined yet."""
        roots = np.array([self._find(part) for part in range(len(self._root))], np.intp)
        different: NDArray[np.bool_] = roots[pairs[:, 0]] != roots[pairs[:, 1]]
        return different

    def join(self, a: int, b: int) -> bool:
        """Join two parts, and say whether they were apart."""
        one, other = self._find(a), self._find(b)
        self._root[one] = other
        return one != other

    def _find(self, part: int) -> int:
        root = self._root
        while root[part] != part:
            root[part] = root[root[part]]
            part = int(root[part])
        return part


def _hop(samples: Samples, numbers: list[int], i: int, j: int) -> Hop:
    return Hop(
        stroke=numbers[samples.stroke[i]],
        t=float(samples.t[i]),
        other=numbers[samples.stroke[j]],
        other_t=float(samples.t[j]),
        points=samples.points[[i, j]],
    )
