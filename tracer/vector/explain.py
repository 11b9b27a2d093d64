"""Repairs checked against the ink: lines lie on it, and all of it stays explained."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.centre import on_ink
from tracer.vector.links import End, Links
from tracer.vector.network import Network
from tracer.vector.prune import depth_at
from tracer.vector.samples import Samples, evenly, median

Array = NDArray[np.float64]
Mask = NDArray[np.uint8]

UNEXPLAINED = 0.12
"""Squared line widths of ink that no line covers, from which on it must be explained."""


_SHIFT = 4
"""Binary digits behind the point of the places that are drawn."""


SHALLOW = 0.4
"""Part of half a line's width that the ink must be deep along its middle."""

LOST = 0.2
"""Squared line widths of ink left bare from which on a repair is undone: a clean end may leave a sliver."""


PASSED = 0.35
"""Line widths from what another line's repair covers within which a dropped branch is that line."""


class Explanation:
    """What the lines cover of the ink."""

    def __init__(self, ink: Ink, network: Network, samples: Sequence[Samples], links: Links):
        self.ink, self.network, self.samples, self.links = ink, network, samples, links
        self.degree = {node: len(ends) for node, ends in network.arms().items()}
        self.bare = ink.line.astype(np.uint8)

    def check(self) -> None:
        """Undo repairs that leave the ink or leave some bare; then see which doubtful branches are lines."""
        doubtful = [k for k in range(len(self.samples)) if self._is_doubtful(k)]
        for k in sorted(set(range(len(self.samples))) - set(doubtful) - self.links.dropped):
            self._cover(k)
        for course in self.links.more:
            self._paint(course.points, median(np.array([line.width for line in self.samples])))
        for end in sorted(self.off_ink() | self._uncovering()):
            self._undo(end)
        for k in sorted(doubtful, key=lambda k: -len(self.samples[k].points)):
            if self._gain(self.samples[k].points, self.samples[k].width) < self._worth(k):
                self.links.dropped.add(k)
            else:
                self.links.free |= {
                    (k, side) for side, node in enumerate(self._nodes(k)) if self.degree[node] <= 2
                }
                self._cover(k)
        self._rejoin(sorted(self.links.dropped & set(doubtful), key=lambda k: len(self.samples[k].points)))

    def _rejoin(self, dropped: Sequence[int]) -> None:
        """Keep dropped branches between nodes that lines come to, where nothing else joins these nodes.

        The ink of what meets at both covers such a branch, and yet the line is broken there.
        """
        links = self.links
        lines = set(range(len(self.samples))) - links.dropped
        ends = {(k, side): node for k in lines for side, node in enumerate(self._nodes(k))}
        reached = {node for node in ends.values() if self.degree.get(node, 0) > 1}
        parent = {node: node for node in self.network.nodes}

        def root(node: int) -> int:
            while parent[node] != node:
                node = parent[node]
            return node

        for one, other in links.partner.items():
            parent[root(self._nodes(one[0])[one[1]])] = root(self._nodes(other[0])[other[1]])
        tails = np.concatenate([np.full((1, 2), np.inf), *links.tails.values()])
        for k in dropped:
            a, b = self._nodes(k)
            if not {a, b} <= reached or root(a) == root(b):
                continue
            middle = self.samples[k].points[len(self.samples[k].points) // 2]
            if np.hypot(*(tails - middle).T).min() < PASSED * self.samples[k].width:
                continue
            loose = [[end for end in ends if ends[end] == node and self._is_open(end)] for node in (a, b)]
            if not any(loose):
                continue
            parent[root(a)] = root(b)
            links.dropped.discard(k)
            for side, others in enumerate(loose):
                self._lead_into((k, side), others)

    def _is_open(self, end: End) -> bool:
        """Say whether a line's end runs to its node along the skeleton, joined to nothing."""
        links = self.links
        return not (links.cuts.get(end, 0) or end in links.partner or end in links.tails)

    def _lead_into(self, end: End, others: Sequence[End]) -> None:
        """Join an end to the one of some others at its node that goes on most smoothly."""
        if others:
            best = max(others, key=lambda other: -float(self._outward(end) @ self._outward(other)))
            self.links.partner[end], self.links.partner[best] = best, end

    def _outward(self, end: End) -> Array:
        """Return the direction (2,) in which a branch leaves its node."""
        points = self.samples[end[0]].points
        points = points if end[1] == 0 else points[::-1]
        way = points[min(len(points) - 1, round(self.samples[end[0]].width))] - points[0]
        unit: Array = way / max(float(np.hypot(*way)), 1e-9)
        return unit

    def _nodes(self, k: int) -> tuple[int, int]:
        """Return the nodes at the two ends of a branch."""
        return self.network.branches[k].a, self.network.branches[k].b

    def _worth(self, k: int) -> float:
        """Return the ink pixels that a branch must cover for itself."""
        return UNEXPLAINED * self.samples[k].width ** 2

    def _is_doubtful(self, k: int) -> bool:
        """Say whether a branch is clean nowhere, and not alone."""
        at_junction = any(self.degree.get(node, 0) > 2 for node in self._nodes(k))
        return at_junction and (k, 0) not in self.links.cuts

    def _course(self, k: int) -> Array:
        """Return a branch with its tails."""
        start, end = (k, 0), (k, 1)
        cuts, nothing = self.links.cuts, np.zeros((0, 2))
        points = self.samples[k].points
        return np.concatenate(
            [
                self.links.tails.get(start, nothing)[::-1],
                points[cuts.get(start, 0) : len(points) - cuts.get(end, 0)],
                self.links.tails.get(end, nothing),
            ]
        )

    def _cover(self, k: int) -> None:
        """Take the ink of a branch and its tails off what is bare, a pixel wider than it is."""
        self._paint(self._course(k), self.samples[k].width)

    def _paint(self, way: Array, width: float) -> None:
        """Take the ink of a line of some width off what is bare, a pixel wider than it is."""
        thick = max(1, round(width + 1))
        cv2.polylines(self.bare, [_fixed(way)], isClosed=False, color=0, thickness=thick, shift=_SHIFT)

    def _gain(self, points: Array, width: float) -> int:
        """Return how many pixels of bare ink a line along `points` would cover."""
        if not len(points):
            return 0
        margin = width + 2
        x0, y0 = np.maximum(np.floor(points.min(axis=0) - margin).astype(int), 0)
        x1, y1 = np.ceil(points.max(axis=0) + margin).astype(int)
        window = self.bare[y0:y1, x0:x1]
        if not window.any():
            return 0
        own = np.zeros(window.shape, np.uint8)
        thick = max(1, round(width + 1))
        way = [_fixed(points - (x0, y0))]
        cv2.polylines(own, way, isClosed=False, color=1, thickness=thick, shift=_SHIFT)
        return int(np.count_nonzero(own & window))

    def off_ink(self) -> set[End]:
        """Return the arms whose new points leave the ink, or run along its edge."""
        tails = {
            (k, side): self._leap((k, side), tail)
            for (k, side), tail in self.links.tails.items()
            if len(tail) and self.degree[self._nodes(k)[side]] > 1
        }
        if not tails:
            return set()
        points = np.concatenate(list(tails.values()))
        sizes = np.array([len(tail) for tail in tails.values()])
        half = np.repeat([self.samples[k].width / 2 for k, _ in tails], sizes)
        inside = on_ink(self.ink, points) & (depth_at(self.ink.radius, points) > SHALLOW * half)
        dark = np.logical_and.reduceat(inside, np.cumsum(sizes) - sizes)
        return {end for end, lies in zip(tails, dark, strict=True) if not lies}

    def _leap(self, end: End, tail: Array) -> Array:
        """Return a tail with points on the straight ways to its own arm and to the one it is joined to."""
        other = self.links.partner.get(end)
        way = [self._last(end)[None], tail, *([] if other is None else [self._last(other)[None]])]
        return evenly(np.concatenate(way))[1:-1] if other is not None else evenly(np.concatenate(way))[1:]

    def _last(self, end: End) -> Array:
        """Return the last point (2,) of an arm that is kept."""
        points, cut = self.samples[end[0]].points, self.links.cuts.get(end, 0)
        last: Array = (
            points[min(cut, len(points) - 1)] if end[1] == 0 else points[max(-1 - cut, -len(points))]
        )
        return last

    def _uncovering(self) -> set[End]:
        """Return the arms whose cut-off samples cover ink that no line covers now."""
        found = set()
        for end, cut in self.links.cuts.items():
            samples = self.samples[end[0]]
            removed = samples.points[:cut] if end[1] == 0 else samples.points[len(samples.points) - cut :]
            if self._gain(removed, samples.width) >= LOST * samples.width**2:
                found.add(end)
        return found

    def _undo(self, end: End) -> None:
        """Let an arm, and the one it was joined to, run along the skeleton to its junction again."""
        other = self.links.partner.get(end)
        ends = [end] if other is None else [end, other]
        nodes = [self._nodes(k)[side] for k, side in ends]
        for each in ends:
            self.links.free.discard(each)
            self.links.cuts[each] = 0
            self.links.tails.pop(each, None)
        if other is not None and nodes[0] == nodes[1]:
            self.links.tails[end] = self.network.nodes[nodes[0]][None]
        else:
            for each, node in zip(ends, nodes, strict=True):
                self.links.partner.pop(each, None)
                if self.degree[node] <= 2:
                    self.links.free.add(each)
        for k in {k for k, _ in ends}:
            self._cover(k)


def _fixed(points: Array) -> NDArray[np.int32]:
    """Return points as the drawing calls take them, in sixteenths, pixel centres at whole numbers."""
    fixed: NDArray[np.int32] = np.round((points - 0.5) * 2**_SHIFT).astype(np.int32)
    return fixed
