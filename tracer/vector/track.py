"""Lines followed on into a junction by whichever of their edges can still be seen there."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.centre import sample

Array = NDArray[np.float64]
Index = NDArray[np.intp]

STEPS = 8
"""Steps to a line's width."""

BLIND = 4.5
"""Line widths that a line is followed without seeing either edge: a crossing of 15 degrees hides 3.9."""

FARTHEST = 12
"""Line widths that a line is followed at the most."""

AFTER = 1.2
"""Line widths that such a line is followed further, to see whether it ends there."""

GATE = 0.16
"""Parts of the radius within which an edge is looked for."""

AGAIN = 0.08
"""Parts of the radius within which an edge that was out of sight is believed to be the line's."""

BENDS = 0.08
"""Parts of the radius by which an edge in sight may move from step to step: a bend of 25 degrees."""

SWELLING = 2.0
"""Line widths over which a width that changes is expected to go on changing."""

BACK = 2
"""Steps before an edge is lost that are not believed."""

SWERVES, SOON = np.radians(50), 2.5
"""Turn within so many line widths by one edge alone that is another line's doing: its edge is followed."""

LOCKED = 0.7
"""Line widths with both edges in sight after which a line has come out on the other side."""

# Gains of the fading memory filter of second order with memory 0.8 (Morrison 1969): the part of a
# miss that moves the place, the direction and the bend.
_PLACE, _DIRECTION, _BEND = 0.488, 0.108, 0.008


_OFFSETS = np.linspace(-1, 1, 7)
"""Parts of the reach round about the radius at which an edge is looked for."""


@dataclass(frozen=True, eq=False)
class Start:
    """Where lines leave their clean part towards a junction, one row each.

    Attributes
    ----------
    points, headings : (a, 2) ink pixels, and unit vectors towards the junction.
    bends : (a,) curvature, 1 / ink pixels, positive from x towards y.
    widths : (a,) ink pixels.
    swells : (a,) change of the width by the distance on, 0 where it is steady.
    ahead : (a,) distance from the start to the junction, infinite where there is none.
    """

    points: Array
    headings: Array
    bends: Array
    widths: Array
    swells: Array
    ahead: Array


@dataclass(frozen=True, eq=False)
class Tracks:
    """Lines followed into junctions.

    Attributes
    ----------
    points : (a, m, 2) from the start on, ink pixels.
    headings : (a, m, 2) unit.
    seen : (a, m) how many of the two edges were in sight.
    narrow : (a, m) bool, the ink was narrower than the line on both sides.
    count : (a,) points that count: all but the last lie on ink.
    locked : (a,) bool, both edges were in sight again on the far side.
    stopped : (a,) bool, the last point lies beyond the picture's border or in a solid.
    out : (a,) bool, the last point lies on paper.
    """

    points: Array
    headings: Array
    seen: NDArray[np.int8]
    narrow: NDArray[np.bool_]
    count: Index
    locked: NDArray[np.bool_]
    stopped: NDArray[np.bool_]
    out: NDArray[np.bool_]

    def of(self, arm: int) -> Array:
        """Return the points (k, 2) of one line."""
        points: Array = self.points[arm, : self.count[arm]]
        return points


def track(ink: Ink, start: Start) -> Tracks:
    """Follow all lines on, in step with one another, an eighth of their width at a time.

    Each goes on with its direction and bend. Where the ink ends at half its width on
    one side or on both, it is held at that distance; where neither edge is in sight it
    coasts. It ends on paper, when it has coasted too far, or when both edges have
    been in sight again beyond the junction.
    """
    most = FARTHEST * STEPS
    state = _State(ink, start, most)
    for k in range(1, most):
        state.advance(k)
        if not len(state.going):
            break
    return Tracks(
        state.points,
        state.headings,
        state.seen,
        state.narrow,
        state.count,
        state.locked,
        state.stopped,
        state.out,
    )


class _State:
    """All lines on their way; `going` are the indices of those that have not ended."""

    def __init__(self, ink: Ink, start: Start, most: int):
        count = len(start.points)
        self.ink, self.start, self.step = ink, start, start.widths / STEPS
        self.bends = start.bends.copy()
        self.points = np.repeat(start.points[:, None], most, axis=1)
        self.headings = np.repeat(start.headings[:, None], most, axis=1)
        self.seen = np.full((count, most), 2, np.int8)
        self.narrow = np.zeros((count, most), bool)
        self.count = np.ones(count, np.intp)
        self.locked, self.stopped, self.out = (np.zeros(count, bool) for _ in range(3))
        self.blind, self.sure = np.zeros(count, int), np.zeros(count, int)
        self.last = np.zeros((2, count))
        self.both = np.zeros(count, np.intp)
        self.going = np.arange(count)

    def advance(self, k: int) -> None:
        """Take step `k` with all lines that have not ended."""
        on = self.going
        step, before = self.step[on], self.headings[on, k - 1]
        sideways = np.column_stack([-before[:, 1], before[:, 0]])
        turn = (step * self.bends[on])[:, None]
        points = self.points[on, k - 1] + step[:, None] * (before + turn / 2 * sideways)
        heading = _turned(before, sideways, turn[:, 0])
        sideways = np.column_stack([-heading[:, 1], heading[:, 0]])
        miss, self.seen[on, k], self.narrow[on, k] = self._look(k, on, points, sideways)
        points += (_PLACE * miss)[:, None] * sideways
        self.bends[on] += 2 * _BEND * miss / step**2
        self.points[on, k] = points
        self.headings[on, k] = _turned(heading, sideways, _DIRECTION * miss / step)
        self._lose(k, on[(self.seen[on, k] == 0) & (self.seen[on, k - 1] > 0)])
        self.both[on[self.seen[on, k] == 2]] = k
        self._turn_back(k, on[self.seen[on, k] == 1])
        self._settle(k, on)

    def _lose(self, k: int, lost: Index) -> None:
        """Lay the last steps of lines that just lost sight of their edges straight on from before.

        An edge gives way a little before it is gone.
        """
        back = min(BACK, k)
        heading = self.headings[lost, k - back]
        for n in range(1, back + 1):
            onward = (n * self.step[lost])[:, None] * heading
            self.points[lost, k - back + n] = self.points[lost, k - back] + onward
            self.headings[lost, k - back + n] = heading

    def _turn_back(self, k: int, one: Index) -> None:
        """Lay lines that swerve by `one` edge straight on from where they last had both in sight."""
        first = np.maximum(self.both[one] - BACK, 0)
        onward = (self.headings[one, k] * self.headings[one, first]).sum(axis=1)
        swerve = (onward < np.cos(SWERVES)) & (k - self.both[one] <= SOON * STEPS)
        for arm, at in zip(one[swerve].tolist(), first[swerve].tolist(), strict=True):
            heading = self.headings[arm, at]
            ways = np.arange(1, k - at + 1)[:, None] * self.step[arm] * heading
            self.points[arm, at + 1 : k + 1] = self.points[arm, at] + ways
            self.headings[arm, at + 1 : k + 1] = heading
            self.seen[arm, self.both[arm] + 1 : k + 1] = 0
            self.bends[arm], self.last[:, arm] = 0, np.nan

    def _settle(self, k: int, on: Index) -> None:
        """End the lines that have come to paper, coasted too far or come out."""
        seen, points = self.seen[on, k], self.points[on, k]
        self.blind[on] = np.where(seen > 0, 0, self.blind[on] + 1)
        self.sure[on] = np.where(seen == 2, self.sure[on] + 1, 0)
        beyond = k * self.step[on] > self.start.ahead[on] + 0.5 * self.start.widths[on]
        sure = beyond & (self.sure[on] >= LOCKED * STEPS)
        dark = sample(self.ink, points[:, :1], points[:, 1:])[:, 0] > 0.8 * self.ink.level
        self.stopped[on] = dark & self._barred(points)
        self.locked[on[sure & dark]] = True
        self.out[on] = ~dark
        self.count[on] = k + 1
        far = beyond & (self.sure[on] >= (LOCKED + AFTER) * STEPS)
        self.going = on[dark & ~far & ~self.stopped[on] & (self.blind[on] < BLIND * STEPS)]

    def _barred(self, points: Array) -> NDArray[np.bool_]:
        """Say which points (a, 2) lie beyond the picture's border or in a solid."""
        height, width = self.ink.solid.shape
        x, y = np.floor(points).astype(int).T
        beyond = (x < 0) | (y < 0) | (x >= width) | (y >= height)
        solid: NDArray[np.bool_] = self.ink.solid[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)]
        barred: NDArray[np.bool_] = solid | beyond
        return barred

    def _look(
        self, k: int, on: Index, points: Array, sideways: Array
    ) -> tuple[Array, NDArray[np.int8], NDArray[np.bool_]]:
        """Return how far to the side (a,) the line lies, how many edges say so, and where the ink is narrow.

        Where both edges are in sight but too far apart, something begins to run in on the
        farther one: the nearer is believed.
        """
        radius = self._radius(k, on)
        both = np.concatenate([sideways, -sideways])
        edges, inside = _edge(self.ink, np.tile(points, (2, 1)), both, np.tile(radius, 2))
        right, left = self._believed(radius, self.last[:, on], edges.reshape(2, -1))
        sees_right, sees_left = np.isfinite(right), np.isfinite(left)
        seen = sees_right.astype(np.int8) + sees_left
        by_right, by_left = np.where(sees_right, right, 0.0), np.where(sees_left, -left, 0.0)
        wide = (seen == 2) & (by_right - by_left > 0.04 * radius + 0.15)
        nearer = np.where(np.abs(by_right) < np.abs(by_left), by_right, by_left)
        miss = np.where(wide, nearer, (by_right + by_left) / np.maximum(seen, 1))
        self.last[0, on], self.last[1, on] = right - _PLACE * miss, left + _PLACE * miss
        right_inside, left_inside = inside.reshape(2, -1)
        return miss, seen, ~(right_inside | left_inside)

    def _radius(self, k: int, on: Index) -> Array:
        """Return half the width that lines are expected to have at step `k`."""
        widths = self.start.widths[on]
        there = widths + self.start.swells[on] * np.minimum(k * self.step[on], SWELLING * widths)
        half: Array = np.clip(there, 0.5 * widths, 1.5 * widths) / 2
        return half

    @staticmethod
    def _believed(radius: Array, before: Array, edge: Array) -> Array:
        """Return the edges (2, a) that may be the line's own, nan for others.

        One that was in sight may bend away slowly, a new one must be where it is expected.
        """
        near = np.abs(edge) < AGAIN * radius + 0.3
        steady = np.abs(edge - before) < BENDS * radius + 0.15
        return np.where(np.where(np.isfinite(before), steady, near), edge, np.nan)


def _edge(ink: Ink, points: Array, rays: Array, radius: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Return by how much (a,) the ink's edge along `rays` lies beyond `radius`, nan where too far from it.

    The second says where there is ink all the way to just inside the radius.
    """
    reach = GATE * radius + 0.3
    along = np.column_stack([radius / 2, radius[:, None] + reach[:, None] * _OFFSETS])
    values = sample(ink, points[:, :1] + rays[:, :1] * along, points[:, 1:] + rays[:, 1:] * along)
    inside = (values[:, 0] >= ink.level) & (values[:, 1] >= ink.level)
    out = values[:, 1:] < ink.level
    first = np.maximum(out.argmax(axis=1), 1)
    rows = np.arange(len(points))
    before, after = values[rows, first], values[rows, first + 1]
    fraction = (before - ink.level) / np.maximum(before - after, 1e-6)
    edge = reach * (_OFFSETS[first - 1] + 0.5 * fraction)
    return np.where(inside & out.any(axis=1), edge, np.nan), inside


def _turned(heading: Array, sideways: Array, angle: Array) -> Array:
    """Return headings (a, 2) turned by small angles (a,)."""
    new = heading + np.clip(angle, -0.3, 0.3)[:, None] * sideways
    unit: Array = new / np.maximum(np.hypot(*new.T), 1e-9)[:, None]  # no direction stays none
    return unit
