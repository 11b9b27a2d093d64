"""Stretches of the middles that the ink's edges show, from arm to arm of a junction or to a notch."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tracer.vector.arms import Arms
from tracer.vector.inset import Run
from tracer.vector.nearby import nearby

Array = NDArray[np.float64]

PORT = 0.2
"""Line widths within which a run passes the start of an arm, in its direction."""

ALONG = 0.94
"""Cosine of the angle between a run and an arm that it belongs to."""

NOTCH, ON_LINE, FREE = -1, -2, -3
"""What an end is that is no arm's: at a notch, out of sight from there on; on a line; where the pen ended."""

LEAN = np.radians(5), 3.0
"""Angle between the two sides of an end from which on they are two lines', if seen for so many ink pixels."""

STILLS = 4
"""Samples of an edge over which the pen stood still that show a turn or an end."""


class Path(NamedTuple):
    """A stretch of a run within a junction, from arm or notch to arm or notch; points (m, 2), headings."""

    start: int
    end: int
    points: Array
    headings: Array


def paths_of(arms: Arms, runs: Sequence[Run], width: float) -> list[Path]:
    """Return the stretches of runs within junctions, and runs that touch no arm.

    Those that lead round the end of a line and back end there.
    """
    return [_unfolded(path, 0.1 * width + 0.3) for path in _paths(arms, runs, width)]


def _unfolded(path: Path, near: float) -> Path:
    """Return a path up to where the pen ended, if from there it leads back beside itself to its end."""
    still = np.flatnonzero(~path.headings.any(axis=1))
    if len(still) < STILLS or (path.start >= 0) + (path.end >= 0) == 2 or path.start == ON_LINE:
        return path
    for group in np.split(still, np.flatnonzero(np.diff(still) > 2) + 1):
        tip = int(group[len(group) // 2])
        one, other = path.points[tip::-1], path.points[tip:]
        first = path.start >= 0 or (path.end < 0 and len(one) >= len(other))
        kept, back = (one, other) if first else (other, one)
        away = np.hypot(kept[:, None, 0] - back[None, :, 0], kept[:, None, 1] - back[None, :, 1])
        if len(group) >= STILLS and away.min(axis=0).max() < near and not _leans(kept, back):
            if first:
                return Path(path.start, FREE, path.points[: tip + 1], path.headings[: tip + 1])
            return Path(FREE, path.end, path.points[tip:], path.headings[tip:])
    return path


def _leans(kept: Array, back: Array) -> bool:
    """Say whether two sides of an end, both seen from its tip on, part from each other."""
    reach = min(float(np.hypot(*(side[-1] - side[0]))) for side in (kept, back))
    if reach < LEAN[1]:
        return False
    ways = []
    for side in (kept, back):
        far = np.hypot(*(side - side[0]).T)
        ways.append(side[int(np.argmax(far >= reach))] - side[int(np.argmax(far >= 1.0))])
    (ax, ay), (bx, by) = ways
    return bool(np.abs(np.arctan2(ax * by - ay * bx, ax * bx + ay * by)) > LEAN[0])


def _paths(arms: Arms, runs: Sequence[Run], width: float) -> Iterator[Path]:
    """Return the stretches of runs within junctions."""
    ports = _ports(arms, runs, width)
    for k, run in enumerate(runs):
        marks = sorted(ports.get(k, []))
        points, headings = run.points, run.headings
        if run.closed and not marks:
            yield Path(ON_LINE, ON_LINE, points, headings)
            continue
        if run.closed:
            first = next((at for at, _, into in marks if into), 0)
            marks = sorted(((at - first) % len(points), arm, into) for at, arm, into in marks)
            points, headings = np.roll(points, -first, axis=0), np.roll(headings, -first, axis=0)
        for start, end, a, b in _between(marks, None if run.closed else 0, len(points)):
            yield Path(start, end, points[a:b], headings[a:b])


def _between(
    marks: Sequence[tuple[int, int, bool]], begin: int | None, size: int
) -> Iterator[tuple[int, int, int, int]]:
    """Return (start, end, first point, beyond the last) of what lies within junctions of one run.

    It is in one from `begin` on, if that is not None, and from each mark that leads into one, up to
    the next that leads out.
    """
    start = NOTCH
    for at, arm, into in marks:
        if begin is not None and not into:
            yield start, arm, begin, at + 1
        elif begin is not None and start >= 0:
            yield start, NOTCH, begin, at + 1
        begin, start = (at, arm) if into else (None, NOTCH)
    if begin is not None:
        yield start, NOTCH, begin, size


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
    inner, reach = np.flatnonzero(~arms.free), PORT * width + 0.5
    close = nearby(points, arms.start.points[inner], reach)
    i, j = STRtree(places(points[close])).query(
        places(arms.start.points[inner]), predicate="dwithin", distance=reach
    )
    i, j = inner[i], close[j]
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
