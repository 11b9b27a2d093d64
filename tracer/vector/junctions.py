"""Junctions repaired: which arms are one line, and where the others end."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.model.ink import Ink
from tracer.vector.arm import Arm, arm_of
from tracer.vector.centre import sample
from tracer.vector.links import End, Links
from tracer.vector.network import Network
from tracer.vector.samples import SPACING, Samples

Array = NDArray[np.float64]
TURN = np.radians(40)
"""Arms that turn by less than this into one another are one line."""

ACUTE = np.radians(80)
"""Two arms closer than this with a stub between them are one sharp tip."""


def link(ink: Ink, network: Network, samples: Sequence[Samples]) -> Links:
    """Decide at every junction which arms go on into one another and where the others end.

    Two lines that cross leave a false bridge in the skeleton: junctions joined by a
    branch with nothing clean in it are one. Arms are cut back to where the ink has
    the line's own width, extrapolated, and paired by least turning; a stem ends on
    the line that passes it; arms that pair with none meet in a point. Every new
    stretch must lie on ink, else the skeleton's own way is kept.
    """
    links = Links()
    degree = {node: len(arms) for node, arms in network.arms().items()}
    page = _Page(ink, network, samples, links, degree)
    for ends, centre in _clusters(network, samples, links):
        _Junction(page, ends, centre).repair()
    return links


@dataclass(frozen=True, eq=False)
class _Page:
    """What all junctions share; `degree` is how many branches leave each node."""

    ink: Ink
    network: Network
    samples: Sequence[Samples]
    links: Links
    degree: dict[int, int]


class _Junction:
    """The repair of one junction."""

    def __init__(self, page: "_Page", ends: list[End], centre: Array):
        self.ink, self.samples, self.links = page.ink, page.samples, page.links
        self.page, self.ends, self.centre = page, ends, centre
        self.arms = {end: self._arm(end) for end in ends}
        self.through: list[Array] = []

    def repair(self) -> None:
        """Pair what is one line, then end the rest on it, at a tip, or at a common point."""
        if tip := self._tip():
            self._sharpen(*tip)
            return
        for end, other in self._pairs():
            self._join(end, other, self._bridge(end, other))
        left = [end for end in self.ends if end not in self.links.partner]
        if self.through:
            for end in left:
                self._end_on_line(end)
        else:
            self._meet(left)

    def _outward(self, end: End) -> Samples:
        """Return the samples of a branch away from the junction."""
        samples = self.samples[end[0]]
        return samples if end[1] == 0 else samples.reversed()

    def _arm(self, end: End) -> Arm:
        """Cut an arm back out of the junction, by half its length at the most."""
        outward = self._outward(end)
        return arm_of(outward, clear=0.4 * self.ink.line_width, most=int(0.45 * len(outward.points)))

    def _pairs(self) -> list[tuple[End, End]]:
        """Pair arms from the least turning on, each once."""
        candidates = []
        for i, end in enumerate(self.ends):
            for other in self.ends[i + 1 :]:
                turn = self._turn(end, other)
                if turn < TURN:
                    candidates.append((turn, end, other))
        pairs, taken = [], set[End]()
        for _, end, other in sorted(candidates):
            if not {end, other} & taken:
                taken |= {end, other}
                pairs.append((end, other))
        return pairs

    def _turn(self, end: End, other: End) -> float:
        """Return the angle by which the way along one arm in and the other out turns, their gap included."""
        a, b = self.arms[end], self.arms[other]
        gap = b.coefficients[0] - a.coefficients[0]
        size = float(np.hypot(*gap))
        if size < 0.25 * (a.width + b.width):
            return _angle(-a.heading(), b.heading())
        leave, across, arrive = -a.heading(), gap / size, b.heading()
        return max(_angle(leave, arrive), _angle(leave, across), _angle(across, arrive))

    def _bridge(self, end: End, other: End) -> Array:
        """Return the points between two cut arms: the cubic with their directions at its ends."""
        a, b = self.arms[end], self.arms[other]
        p, q = a.at(np.zeros(1))[0], b.at(np.zeros(1))[0]
        size = float(np.hypot(*(q - p)))
        u = np.linspace(0, 1, max(2, round(size / SPACING)) + 1)[1:-1, None]
        leave, arrive = -a.heading() * size, b.heading() * size
        v = 1 - u
        bridge: Array = v * v * ((1 + 2 * u) * p + u * leave) + u * u * ((3 - 2 * u) * q - v * arrive)
        return bridge

    def _join(self, end: End, other: End, bridge: Array) -> None:
        """Make two branch ends one line over a bridge, or over the skeleton where that leaves the ink."""
        if not self._on_ink(bridge):
            bridge = self.centre[None]
            self._cut(end, 0)
            self._cut(other, 0)
        else:
            self._cut(end, self.arms[end].cut)
            self._cut(other, self.arms[other].cut)
        self.links.partner[end], self.links.partner[other] = other, end
        self.links.tails[end] = bridge
        near = int(3 * self.ink.line_width)
        self.through.append(
            np.concatenate(
                [
                    self._kept(end)[near::-1],
                    bridge,
                    self._kept(other)[:near],
                ]
            )
        )

    def _end_on_line(self, end: End) -> None:
        """Lead an arm straight on to the nearest passing line."""
        arm = self.arms[end]
        ahead = arm.at(-np.arange(0.0, 3 * self.ink.line_width, 0.5))
        best = min((_closest(ahead, line) for line in self.through), key=lambda found: found[0])
        way = np.concatenate([_steps(ahead[: best[1] + 1]), best[2][None]])
        if best[0] < 0.5 * self.ink.line_width and self._on_ink(way):
            self._finish(end, way, cut=arm.cut)
        else:
            first = self._outward(end).points[:1]
            best = min((_closest(first, line) for line in self.through), key=lambda found: found[0])
            self._finish(end, best[2][None], cut=0)

    def _tip(self) -> tuple[End, End, End, Array] | None:
        """Return (arm, arm, stub, corner) where two lines meet in an acute tip with a false stem in it.

        The middles of two lines meet at the far end of the false stem; those of a true
        fork meet at its near end. Lines too short to tell are taken for a tip where the
        stem lies along their bisector and is no longer than the geometry of a tip makes
        it, w / (2 sin(angle / 2)).
        """
        if len(self.ends) != 3:
            return None
        one, other, stub = sorted(self.ends, key=lambda end: -len(self.samples[end[0]].points))
        a, b = self.arms[one], self.arms[other]
        angle = _angle(a.heading(), b.heading())
        if not self._free(stub) or angle > ACUTE:
            return None
        corner, stem = _intersection(a, b), self._outward(stub).points
        if corner is not None:
            near, far = (float(np.hypot(*(corner - stem[k]))) for k in (0, -1))
            if far < min(near, self.ink.line_width):
                return one, other, stub, corner
        along, size = stem[-1] - self.centre, float(np.hypot(*(stem[-1] - self.centre)))
        bisector = a.heading() + b.heading()
        longest = self.ink.line_width / (2 * np.sin(max(angle, 0.3) / 2))
        aligned = -(along @ bisector) > 0.9 * size * np.hypot(*bisector)
        return (one, other, stub, stem[-1]) if aligned and size < longest else None

    def _free(self, stub: End) -> bool:
        """Say whether the other end of a branch lies in no junction."""
        branch = self.page.network.branches[stub[0]]
        return self.page.degree[branch.b if stub[1] == 0 else branch.a] == 1

    def _sharpen(self, one: End, other: End, stub: End, corner: Array) -> None:
        """Make two arms one line with its corner where their middles meet."""
        a, b = self.arms[one], self.arms[other]
        way = np.concatenate([_segment(a.at(np.zeros(1))[0], corner), _segment(corner, b.at(np.zeros(1))[0])])
        if not self._on_ink(way):
            reach = self._outward(stub).points
            way = np.concatenate([reach, reach[::-1]])
        self.links.dropped.add(stub[0])
        self._cut(one, a.cut)
        self._cut(other, b.cut)
        self.links.partner[one], self.links.partner[other] = other, one
        self.links.tails[one] = way

    def _meet(self, ends: list[End]) -> None:
        """End arms in the point nearest to all their lines."""
        point = _meeting_point([self.arms[end] for end in ends])
        if point is None or np.hypot(*(point - self.centre)) > self.ink.line_width:
            point = self.centre
        for end in ends:
            arm = self.arms[end]
            way = _segment(arm.at(np.zeros(1))[0], point)
            cut = arm.cut if self._on_ink(way) else 0
            self._finish(end, way if cut else point[None], cut=cut)

    def _finish(self, end: End, way: Array, *, cut: int) -> None:
        """End a branch after `cut` samples are taken off with the points of `way`."""
        self._cut(end, cut)
        self.links.tails[end] = way

    def _cut(self, end: End, count: int) -> None:
        self.links.cuts[end] = count

    def _kept(self, end: End) -> Array:
        """Return an arm's points that are left after its cut, away from the junction."""
        return self._outward(end).points[self.links.cuts[end] :]

    def _on_ink(self, points: Array) -> bool:
        """Say whether all points lie on ink, by a tenth of full darkness to spare for the sampling."""
        if not len(points):
            return True
        values = sample(self.ink, points[:, :1], points[:, 1:])
        return bool((values > self.ink.level - 0.1).all())


def _clusters(
    network: Network, samples: Sequence[Samples], links: Links
) -> list[tuple[list[End], Array]]:
    """Return each junction's branch ends and middle; bridges inside one are dropped."""
    arms = network.arms()
    group = {node: node for node, ends in arms.items() if len(ends) > 2}

    def root(node: int) -> int:
        while group[node] != node:
            node = group[node]
        return node

    for k, branch in enumerate(network.branches):
        if branch.a not in group or branch.b not in group:
            continue
        around = [samples[j].width for node in (branch.a, branch.b) for j, _ in arms[node] if j != k]
        if _is_bridge(samples[k], float(np.median(around or [samples[k].width])), same=branch.a == branch.b):
            group[root(branch.a)] = root(branch.b)
            links.dropped.add(k)
    gathered: dict[int, list[int]] = {}
    for node in group:
        gathered.setdefault(root(node), []).append(node)
    clusters = []
    for members in gathered.values():
        ends = [end for node in members for end in arms[node] if end[0] not in links.dropped]
        clusters.append((ends, np.mean([network.nodes[node] for node in members], axis=0)))
    return clusters


def _is_bridge(samples: Samples, width: float, *, same: bool) -> bool:
    """Say whether a branch between junctions is only the inside of a crossing of lines of `width`.

    There the ink of both lines is one: it is wider than either, or no width is found at all.
    """
    size = float(polyline.arc_lengths(samples.points)[-1])
    if same:
        return size < 1.5 * width
    unlike = samples.clean.mean() < 0.2 or samples.width > 1.2 * width
    return size < 0.5 * width or (size < 3 * width and bool(unlike))


def _angle(a: Array, b: Array) -> float:
    """Return the angle between two unit vectors."""
    return float(np.arccos(np.clip(a @ b, -1, 1)))


def _closest(points: Array, line: Array) -> tuple[float, int, Array]:
    """Return distance, index and the line's point where `points` (m, 2) come nearest to `line` (k, 2)."""
    distance = np.hypot(*(points[:, None] - line[None]).transpose(2, 0, 1))
    i, j = np.unravel_index(distance.argmin(), distance.shape)
    return float(distance[i, j]), int(i), line[j]


def _segment(p: Array, q: Array) -> Array:
    """Return points from p to q, both included."""
    return np.linspace(p, q, max(1, round(float(np.hypot(*(q - p))) / SPACING)) + 1)


def _steps(points: Array) -> Array:
    """Return every second of half-spaced points, the first left out: it is the last sample kept."""
    return points[2::2]


def _intersection(a: Arm, b: Arm) -> Array | None:
    """Return where two arms' lines cross, None where they are all but parallel."""
    u, v = a.heading(), b.heading()
    cross = u[0] * v[1] - u[1] * v[0]
    if abs(cross) < 0.05:
        return None
    gap = b.coefficients[0] - a.coefficients[0]
    point: Array = a.coefficients[0] + u * (gap[0] * v[1] - gap[1] * v[0]) / cross
    return point


def _meeting_point(arms: Sequence[Arm]) -> Array | None:
    """Return the point with the least squared distances to the arms' lines."""
    normals = np.array([[-h[1], h[0]] for h in (arm.heading() for arm in arms)])
    offsets = np.array([n @ arm.coefficients[0] for n, arm in zip(normals, arms, strict=True)])
    if np.linalg.cond(normals) > 20:
        return None
    point: Array = np.linalg.lstsq(normals, offsets, rcond=None)[0]
    return point
