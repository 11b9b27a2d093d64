"""Junctions put together from what the ink's edges tell of a pen of known width."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.vector.arms import Arms
from tracer.vector.cover import Cover, bare
from tracer.vector.inset import STILL
from tracer.vector.links import End
from tracer.vector.samples import SPACING, Samples
from tracer.vector.stretches import NOTCH, ON_LINE, STILLS, Path

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

SAME = 0.1
"""Line widths, and 0.3 ink pixels more, within which two middles are one."""

LEAST = 0.3
"""Line widths that a middle must be long to tell anything."""

RING = 0.7
"""Line widths that the middle of a closed line is wide at the least; a dot's is a point."""

ENDS = 1.0
"""Line widths before a notch over which a middle may come by another without ending on it."""

ALONE = 0.8
"""Line widths that a middle must be long to be a line by itself; an end on a line shows as a bulge."""

CORNER = 3.0
"""Line widths over which a middle may be away from its own branch at a corner that is not yet sharp."""

TURNS = 2.5
"""Line widths behind the place where two lines part that the pen may have turned from one into the other."""


@dataclass(eq=False)
class Piece:
    """Part of a line in a junction: points (m, 2) from arm, notch or line `start` to `end`."""

    start: int
    end: int
    points: Array

    @property
    def closed(self) -> bool:
        """Return whether it is a ring that meets nothing."""
        return self.start == self.end == ON_LINE and bool((self.points[0] == self.points[-1]).all())


def pieces_of(arms: Arms, bodies: Mapping[int, Array], paths: Sequence[Path], width: float) -> list[Piece]:
    """Return what is seen of lines in junctions, each once; `bodies` are the clean parts of branches."""
    known = [Path(ON_LINE, ON_LINE, points, _ways(points)) for points in bodies.values()]
    place = {branch: k for k, branch in enumerate(bodies)}
    paths = sorted(paths, key=lambda p: _rank(p, width))
    lines = [*known, *paths]
    cover = Cover(lines, SAME * width + 0.3)
    taken: set[int] = set()
    pieces = []
    for k, path in enumerate(paths):
        own = [end for end in (path.start, path.end) if end >= 0]
        if len(own) == 2 and _are_two(arms, path, width) and not taken & {*own}:
            taken.update(own)
            pieces.append(Piece(path.start, path.end, _settled(path.points)))
            continue
        if not own and path.start == ON_LINE:
            if is_ring(path, cover.by_earlier(len(known) + k, set())[1], width):
                ring = np.concatenate([path.points, path.points[:1]])
                pieces.append(Piece(ON_LINE, ON_LINE, _settled(ring)))
            continue
        on, owner = cover.by_earlier(len(known) + k, {place[int(arms.branch[arm])] for arm in own})
        for piece in _left(path, on, bare(owner, path.points, len(known), CORNER * width), width):
            if piece.start in taken:
                piece.start = ON_LINE
            if piece.end in taken or piece.end == piece.start >= 0:
                piece.end = ON_LINE
            taken.update(end for end in (piece.start, piece.end) if end >= 0)
            pieces.append(piece)
    left = [arm for arm in np.flatnonzero(~arms.free).tolist() if arm not in taken]
    return pieces + [Piece(arm, NOTCH, arms.start.points[arm][None]) for arm in left]


def _are_two(arms: Arms, path: Path, width: float) -> bool:
    """Say whether a path's arms may be joined: a branch's own two only where it is long enough for a loop."""
    one, other = path.start, path.end
    long = arms.kept[one] * SPACING > 2 * width
    return one != other and bool(long or arms.branch[one] != arms.branch[other])


def bodies_of(arms: Arms, samples: Sequence[Samples], tails: Mapping[End, Array]) -> dict[int, Array]:
    """Return the clean parts of branches (m, 2), with the `tails` of free ends."""
    row = {end: arm for arm, end in enumerate(arms.ends)}
    found = {}
    for k, line in enumerate(samples):
        if (k, 0) not in row:
            if line.closed:
                found[k] = line.points
            continue
        one, other = row[k, 0], row[k, 1]
        body = line.points[int(arms.cuts[one]) : len(line.points) - int(arms.cuts[other])]
        nothing = np.zeros((0, 2))
        found[k] = np.concatenate([tails.get((k, 0), nothing)[::-1], body, tails.get((k, 1), nothing)])
    return {k: points for k, points in found.items() if len(points) > 1}


def _ways(points: Array) -> Array:
    """Return unit directions (m, 2) of a polyline's points."""
    along = np.gradient(points, axis=0)
    unit: Array = along / np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    return unit


def _rank(path: Path, width: float) -> tuple[int, float]:
    """Return how early a path is believed: from arm to arm, the straightest first, then the longest."""
    ends = (path.start >= 0) + (path.end >= 0)
    if ends < 2:
        return 2 - ends, -len(path.points)
    lag = max(2, round(0.7 * width))
    points = path.points
    if len(points) <= 2 * lag:
        turn = float(path.headings[0] @ path.headings[-1])
        return 0, float(np.arccos(np.clip(turn, -1, 1))) + 0.02 * len(points) / width
    into, out = points[lag:-lag] - points[: -2 * lag], points[2 * lag :] - points[lag:-lag]
    angle = np.abs(np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1)))
    return 0, float(angle.max()) + 0.02 * len(points) / width


def is_ring(path: Path, owner: Index, width: float) -> bool:
    """Say whether an edge without a notch, that touches no arm, shows a small closed line."""
    wide = float(np.ptp(path.points, axis=0).min()) > RING * width
    return wide and bool((owner < 0).mean() > 0.5)


def _left(path: Path, on: Array, alone: Flags, width: float) -> Iterator[Piece]:
    """Return the parts of a path that lie on no earlier line, led on to those that they leave."""
    bounds = np.flatnonzero(np.diff(np.concatenate([[0], alone, [0]]))).reshape(-1, 2)
    for a, b in bounds.tolist():
        if _length(path.points[a:b]) < LEAST * width:
            continue
        start, before = _parting(path, on, a - 1, -1, width)
        end, after = _parting(path, on, b, 1, width)
        if max(start, end) < 0 and not start == end == NOTCH and _length(path.points[a:b]) < ALONE * width:
            continue
        yield Piece(start, end, _settled(np.concatenate([before[::-1], path.points[a:b], after])))


def _parting(path: Path, on: Array, at: int, way: int, width: float) -> tuple[int, Array]:
    """Return what a part's end is, and the points on to there from index `at`, the first beyond it.

    Close before a notch two middles may come by one another. Where the pen turned from one into the
    other they part at that turn, long before they can be told apart.
    """
    goal = path.start if way < 0 else path.end
    if not 0 <= at < len(on):
        return goal, path.points[:0]
    beyond = path.points[at::way]
    if goal == NOTCH and _length(beyond) < ENDS * width:
        return NOTCH, beyond
    still = np.flatnonzero(~path.headings[at::way][: round(TURNS * width)].any(axis=1))
    if len(still) >= STILLS:
        return ON_LINE, beyond[: still[len(still) // 2] + 1]
    return ON_LINE, on[at : at + 1]


def _length(points: Array) -> float:
    """Return the length of a polyline."""
    return float(polyline.arc_lengths(points)[-1])


def _settled(points: Array) -> Array:
    """Return a path with the points where the pen stood still made one, no further apart than a sample."""
    still = np.hypot(*np.diff(points, axis=0).T) < STILL
    group = np.concatenate([[0], np.cumsum(~still)])
    count = np.bincount(group)
    means = np.column_stack([np.bincount(group, column) / count for column in points.T])
    means[0], means[-1] = points[0], points[-1]
    steps = np.hypot(*np.diff(means, axis=0).T)
    number = np.maximum(1, np.ceil(steps / SPACING).astype(int))
    index = np.repeat(np.arange(len(steps)), number)
    part = (np.arange(len(index)) - np.repeat(np.cumsum(number) - number, number)) / number[index]
    between = means[index] + part[:, None] * (means[index + 1] - means[index])
    return np.concatenate([between, means[-1:]])
