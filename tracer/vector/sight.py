"""Junctions whose repair does not explain every edge in sight are put together from those edges instead."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arms import Arms, arms_of
from tracer.vector.blind import joined
from tracer.vector.cover import bare
from tracer.vector.doubts import free_ends, leads_on, on_others
from tracer.vector.inset import inset_runs
from tracer.vector.links import Course, End, Links
from tracer.vector.nearby import nearby
from tracer.vector.network import LOOP, Network
from tracer.vector.samples import SPACING, Samples, median
from tracer.vector.stretches import FREE, ON_LINE, Path, paths_of
from tracer.vector.visible import ALONE, CORNER, Piece, bodies_of, is_ring, pieces_of

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Index = NDArray[np.intp]

STEADY = 0.85
"""Part of all clean samples that have the pen's width where one pen has drawn all."""

LIKE = 0.06, 0.35
"""A sample is of the pen's width to within this part of it and so many ink pixels."""

EVEN = 0.012, 0.05
"""Half of all samples are of the pen's width to within this part of it and so many ink pixels: else the
edges are ragged, and tell nothing by themselves."""

THINNEST = 5.0
"""Art pixels below which the edges of a pen's lines waver too much to tell by one of them."""

SHORTEST = 1.2
"""Widths that a branch between junctions must be clean to be more than what its edges tell."""

CAP = 1.6
"""Widths from a free end within which a line must be clean; the inside of a tip is not."""

EXPLAINED = 0.08
"""Widths, and 0.3 ink pixels more, within which a line explains an edge."""

RING, RING_STEP = 64, 4
"""Of a ring about so many points are looked at, and no nearer to one another than these."""

BARE = 0.3
"""Widths of an edge that no line explains from which on its junction is put together anew."""


def pen_of(samples: Sequence[Samples]) -> float:
    """Return the width in ink pixels of the pen that has drawn all lines, 0 where it is not one and even."""
    widths = np.concatenate([np.zeros(0), *(line.widths[line.clean] for line in samples)])
    if not len(widths):
        return 0.0
    pen = median(widths)
    even = median(np.abs(widths - pen)) < EVEN[0] * pen + EVEN[1]
    return pen if even and _like(widths, pen).mean() > STEADY else 0.0


def look_again(ink: Ink, network: Network, samples: Sequence[Samples], links: Links, pen: float) -> None:
    """Replace the links of junctions where edges in sight belong to no line, by lines along these edges."""
    own = [replace(line, clean=line.clean & _like(line.widths, pen)) for line in samples]
    arms = arms_of(network, own, SHORTEST * pen)
    if not arms.ends:
        return
    runs = inset_runs(ink, pen)
    arms = replace(arms, free=arms.free & (arms.cuts * SPACING < CAP * pen))
    paths = paths_of(arms, runs, pen)
    round_ends = [path.start for path in paths if path.start == path.end >= 0]
    ends = _is_free(network, arms)[round_ends]
    if ends.any():
        arms.free[round_ends] |= ends
        paths = paths_of(arms, runs, pen)
    missed = [p for p in _unexplained(paths, network, samples, links, pen) if not _is_coloured(ink, p)]
    doubtful = on_others(arms, samples, links, EXPLAINED * pen + 0.3)
    if not missed and not doubtful:
        return
    bodies = bodies_of(arms, own, _free_tails(arms, links))
    parts = _parts(network)
    asked = {parts.of_piece(arms, path) for path in missed} | {parts.of_end(end) for end in doubtful}
    paths = [path for path in paths if parts.of_piece(arms, path) in asked]
    arms = replace(arms, free=arms.free | [parts.of_end(end) not in asked for end in arms.ends])
    starts = {k: network.branches[k].a for k in bodies}
    bodies = {k: bodies[k] for k, a in starts.items() if a == LOOP or parts.root(a) in asked}
    pieces = joined(ink, arms, pieces_of(arms, bodies, paths, pen), list(bodies.values()), pen)
    places = _junctions(network, arms, links, pieces)
    anew = {places.of_piece(arms, path) for path in missed if path.start == ON_LINE} | (
        {places.of_piece(arms, path) for path in missed} & places.with_junctions(arms)
    )
    anew |= {places.of_end(end) for end in doubtful}
    kept = {arms.ends[arm] for arm in np.flatnonzero(arms.free).tolist()}
    _forget(network, links, places, anew, kept)
    for arm in np.flatnonzero(~arms.free).tolist():
        if places.of_end(arms.ends[arm]) in anew:
            links.cuts[arms.ends[arm]] = int(arms.cuts[arm])
    for piece in pieces:
        if places.of_piece(arms, piece) in anew:
            _take(arms, piece, links)
            if piece.closed:
                _empty(network, piece.points, links)


def _is_coloured(ink: Ink, path: Path) -> bool:
    """Say whether most of a path lies where colouring was: scallops of wax are no edges of lines."""
    if ink.coloured is None:
        return False
    x, y = np.clip(path.points.astype(np.intp), 0, np.array(ink.coloured.shape[::-1]) - 1).T
    return bool(ink.coloured[y, x].mean() > 0.5)


def _like(widths: Array, pen: float) -> Flags:
    """Say which widths are the pen's."""
    like: Flags = np.abs(widths - pen) < LIKE[0] * pen + LIKE[1]
    return like


def _is_free(network: Network, arms: Arms) -> Flags:
    """Say which arms are at no junction."""
    around = network.arms()
    nodes = [network.branches[k].a if side == 0 else network.branches[k].b for k, side in arms.ends]
    return np.array([len(around[node]) == 1 for node in nodes])


def _free_tails(arms: Arms, links: Links) -> dict[End, Array]:
    """Return the tails of free ends; lines that were thought to end beyond a junction may go on in it."""
    free = {arms.ends[arm] for arm in np.flatnonzero(arms.free).tolist()} & links.free
    return {end: links.tails[end] for end in free if end in links.tails}


def _parts(network: Network) -> "_Places":
    """Return the nodes of each part of the network as one place."""
    parts = _Places(network)
    for branch in network.branches:
        if branch.a != LOOP:
            parts.unite(branch.a, branch.b)
    return parts


def _junctions(network: Network, arms: Arms, links: Links, pieces: Sequence[Piece]) -> "_Places":
    """Return the nodes that are one junction, or are joined by what was or is now found, as one place."""
    places = _Places(network)
    lines = {k for k, _ in arms.ends}
    for k, branch in enumerate(network.branches):
        if k not in lines and branch.a != LOOP:
            places.unite(branch.a, branch.b)
    for one, other in links.partner.items():
        places.unite(places.node(one), places.node(other))
    for piece in pieces:
        ends = [places.node(arms.ends[end]) for end in (piece.start, piece.end) if end >= 0]
        places.unite(*ends[:1], *ends[-1:])
    return places


class _Places:
    """Nodes that must be treated together, each place by its number."""

    def __init__(self, network: Network):
        self.network = network
        self.parent = {node: node for node in network.nodes}
        self.nodes = list(network.nodes)
        self.at = np.array(list(network.nodes.values())).reshape(-1, 2)

    def node(self, end: End) -> int:
        """Return the node at a branch's end."""
        branch = self.network.branches[end[0]]
        return branch.a if end[1] == 0 else branch.b

    def unite(self, *nodes: int) -> None:
        """Treat nodes together from now on."""
        for one, other in pairwise(nodes):
            self.parent[self.root(one)] = self.root(other)

    def root(self, node: int) -> int:
        """Return the place of a node."""
        while self.parent[node] != node:
            self.parent[node] = self.parent[self.parent[node]]
            node = self.parent[node]
        return node

    def of_end(self, end: End) -> int:
        """Return the place of a branch's end."""
        return self.root(self.node(end))

    def with_junctions(self, arms: Arms) -> set[int]:
        """Return the places where lines meet or turn round."""
        inner = np.flatnonzero(~arms.free).tolist()
        return {self.of_end(arms.ends[arm]) for arm in inner}

    def of_piece(self, arms: Arms, piece: Piece | Path) -> int:
        """Return the place of a piece: its arms', or that of the node next to its middle."""
        for end in (piece.start, piece.end):
            if end >= 0:
                return self.of_end(arms.ends[end])
        middle = piece.points[len(piece.points) // 2]
        return self.root(self.nodes[int(np.hypot(*(self.at - middle).T).argmin())])


def _unexplained(
    paths: Sequence[Path], network: Network, samples: Sequence[Samples], links: Links, pen: float
) -> list[Path]:
    """Return the paths of which some is on no line."""
    from shapely import STRtree
    from shapely import points as places

    lines = []
    for k, line in enumerate(samples):
        if (k, 0) in links.cuts or network.branches[k].a == LOOP:
            first, last = links.cuts.get((k, 0), 0), len(line.points) - links.cuts.get((k, 1), 0)
            lines.append(line.points[first:last])
    bodies = len(lines)
    lines += [np.zeros((0, 2)), *links.tails.values()]
    line_of = np.repeat(np.arange(len(lines)), [len(line) for line in lines])
    looked = [_looked_at(path) for path in paths]
    points = np.concatenate([np.zeros((0, 2)), *looked])
    explained = EXPLAINED * pen + 0.3
    known = np.concatenate(lines)
    close = nearby(known, points, explained)
    i, j = STRtree(places(known[close])).query(places(points), predicate="dwithin", distance=explained)
    owner = np.full(len(points), -1)
    owner[i] = line_of[close[j]]
    owners = np.split(owner, np.cumsum([len(part) for part in looked]))
    ends = free_ends(samples, links)
    return [
        path
        for path, own in zip(paths, owners[:-1], strict=True)
        if leads_on(path, ends, pen) or _is_missed(path, own, bodies, pen)
    ]


def _looked_at(path: Path) -> Array:
    """Return the points of a path that tell whether it is explained: of a ring some do."""
    return path.points[:: max(RING_STEP, len(path.points) // RING)] if path.start == ON_LINE else path.points


def _is_missed(path: Path, owner: Index, bodies: int, pen: float) -> bool:
    """Say whether some of a path is on no line; `owner` (m,) is the line at each point looked at."""
    if path.start == ON_LINE:
        return is_ring(path, owner, pen)
    if (owner >= 0).all():
        return False
    alone = bare(owner, path.points, bodies, CORNER * pen)
    steps = np.hypot(*np.diff(path.points, axis=0).T)
    least = (BARE if max(path.start, path.end) >= 0 else ALONE) * pen
    return bool(steps[alone[1:]].sum() > least)


def _forget(network: Network, links: Links, places: _Places, anew: set[int], kept: set[End]) -> None:
    """Take away what was decided at some places, but for some ends that are kept."""
    for k, branch in enumerate(network.branches):
        for side in (0, 1) if branch.a != LOOP else ():
            end = k, side
            if end not in kept and places.of_end(end) in anew:
                links.partner.pop(end, None)
                links.cuts.pop(end, None)
                links.tails.pop(end, None)
                links.free.discard(end)


def _empty(network: Network, ring: Array, links: Links) -> None:
    """Drop what has been found within a ring too small for the pen to leave paper in it."""
    middle = (ring.min(axis=0) + ring.max(axis=0)) / 2
    reach = np.ptp(ring, axis=0).max() / 2
    inside = {node for node, place in network.nodes.items() if np.hypot(*(place - middle)) < reach}
    lone = {node for node, arms in network.arms().items() if not arms}
    links.no_dots |= inside & lone
    links.dropped |= {k for k, branch in enumerate(network.branches) if {branch.a, branch.b} <= inside}


def _take(arms: Arms, piece: Piece, links: Links) -> None:
    """Let a piece lead on from its arms; without any it is a line of its own."""
    start, end = piece.start, piece.end
    if start >= 0 and end >= 0:
        a, b = arms.ends[start], arms.ends[end]
        links.partner[a], links.partner[b] = b, a
        links.tails[a] = piece.points[1:-1]
    elif start >= 0 or end >= 0:
        arm = arms.ends[max(start, end)]
        links.tails[arm] = piece.points[1:] if start >= 0 else piece.points[-2::-1]
        links.free |= {arm} if FREE in (start, end) else set()
    else:
        links.more.append(Course(piece.points, start == FREE, end == FREE))
