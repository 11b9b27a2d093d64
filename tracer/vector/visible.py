"""Junctions put together from what the ink's edges tell of a pen of known width."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.vector.arms import Arms
from tracer.vector.inset import STILL, Run
from tracer.vector.links import End
from tracer.vector.samples import SPACING, Samples

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

PORT = 0.2
"""Line widths within which a run passes the start of an arm, in its direction."""

ALONG = 0.94
"""Cosine of the angle between a run and an arm that it belongs to."""

SAME = 0.1
"""Line widths, and 0.3 ink pixels more, within which two middles are one."""

PARALLEL = 0.9
"""Cosine of the angle between two middles that are one."""

LEAST = 0.3
"""Line widths that a middle must be long to tell anything."""

ENDS = 1.0
"""Line widths before a notch over which a middle may come by another without ending on it."""

TURNS = 2.5
"""Line widths behind the place where two lines part that the pen may have turned from one into the other."""

NOTCH, ON_LINE = -1, -2
"""What a piece's end is where it is no arm: at a notch, out of sight from there on; on another line."""


class Path(NamedTuple):
    """A stretch of a run within a junction, from arm or notch to arm or notch; points (m, 2), headings."""

    start: int
    end: int
    points: Array
    headings: Array


@dataclass(eq=False)
class Piece:
    """Part of a line in a junction: points (m, 2) from arm, notch or line `start` to `end`."""

    start: int
    end: int
    points: Array


def pieces_of(arms: Arms, bodies: Mapping[int, Array], paths: Sequence[Path], width: float) -> list[Piece]:
    """Return what is seen of lines in junctions, each once; `bodies` are the clean parts of branches."""
    known = [Path(ON_LINE, ON_LINE, points, _ways(points)) for points in bodies.values()]
    place = {branch: k for k, branch in enumerate(bodies)}
    paths = sorted(paths, key=lambda p: _rank(p, width))
    lines = [*known, *paths]
    cover = _Cover(lines, SAME * width + 0.3)
    taken: set[int] = set()
    pieces = []
    for k, path in enumerate(paths):
        own = [end for end in (path.start, path.end) if end >= 0]
        if len(own) == 2 and _are_two(arms, *own, width) and not taken & {*own}:
            taken.update(own)
            pieces.append(Piece(path.start, path.end, _settled(path.points)))
            continue
        on = cover.by_earlier(len(known) + k, {place[int(arms.branch[arm])] for arm in own})
        for piece in _left(path, on, width):
            if piece.start in taken:
                piece.start = ON_LINE
            if piece.end in taken or piece.end == piece.start:
                piece.end = ON_LINE
            taken.update(end for end in (piece.start, piece.end) if end >= 0)
            pieces.append(piece)
    for arm in np.flatnonzero(~arms.free).tolist():
        if arm not in taken:
            pieces.append(Piece(arm, NOTCH, arms.start.points[arm][None]))
    return pieces


def _are_two(arms: Arms, one: int, other: int, width: float) -> bool:
    """Say whether two arms may be joined: the ends of a branch only where it is long enough for a loop."""
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


def paths_of(arms: Arms, runs: Sequence[Run], width: float) -> list[Path]:
    """Return the stretches of runs within junctions, and runs that touch no arm."""
    return list(_paths(arms, runs, width))


def _paths(arms: Arms, runs: Sequence[Run], width: float) -> Iterator[Path]:
    """Return the stretches of runs within junctions."""
    ports = _ports(arms, runs, width)
    for k, run in enumerate(runs):
        marks = sorted(ports.get(k, []))
        points, headings = run.points, run.headings
        if run.closed:
            if not marks:
                yield Path(ON_LINE, ON_LINE, points, headings)
                continue
            first = next((at for at, _, into in marks if into), 0)
            marks = sorted(((at - first) % len(points), arm, into) for at, arm, into in marks)
            points, headings = np.roll(points, -first, axis=0), np.roll(headings, -first, axis=0)
        begin, start = (0, NOTCH) if not run.closed else (None, NOTCH)
        for at, arm, into in marks:
            if into:
                if begin is not None and start >= 0:  # two arms into the same stretch: the first ends at the second
                    yield Path(start, NOTCH, points[begin : at + 1], headings[begin : at + 1])
                begin, start = at, arm
            elif begin is not None:
                yield Path(start, arm, points[begin : at + 1], headings[begin : at + 1])
                begin = None
        if begin is not None:
            yield Path(start, NOTCH, points[begin:], headings[begin:])


def _ports(arms: Arms, runs: Sequence[Run], width: float) -> dict[int, list[tuple[int, int, bool]]]:
    """Return for each run (index, arm, True where it goes into the junction there)."""
    from shapely import STRtree
    from shapely import points as places

    ports: dict[int, list[tuple[int, int, bool]]] = {}
    if not runs:
        return ports
    points = np.concatenate([run.points for run in runs])
    headings = np.concatenate([run.headings for run in runs])
    sizes = [len(run.points) for run in runs]
    owner, begin = np.repeat(np.arange(len(runs)), sizes), np.cumsum(sizes) - sizes
    inner = np.flatnonzero(~arms.free)
    i, j = STRtree(places(points)).query(
        places(arms.start.points[inner]), predicate="dwithin", distance=PORT * width + 0.5
    )
    i = inner[i]
    along = (arms.start.headings[i] * headings[j]).sum(axis=1)
    away = np.hypot(*(arms.start.points[i] - points[j]).T)
    for into in (True, False):
        fits = np.flatnonzero((along if into else -along) > ALONG)
        order = fits[np.lexsort((away[fits], i[fits]))]
        first = order[np.unique(i[order], return_index=True)[1]]
        for k in first.tolist():
            run = int(owner[j[k]])
            ports.setdefault(run, []).append((int(j[k] - begin[run]), int(i[k]), into))
    return ports


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


class _Cover:
    """Which points of some lines lie on others."""

    def __init__(self, lines: Sequence[Path], near: float):
        from shapely import STRtree
        from shapely import points as places

        self.points = np.concatenate([line.points for line in lines])
        ways = np.concatenate([line.headings for line in lines])
        sizes = [len(line.points) for line in lines]
        self.owner = np.repeat(np.arange(len(lines)), sizes)
        self.begin = np.append(np.cumsum(sizes) - sizes, len(self.points))
        dots = places(self.points)
        i, j = STRtree(dots).query(dots, predicate="dwithin", distance=near)
        still = (ways == 0).all(axis=1)
        along = np.abs((ways[i] * ways[j]).sum(axis=1))
        kept = (self.owner[j] < self.owner[i]) & (still[i] | still[j] | (along > PARALLEL))
        i, j = i[kept], j[kept]
        order = np.lexsort((np.hypot(*(self.points[i] - self.points[j]).T), i))
        i, j = i[order], j[order]
        first = np.unique(i, return_index=True)[1]
        self.on = np.full(len(self.points), -1)
        self.on[i[first]] = j[first]

    def by_earlier(self, k: int, own: set[int]) -> list[Array | None]:
        """Return for each point of line `k` the point of an earlier line that it lies on, or None.

        At its ends those lines that are its `own` do not count.
        """
        on = self.on[self.begin[k] : self.begin[k + 1]].tolist()
        for order in (range(len(on)), range(len(on) - 1, -1, -1)):
            for at in order:
                if on[at] >= 0 and int(self.owner[on[at]]) not in own:
                    break
                if on[at] < 0:
                    break
                on[at] = -1
        return [self.points[j] if j >= 0 else None for j in on]


def _left(path: Path, on: Sequence[Array | None], width: float) -> Iterator[Piece]:
    """Return the parts of a path that lie on no earlier line, led on to those that they leave."""
    bare = np.array([place is None for place in on])
    bounds = np.flatnonzero(np.diff(np.concatenate([[0], bare.astype(np.int8), [0]]))).reshape(-1, 2)
    for a, b in bounds.tolist():
        start, end, points = path.start, path.end, path.points[a:b]
        if _length(points) < LEAST * width:
            continue
        if start == NOTCH and _length(path.points[: a + 1]) < ENDS * width:
            points = path.points[:b]
        elif a > 0:
            start = ON_LINE
            tip = _turned(path, a - 1, -1, width)
            points = np.concatenate([on[a - 1][None] if tip is None else path.points[tip:a], points])
        if end == NOTCH and _length(path.points[b - 1 :]) < ENDS * width:
            points = np.concatenate([points, path.points[b:]])
        elif b < len(bare):
            end = ON_LINE
            tip = _turned(path, b, 1, width)
            points = np.concatenate([points, on[b][None] if tip is None else path.points[b : tip + 1]])
        yield Piece(start, end, _settled(points))


def _length(points: Array) -> float:
    """Return the length of a polyline."""
    return float(polyline.arc_lengths(points)[-1])


def _turned(path: Path, at: int, way: int, width: float) -> int | None:
    """Return where near `at` along a path, the `way` (1 or -1) of it, the pen turned round, or None."""
    reach = round(TURNS * width)
    stop = min(len(path.points), at + reach) if way > 0 else max(-1, at - reach)
    still = [k for k in range(at, stop, way) if not path.headings[k].any()]
    if len(still) < 4:
        return None
    return still[len(still) // 2]


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
    dense: Array = np.concatenate([means[index] + part[:, None] * (means[index + 1] - means[index]), means[-1:]])
    return dense
