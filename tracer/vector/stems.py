"""Where arms end that do not pass through their junction: on a line that does, or where they meet."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arms import Arms
from tracer.vector.centre import on_ink
from tracer.vector.ends import Ends, tail_of
from tracer.vector.track import STEPS, Tracks

Array = NDArray[np.float64]
Index = NDArray[np.intp]

TOUCHES = 0.12
"""Line widths within which a track has come to a line; a step is an eighth."""

MEETS = 0.35
"""Line widths within which two tracks meet."""

SHARP = np.radians(40)
"""Angle between two lines below which their tip is very sharp."""

AT_TIP = 0.35
"""Line widths between the ends of two lines that meet in a sharp tip."""


@dataclass(frozen=True, eq=False)
class Scene:
    """All arms, how they go on, where that ends, and which (i, j) are near one another."""

    ink: Ink
    arms: Arms
    tracks: Tracks
    ends: Ends
    near: Sequence[tuple[int, int]]

    def width(self, *arms: int) -> float:
        """Return the largest width of some arms."""
        return max(map(self._widths.__getitem__, arms))

    @cached_property
    def _widths(self) -> list[float]:
        """Return the width of each arm."""
        widths: list[float] = self.arms.start.widths.tolist()
        return widths

    @cached_property
    def around(self) -> dict[int, list[int]]:
        """Return the arms near each."""
        around: dict[int, list[int]] = {}
        for a, b in (*self.near, *((j, i) for i, j in self.near)):
            around.setdefault(a, []).append(b)
        return around

    def tail(self, arm: int) -> Array:
        """Return the points (m, 2) of an arm's track behind its first, up to where the pen ended."""
        if arm not in self._tails:
            length, step = float(self.ends.length[arm]), self.width(arm) / STEPS
            self._tails[arm] = tail_of(self.tracks.of(arm), length, step)
        return self._tails[arm]

    @cached_property
    def _tails(self) -> dict[int, Array]:
        """Return the tails asked for so far."""
        return {}


@dataclass(frozen=True, eq=False)
class Line:
    """A line that passes a junction.

    Attributes
    ----------
    arms : indices of the one or two that it is made of.
    way : (m, 2) its points between their cuts, or to its end.
    sides : for each arm its branch, and its points (m, 2) from the cut on.
    """

    arms: tuple[int, ...]
    way: Array
    sides: tuple[tuple[int, Array], ...]

    def beside(self, branch: int) -> Array:
        """Return the points (m, 2) of the line, dense, without those of one branch."""
        owners = [owner for owner, _ in self.sides]
        if branch not in owners:
            return self._whole
        way, *sides = self._dense_parts
        return np.concatenate([way, *(p for owner, p in zip(owners, sides, strict=True) if owner != branch)])

    def reaches(self, low: Array, high: Array) -> bool:
        """Say whether the line may have points between two corners (2,)."""
        least, most = self._extent
        return bool((least < high).all() and (most > low).all())

    @cached_property
    def _extent(self) -> tuple[Array, Array]:
        """Return the least and the largest x and y."""
        points = np.concatenate([self.way, *(points for _, points in self.sides)])
        return points.min(axis=0), points.max(axis=0)

    @cached_property
    def _whole(self) -> Array:
        """Return all points, dense."""
        return np.concatenate(self._dense_parts)

    @cached_property
    def _dense_parts(self) -> list[Array]:
        """Return the way and the sides, dense."""
        return [_dense(self.way), *(_dense(points) for _, points in self.sides)]


def passing(arms: Arms, members: tuple[int, ...], way: Array) -> Line:
    """Return a passing line of one arm or two, `way` being its points from the first's cut on."""
    starts = [arms.outward[arm][:1] for arm in members]
    sides = tuple((int(arms.branch[arm]), arms.outward[arm]) for arm in members)
    return Line(members, np.concatenate([starts[0], way, *starts[1:]]), sides)


def tips(scene: Scene, left: Sequence[int]) -> list[tuple[int, int, Array]]:
    """Return the arms that meet in a sharp tip, (arm, other, the points from cut to cut).

    Both lines end at about the same place.
    """
    found, free = [], set(left)
    for a, b in scene.near:
        if not (a in free and b in free and scene.ends.length[a] > 0 and scene.ends.length[b] > 0):
            continue
        there, back = scene.tail(a), scene.tail(b)
        if not (len(there) and len(back)):
            continue
        if np.hypot(*(there[-1] - back[-1])) < AT_TIP * scene.width(a, b):
            tip = (there[-1:] + back[-1:]) / 2
            found.append((a, b, np.concatenate([there[:-1], tip, back[-2::-1]])))
            free -= {a, b}
    return found


def blunt_tips(scene: Scene, left: Sequence[int]) -> list[tuple[int, int, Array]]:
    """Return the arms that meet in a very sharp tip, of which only one could be followed to its end.

    Up to the end the ink is wider than one line, and the other arm heads the same way.
    """
    found, free = [], set(left)
    start, through = scene.arms.start, scene.ends.through
    both_ways = {*scene.near, *((j, i) for i, j in scene.near)}
    for a, b in sorted(pair for pair in both_ways if through[pair[0]]):
        alike = start.headings[a] @ start.headings[b] > np.cos(SHARP)
        if not ({a, b} <= free and alike and _is_wide(scene, a)):
            continue
        there = scene.tail(a)
        back = np.linspace(there[-1], start.points[b], 2 * STEPS)[1:-1]
        if on_ink(scene.ink, back).all():
            found.append((a, b, np.concatenate([there, back])))
            free -= {a, b}
    return found


def _is_wide(scene: Scene, arm: int) -> bool:
    """Say whether a line's ink is wider than itself until a width before its end."""
    last = max(int(scene.ends.length[arm] / scene.width(arm) * STEPS), 0)
    seen = scene.tracks.seen[arm, max(last - 2 * STEPS, 0) : max(last - STEPS, 1)]
    return bool((seen == 2).mean() < 0.5)


def ends_on_lines(scene: Scene, lines: Sequence[Line], left: Sequence[int]) -> dict[int, Array]:
    """Return for each arm that is left and comes to a passing line the points (m, 2) to its end on it.

    One whose ink grows narrow before it gets there has ended short of the line.
    """
    of = {arm: line for line in lines for arm in line.arms}
    found = {}
    for arm in left:
        near = dict.fromkeys(of[b] for b in scene.around.get(arm, ()) if b in of)
        branch, track, width = int(scene.arms.branch[arm]), scene.tracks.of(arm), scene.width(arm)
        touches = TOUCHES * width + 0.3
        low, high = track.min(axis=0) - touches, track.max(axis=0) + touches
        ways = [_way_onto(track, line.beside(branch), touches) for line in near if line.reaches(low, high)]
        way = min((way for way in ways if way is not None), key=len, default=None)
        if way is not None:
            steady = scene.arms.start.swells[arm] == 0
            found[arm] = _before_neck(way, scene.tracks, arm) if steady else way
    return found


def meetings(scene: Scene, left: Sequence[int]) -> dict[int, Array]:
    """Return for arms that come to no passing line the points (m, 2) to where they meet one another.

    Arms whose tracks come by one another meet in one point: the mean of all such places.
    """
    groups: dict[int, list[int]] = {arm: [arm] for arm in left}
    places: dict[int, list[Array]] = {arm: [] for arm in left}
    for a, b in scene.near:
        if a not in groups or b not in groups:
            continue
        place = _crossing(scene.tracks.of(a), scene.tracks.of(b), scene.width(a, b))
        if place is None:
            continue
        places[a].append(place)
        if groups[a] is not groups[b]:
            groups[a] += groups[b]
            for member in groups[b]:
                groups[member] = groups[a]
    found: dict[int, Array] = {}
    for group in {id(g): g for g in groups.values()}.values():
        known = [place for arm in group for place in places[arm]]
        if known:
            point = np.mean(known, axis=0)
            found |= {arm: way_to(scene.tracks.of(arm), point) for arm in group}
    return found


def way_to(track: Array, point: Array) -> Array:
    """Return the points of a track, without its first, to where it passes `point`, and that point."""
    at = int(np.hypot(*(track - point).T).argmin())
    return np.concatenate([track[1:at], point[None]])


def _dense(points: Array) -> Array:
    """Return a polyline with points no further apart than half a pixel, as far as it pays."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    count = np.clip(np.ceil(2 * steps).astype(int), 1, 40)
    index = np.repeat(np.arange(len(steps)), count)
    part = (np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)) / count[index]
    dense = points[index] + part[:, None] * (points[index + 1] - points[index])
    return np.concatenate([dense, points[-1:]])


def _way_onto(track: Array, line: Array, touches: float) -> Array | None:
    """Return a track's points, without its first, to where it first comes so near to a line as to touch."""
    low, high = track.min(axis=0) - touches, track.max(axis=0) + touches
    line = line[((line > low) & (line < high)).all(axis=1)]
    if not len(line):
        return None
    away = np.hypot(track[:, None, 0] - line[None, :, 0], track[:, None, 1] - line[None, :, 1])
    nearest = away.min(axis=1)
    close = np.flatnonzero(nearest < touches)
    if not len(close):
        return None
    at = int(close[0])
    while at + 1 < len(track) and nearest[at + 1] < nearest[at]:
        at += 1
    return np.concatenate([track[1:at], line[away[at].argmin()][None]])


def _before_neck(way: Array, tracks: Tracks, arm: int) -> Array:
    """Return the way, ended where its edges were last in sight if the ink grows narrow on it."""
    narrow = np.flatnonzero(tracks.narrow[arm, 1 : len(way)])
    if not len(narrow):
        return way
    sure = np.flatnonzero(tracks.seen[arm, : narrow[0] + 1] == 2)
    return way[: sure[-1] if len(sure) else 0]


def _crossing(one: Array, other: Array, width: float) -> Array | None:
    """Return where two tracks come by one another, as early on both as can be, or None."""
    away = np.hypot(one[:, None, 0] - other[None, :, 0], one[:, None, 1] - other[None, :, 1])
    if away.min() > MEETS * width:
        return None
    late = np.arange(len(one))[:, None] / len(one) + np.arange(len(other)) / len(other)
    i, j = np.unravel_index((away / width + 0.02 * late).argmin(), away.shape)
    place: Array = (one[i] + other[j]) / 2
    return place
