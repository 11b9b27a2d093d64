"""How lines can be changed to explain ink beside them: led on, pushed out, or given a stub."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tracer.vector.samples import SPACING, Samples

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

Line = tuple[Samples, list[int]]
"""A line, and the indices of its corners."""

Amends = tuple[Line, float]
"""A changed or new line, and the ink pixels that it must explain to be worth it."""

CROSS, STUB = 0.9, 1.1
"""Squared depths of the ink at a goal that must be bare for a line to cross another to it, and for a stub."""

ACROSS, OUT = 0.35, 0.45
"""Line widths that they must reach out: where lines merge, what is left bare between them lies nearer."""

CORNER = 0.02
"""Squared line widths of ink that a corner must explain more than a smooth bulge."""

AHEAD, BEYOND = np.radians(50), 2.0
"""Turn up to which, and line widths within which, a line that ends goes on to bare ink."""

BACK = 0.0, 0.25, 0.5, 1.0
"""Line widths that a free end is taken back for its way on."""

ASIDE = 0.7, 1.2, 1.8, 2.5, 3.5
"""Half lengths of the stretch that is pushed out, in parts of how far it is pushed."""

BOWED = 0.15
"""Part of the way to bare ink that a stretch must bow towards it already."""

BENT = np.radians(25)
"""Turn from which what is pushed out has a corner."""

MEETING = 0.3
"""Line widths within which lines meet."""


@dataclass(frozen=True, eq=False)
class Neighbours:
    """What is to know of a goal: other lines about, the pen's width, the depth of ink there, what is ink."""

    others: tuple[Samples, ...]
    pen: float
    deep: float
    on_ink: Callable[[Array], Flags]

    def way(self, start: Array, goal: Array) -> Array | None:
        """Return points (k, 2) straight from after `start` to the goal, None where they leave the ink."""
        size = float(np.hypot(*(goal - start)))
        way: Array = start + np.linspace(0, 1, max(1, round(size / SPACING)) + 1)[1:, None] * (goal - start)
        return way if self.on_ink(way).all() else None

    def away(self, point: Array) -> float:
        """Return the distance of a point to the nearest other line."""
        away = [float(np.hypot(*(other.points - point).T).min()) for other in self.others]
        return min(away, default=np.inf)

    def meets(self, end: Array) -> bool:
        """Say whether a line's end lies on another line."""
        return self.away(end) < MEETING * self.pen + 0.5

    def end_here(self, points: Array) -> bool:
        """Say whether another line ends on these points (m, 2)."""
        ends = [end for other in self.others if not other.closed for end in other.points[[0, -1]]]
        return any(np.hypot(*(points - end).T).min() < MEETING * self.pen for end in ends)


def led_on(line: Line, goal: Array, there: Neighbours) -> Iterator[Amends]:
    """Yield a line with an end led on to a goal about ahead of it; a free end may be taken back first."""
    samples, corners = line
    if samples.closed:
        return
    last = len(samples.points) - 1
    for own, marks, forth in (
        (samples, corners, True),
        (samples.reversed(), [last - c for c in reversed(corners)], False),
    ):
        if np.hypot(*(own.points[-1] - goal)) > BEYOND * there.pen:
            continue
        meets = there.meets(own.points[-1])
        if meets and there.away(goal) < ACROSS * there.pen:
            continue
        for back in BACK[:1] if meets else BACK:
            more = _led_on(own, marks, last - round(back * there.pen), goal, there)
            if more is not None:
                turned = [len(more.points) - 1 - c for c in reversed(marks)]
                price = CROSS * there.deep**2 if meets else 0.0
                yield ((more, marks) if forth else (more.reversed(), turned)), price


def _led_on(line: Samples, corners: list[int], at: int, goal: Array, there: Neighbours) -> Samples | None:
    """Return a line led on from sample `at` to the goal, None where it would turn sharply or leave ink."""
    if at < 3 or (corners and corners[-1] >= at - 1):
        return None
    heading = line.points[at] - line.points[max(0, at - max(3, round(0.5 * there.pen)))]
    if _turn(heading, goal - line.points[at]) > AHEAD:
        return None
    way = there.way(line.points[at], goal)
    return None if way is None else _joined(line.part(0, at + 1), _placed(way, line.width))


def pushed_out(line: Line, goal: Array, there: Neighbours) -> Iterator[Amends]:
    """Yield a line with its bend nearest to a goal pushed out to it, where nothing ends on it."""
    samples, corners = line
    at = int(np.hypot(*(samples.points - goal).T).argmin())
    push = goal - samples.points[at]
    for part in ASIDE:
        step = max(2, round(part * float(np.hypot(*push)) / SPACING))
        a, b = at - step, at + step
        if a < 1 or b > len(samples.points) - 2:
            break
        old = samples.points[a : b + 1]
        bow = samples.points[at] - (old[0] + old[-1]) / 2
        if bow @ push < BOWED * (push @ push) or there.end_here(old):
            continue
        for way, corner in _bulges(old, goal, there):
            rest = samples.part(b + 1, len(samples.points))
            new = _joined(_joined(samples.part(0, a), _placed(way, samples.width)), rest)
            shift = len(way) - len(old)
            kept = [c for c in corners if c < a] + [c + shift for c in corners if c > b]
            kept = kept if corner is None else sorted([*kept, a + corner])
            yield (replace(new, closed=samples.closed), kept), CORNER * there.pen**2 * (corner is not None)


def _bulges(old: Array, goal: Array, there: Neighbours) -> Iterator[tuple[Array, int | None]]:
    """Yield samples (m, 2) pushed out to the goal: straight to a corner (its index) there, and smoothly."""
    into, out = there.way(old[0], goal), there.way(old[-1], goal)
    if into is not None and out is not None and _turn(goal - old[0], old[-1] - goal) > BENT:
        yield np.concatenate([old[:1], into, out[-2::-1], old[-1:]]), len(into)
    share = (1 - np.linspace(-1, 1, len(old)) ** 2) ** 2
    bulge = old + share[:, None] * (goal - old[len(old) // 2])
    if there.on_ink(bulge).all():
        yield bulge, None


def stub(line: Line, goal: Array, there: Neighbours) -> Iterator[Amends]:
    """Yield a stub from a line straight to a goal that lies well outside of it."""
    away = np.hypot(*(line[0].points - goal).T)
    start = line[0].points[int(away.argmin())]
    way = there.way(start, goal)
    if way is not None and min(float(away.min()), there.away(goal)) >= OUT * there.pen:
        yield (_placed(np.concatenate([start[None], way]), line[0].width), []), STUB * there.deep**2


def _turn(into: Array, out: Array) -> float:
    """Return the angle between two directions (2,)."""
    return float(np.abs(np.arctan2(into[0] * out[1] - into[1] * out[0], into @ out)))


def _placed(points: Array, width: float) -> Samples:
    """Return points as samples that the fit keeps to as to clean ones: they lie where the ink needs them."""
    return Samples(points, np.full(len(points), width), np.ones(len(points), bool), closed=False)


def _joined(one: Samples, other: Samples) -> Samples:
    """Return open samples, one after the other."""
    points, widths, clean = (
        np.concatenate([getattr(one, name), getattr(other, name)]) for name in ("points", "widths", "clean")
    )
    return Samples(points, widths, clean, closed=False)
