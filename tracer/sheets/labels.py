"""Places for numbers beside dots so that they cover neither lines nor each other."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]

_TURNS = 16
"""Directions tried round a dot."""

_WAYS: Array = np.column_stack(
    [turn(np.arange(_TURNS) * (2 * np.pi / _TURNS) - np.pi / 4) for turn in (np.cos, np.sin)]
)

_RINGS = (0.0, 0.8, 1.6, 3.0, 5.0, 8.0, 12.0, 17.0, 23.0, 30.0)
"""mm of extra distance from the dot, nearest first: far ones are for crowded places and get a leader line."""

_OFF = 0.4
"""mm that a label keeps off the middles of lines, where it can."""

_NEARER, _SAME = 0.8, 0.05
"""mm by which a label should be nearer to its own dot than to others, and within which dots are one."""

_COVERED, _CROSSED, _DOUBT = 40.0, 20.0, 3.0
"""Cost, in mm of distance, of a point of a line under a label, of a label under its leader, of one that may
be taken for another dot's."""

_CLOSE = 5
"""How many of the rings are tried before anything further off is looked at."""

_LEADER_FROM = 2.0
"""mm of extra distance from which a label is tied to its dot by a line."""


@dataclass(frozen=True)
class Spot:
    """A label's place: its box's middle (x, y) and size; `leader`: it is so far off that a line is due."""

    x: float
    y: float
    width: float
    height: float
    leader: bool

    @property
    def box(self) -> Box:
        """(x0, y0, x1, y1)."""
        w, h = self.width / 2, self.height / 2
        return self.x - w, self.y - h, self.x + w, self.y + h


def place(
    anchors: Array,
    sizes: Sequence[tuple[float, float]],
    *,
    lines: Array,
    clear: float,
    room: Box,
    taken: Array | None = None,
) -> tuple[Spot | None, ...]:
    """Find a place for a label at each of `anchors` (n, 2), all mm in one frame.

    Greedy, in the order given: of the places round the dot that lie in `room` and touch no
    earlier label, none of the boxes `taken` (k, 4) and no dot, the one that covers the
    fewest points of `lines` (m, 2), and among those the nearest that no other dot is nearer
    to. `clear` is the radius kept free round every dot. Where all places near the dot are
    taken the nearest free one in the room will do; None where the whole room is taken.
    """
    spots: list[Spot | None] = []
    boxes = _outside(room) if taken is None else np.vstack([_outside(room), taken])
    around = _Around(anchors, lines[np.argsort(lines[:, 0], kind="stable")], boxes, clear)
    for index, size in enumerate(sizes):
        spot = around.best(index, size) or around.anywhere(index, size, room)
        spots.append(spot)
        if spot is not None:
            around.take(index, spot)
    return tuple(spots)


def place_clear(
    choices: Sequence[Array],
    sizes: Sequence[tuple[float, float]],
    *,
    taken: Array,
    lines: Array,
    clear: float,
) -> tuple[Spot | None, ...]:
    """Find a place for each label among its `choices` of middles (k, 2), or None; all mm in one frame.

    Greedy, in the order given: the first that meets no earlier label and none of the boxes
    `taken` (n, 4), and keeps `clear` off all points of `lines` (m, 2).
    """
    spots: list[Spot | None] = []
    lines = lines[np.argsort(lines[:, 0], kind="stable")]
    for middles, size in zip(choices, sizes, strict=True):
        boxes = _boxes(middles, size)
        low, high = boxes[:, :2].min(axis=0) - clear, boxes[:, 2:].max(axis=0) + clear
        near = lines[slice(*np.searchsorted(lines[:, 0], (low[0], high[0])))]
        near = near[(near[:, 1] > low[1]) & (near[:, 1] < high[1])]
        beside = taken[_meeting(taken, low, high)]
        free = np.flatnonzero(_free(boxes, beside, near, clear))
        spots.append(_spot(boxes[free[0]], leader=False) if len(free) else None)
        if len(free):
            taken = np.vstack([taken, boxes[free[0]]])
    return tuple(spots)


class _Around:
    """What labels have to keep off while one after another is placed."""

    def __init__(self, dots: Array, lines: Array, taken: Array, clear: float) -> None:
        self._dots, self._lines, self._taken, self._clear = dots, lines, taken, clear
        self._leaders = np.empty((0, 2))

    def best(self, index: int, size: tuple[float, float]) -> Spot | None:
        """Return the best free place round its dot for one label, or None."""
        best: tuple[float, Spot] | None = None
        for rings in (_RINGS[:_CLOSE], _RINGS[_CLOSE:]):
            near = self._near(self._dots[index], rings[-1] + self._clear + max(size))
            extra = np.repeat(rings, _TURNS)
            boxes = _boxes(_round(near.anchor, size, self._clear + extra), size)
            free = np.flatnonzero(_free(boxes, near.taken, near.dots, self._clear))
            cost, spot = self._least(boxes[free], extra[free], near)
            if spot is not None and (best is None or cost < best[0]):
                best = cost, spot
            if best is not None and best[0] <= rings[-1]:
                break
        return best[1] if best is not None else None

    def anywhere(self, index: int, size: tuple[float, float], room: Box) -> Spot | None:
        """Return the free place nearest to its dot in the whole room, or None where all is taken."""
        (x0, y0, x1, y1), anchor = room, self._dots[index]
        across = np.arange(x0 + size[0] / 2, x1 - size[0] / 2, size[0] / 2)
        down = np.arange(y0 + size[1] / 2, y1 - size[1] / 2, size[1] / 2)
        middles = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
        middles = middles[np.argsort(np.hypot(*(middles - anchor).T), kind="stable")]
        for some in np.array_split(middles, 1 + len(middles) // 200):
            boxes = _boxes(some, size)
            boxes = boxes[_free(boxes, self._taken, self._dots, self._clear)]
            if len(boxes):
                lines = self._near(boxes.reshape(-1, 2).mean(axis=0), 2 * float(np.ptp(boxes))).lines
                return _spot(boxes[int(_covers(boxes, lines, _OFF).argmin())], leader=True)
        return None

    def take(self, index: int, spot: Spot) -> None:
        """Keep later labels off one that is placed, and off its leader."""
        self._taken = np.vstack([self._taken, spot.box])
        if spot.leader:
            self._leaders = np.vstack([self._leaders, _between(self._dots[index], (spot.x, spot.y))])

    def _near(self, anchor: Array, reach: float) -> "_Near":
        """Return what lies within `reach` of a dot."""
        low, high = anchor - reach, anchor + reach
        lines = self._lines[slice(*np.searchsorted(self._lines[:, 0], (low[0], high[0])))]
        lines = lines[(lines[:, 1] > low[1]) & (lines[:, 1] < high[1])]
        taken = self._taken[_meeting(self._taken, low, high)]
        dots = self._dots[(np.abs(self._dots - anchor) < reach).all(axis=1)]
        return _Near(anchor, np.concatenate([lines, self._leaders]), taken, dots)

    def _least(self, boxes: Array, extra: Array, near: "_Near") -> tuple[float, Spot | None]:
        """Return the cost of the cheapest of `boxes` (n, 4), so much `extra` (n,) off the dot, and it."""
        others = near.dots[np.abs(near.dots - near.anchor).max(axis=1) > _SAME]
        own = np.sqrt(_squared(boxes, near.anchor[None]))[:, 0]
        doubtful = np.sqrt(_squared(boxes, others).min(axis=1, initial=np.inf)) < own + _NEARER
        far = doubtful | (extra >= _LEADER_FROM)
        costs = _COVERED * _covers(boxes, near.lines, _OFF) + extra + _DOUBT * doubtful
        best, spot = np.inf, None
        for index in np.argsort(costs, kind="stable").tolist():
            if costs[index] >= best:
                break
            cost = float(costs[index])
            if far[index]:
                leader = _between(near.anchor, boxes[index].reshape(2, 2).mean(axis=0))
                cost += _CROSSED * _inside(leader, near.taken)
            if cost < best:
                best, spot = cost, _spot(boxes[index], leader=bool(far[index]))
        return best, spot


@dataclass(frozen=True, eq=False)
class _Near:
    """A dot (2,) and what lies near: points of lines (m, 2), boxes that are taken (k, 4), dots (n, 2)."""

    anchor: Array
    lines: Array
    taken: Array
    dots: Array


def _round(anchor: Array, size: tuple[float, float], distances: Array) -> Array:
    """Return middles (n, 2) of boxes of `size` whose nearest sides lie `distances` (n,) from the anchor.

    Distances come by rings, each in as many directions.
    """
    reach = np.abs(_WAYS) @ (np.array(size) / 2)
    rings = len(distances) // _TURNS
    middles: Array = anchor + np.tile(_WAYS, (rings, 1)) * (distances + np.tile(reach, rings))[:, None]
    return middles


def _between(start: Array, end: Array | tuple[float, float]) -> Array:
    """Return points (n, 2) about 0.6 mm apart from one point to another."""
    step = np.asarray(end) - start
    count = 1 + int(np.hypot(*step) / 0.6)
    return start + (np.arange(count + 1) / count)[:, None] * step


def _inside(points: Array, boxes: Array) -> int:
    """Count the boxes (k, 4) that hold any of the points (n, 2)."""
    low, high = points.min(axis=0), points.max(axis=0)
    boxes = boxes[_meeting(boxes, low, high)]
    return int((_squared(boxes, points) <= 0.0).any(axis=1).sum())


def _meeting(boxes: Array, low: Array, high: Array) -> NDArray[np.bool_]:
    """Say which of `boxes` (k, 4) meet that from `low` (2,) to `high`: column by column, which is quicker."""
    x0, y0, x1, y1 = boxes.T
    meeting: NDArray[np.bool_] = (x0 < high[0]) & (y0 < high[1]) & (x1 > low[0]) & (y1 > low[1])
    return meeting


def _boxes(middles: Array, size: tuple[float, float]) -> Array:
    """Return the boxes (n, 4) of `size` about middles (n, 2)."""
    half = np.array(size) / 2
    return np.hstack([middles - half, middles + half])


def _spot(box: Array, *, leader: bool) -> Spot:
    """Return a box as a label's place."""
    x0, y0, x1, y1 = (float(side) for side in box)
    return Spot((x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0, leader)


def _free(boxes: Array, taken: Array, dots: Array, clear: float) -> NDArray[np.bool_]:
    """Say which of `boxes` (n, 4) meet none of `taken` (m, 4) and keep `clear` of all dots (k, 2)."""
    x0, y0, x1, y1 = (boxes[:, side, None] for side in range(4))
    apart = (taken[:, 0] >= x1) | (taken[:, 2] <= x0) | (taken[:, 1] >= y1) | (taken[:, 3] <= y0)
    free: NDArray[np.bool_] = apart.all(axis=1) & (_covers(boxes, dots, clear) == 0)
    return free


def _covers(boxes: Array, points: Array, reach: float) -> NDArray[np.intp]:
    """Count for each of `boxes` (n, 4) the points (m, 2) within `reach` of it."""
    near: NDArray[np.intp] = (_squared(boxes, points) < (reach - 1e-9) ** 2).sum(axis=1)
    return near


def _squared(boxes: Array, points: Array) -> Array:
    """Return the square (n, m) of how far each of the points (m, 2) lies from each of the boxes (n, 4)."""
    squared = np.zeros((len(boxes), len(points)))
    for low, high, place in zip(boxes[:, :2].T, boxes[:, 2:].T, points.T, strict=True):
        away = np.abs(place - ((low + high) / 2)[:, None])
        away -= ((high - low) / 2)[:, None]
        np.maximum(away, 0.0, out=away)
        squared += away * away
    return squared


def _outside(room: Box) -> Array:
    """Return four boxes (4, 4) that leave only the room free."""
    x0, y0, x1, y1 = room
    far = 1e6
    return np.array(
        [[-far, -far, x0, far], [x1, -far, far, far], [-far, -far, far, y0], [-far, y1, far, far]], float
    )
