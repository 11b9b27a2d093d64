"""Junctions repaired: which arms are one line, and where the others end."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.model.ink import Ink
from tracer.vector.arm import Arm, arm_of
from tracer.vector.centre import sample
from tracer.vector.network import LOOP, Network
from tracer.vector.samples import SPACING, Samples

Array = NDArray[np.float64]
End = tuple[int, int]
"""(branch index, 0 for its start or 1 for its end)."""

TURN = np.radians(40)
"""Arms that turn by less than this into one another are one line."""

ACUTE = np.radians(60)
"""Two arms closer than this with a stub between them are one sharp tip."""


@dataclass(eq=False)
class Links:
    """What happens at each branch end.

    Attributes
    ----------
    cuts : how many samples are taken off there.
    partner : the branch end that goes on from it.
    tails : points (k, 2) that follow the last kept sample; of a partnered end only that
        end's whose tail is the bridge holds them.
    dropped : branches that are part of a junction, not lines.
    """

    cuts: dict[End, int] = field(default_factory=dict)
    partner: dict[End, End] = field(default_factory=dict)
    tails: dict[End, Array] = field(default_factory=dict)
    dropped: set[int] = field(default_factory=set)


def link(ink: Ink, network: Network, samples: Sequence[Samples]) -> Links:
    """Decide at every junction which arms go on into one another and where the others end.

    Two lines that cross leave a false bridge in the skeleton: junctions joined by a
    branch with nothing clean in it are one. Arms are cut back to where the ink has
    the line's own width, extrapolated, and paired by least turning; a stem ends on
    the line that passes it; arms that pair with none meet in a point. Every new
    stretch must lie on ink, else the skeleton's own way is kept.
    """
    links = Links()
    for ends, centre in _clusters(network, samples, links):
        _Junction(ink, samples, links, ends, centre).repair()
    return links


class _Junction:
    """The repair of one junction."""

    def __init__(self, ink: Ink, samples: Sequence[Samples], links: Links, ends: list[End], centre: Array):
        self.ink, self.samples, self.links, self.ends, self.centre = ink, samples, links, ends, centre
        self.arms = {end: self._arm(end) for end in ends}
        self.through: list[Array] = []

    def repair(self) -> None:
        """Pair what is one line, then end the rest on it, at a tip, or at a common point."""
        for end, other in self._pairs():
            self._join(end, other, self._bridge(end, other))
        left = [end for end in self.ends if end not in self.links.partner]
        tip = self._tip(left) if not self.through else None
        if tip:
            self._sharpen(*tip)
        elif self.through:
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

    def _tip(self, ends: list[End]) -> tuple[End, End, End] | None:
        """Return (arm, arm, stub) where two lines meet in an acute tip with a false stem between them."""
        if len(ends) != 3:
            return None
        *arms, stub = sorted(ends, key=lambda end: -len(self.samples[end[0]].points))
        a, b = (self.arms[end].heading() for end in arms)
        far = (stub[0], 1 - stub[1])
        short = len(self.samples[stub[0]].points) < 3 * self.ink.line_width
        if far in self.ends or not short or _angle(a, b) > ACUTE or not self._free(far):
            return None
        return arms[0], arms[1], stub

    def _free(self, end: End) -> bool:
        """Say whether a branch end lies in no junction."""
        return end not in self.links.partner and end not in self.links.tails

    def _sharpen(self, one: End, other: End, stub: End) -> None:
        """Make two arms one line with its corner where the stub's pen ended."""
        reach = self._outward(stub).points
        a, b = self.arms[one], self.arms[other]
        corner = _intersection(a, b)
        tip = reach[-1]
        if corner is None or np.hypot(*(corner - tip)) > 1.5 * self.ink.line_width:
            corner = tip
        way = np.concatenate([_segment(a.at(np.zeros(1))[0], corner), _segment(corner, b.at(np.zeros(1))[0])])
        if not self._on_ink(way):
            way = _segment(reach[0], tip)
            way = np.concatenate([way, way[::-1]])
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
        values = sample(self.ink.darkness, points[:, :1], points[:, 1:])
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
        if branch.a in group and branch.b in group and _is_bridge(samples[k], same=branch.a == branch.b):
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


def _is_bridge(samples: Samples, *, same: bool) -> bool:
    """Say whether a branch between junctions is only the inside of a crossing."""
    size = float(polyline.arc_lengths(samples.points)[-1])
    if same:
        return size < 1.5 * samples.width
    return size < 0.5 * samples.width or (size < 3 * samples.width and samples.clean.mean() < 0.2)


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


def follow(network: Network, samples: Sequence[Samples], links: Links) -> list[tuple[Samples, bool, bool]]:
    """Return the strokes that the links make of the branches.

    Each is (samples, its start is free, its end is free): a free end is one that
    lies in no junction.
    """
    done = set(links.dropped)
    strokes = []
    for k in range(len(samples)):
        if k in done:
            continue
        first, loop = _first_end(k, links)
        chain, end = [], first
        while True:
            done.add(end[0])
            chain.append(end)
            onward = links.partner.get((end[0], 1 - end[1]))
            if onward is None or onward == first:
                break
            end = onward
        strokes.append(_chained(chain, samples, links, closed=loop or network.branches[k].a == LOOP))
    return strokes


def _first_end(k: int, links: Links) -> tuple[End, bool]:
    """Go back from a branch to the end where its line begins; True where it comes round."""
    end = (k, 0)
    while (before := links.partner.get(end)) is not None:
        end = (before[0], 1 - before[1])
        if end == (k, 0):
            return end, True
    return end, False


def _chained(
    chain: list[End], samples: Sequence[Samples], links: Links, *, closed: bool
) -> tuple[Samples, bool, bool]:
    """Put branches, bridges and tails one after the other."""
    pieces: list[Samples] = []
    for position, (k, side) in enumerate(chain):
        begin, finish = (k, side), (k, 1 - side)
        body = samples[k] if side == 0 else samples[k].reversed()
        if links.cuts.get(begin, 0) or links.cuts.get(finish, 0):
            body = body.part(links.cuts.get(begin, 0), len(body.points) - links.cuts.get(finish, 0))
        if position == 0 and not closed and begin in links.tails:
            pieces.append(_bare(links.tails[begin][::-1], body))
        pieces.append(body)
        onward = links.partner.get(finish)
        if finish in links.tails:
            pieces.append(_bare(links.tails[finish], body))
        elif onward is not None and onward in links.tails:
            pieces.append(_bare(links.tails[onward][::-1], body))
    points = np.concatenate([p.points for p in pieces])
    widths, clean = (np.concatenate([getattr(p, name) for p in pieces]) for name in ("widths", "clean"))
    if closed and np.hypot(*(points[0] - points[-1])) > 0:
        points, widths, clean = (np.concatenate([x, x[:1]]) for x in (points, widths, clean))
    start, end = chain[0], (chain[-1][0], 1 - chain[-1][1])
    return Samples(points, widths, clean, closed), start not in links.tails, end not in links.tails


def _bare(points: Array, body: Samples) -> Samples:
    """Return points that were not measured, with their line's width."""
    return Samples(points, np.full(len(points), body.width), np.zeros(len(points), bool), closed=False)
