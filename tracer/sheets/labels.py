"""Places for numbers beside dots so that they cover neither lines nor each other."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]

_TURNS = 16
"""Directions tried round a dot."""

_RINGS = (0.0, 0.8, 1.6, 3.0, 5.0, 8.0, 12.0, 17.0, 23.0, 30.0)
"""mm of extra distance from the dot, nearest first: far ones are for crowded places and get a leader line."""

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
    anchors: Array, sizes: Sequence[tuple[float, float]], *, lines: Array, clear: float, room: Box
) -> tuple[Spot | None, ...]:
    """Find a place for a label at each of `anchors` (n, 2), all mm in one frame.

    Greedy, in the order given: of the places round the dot that lie in `room` and touch no
    earlier label and no dot, the one that covers the fewest points of `lines` (m, 2), and
    among those the nearest. `clear` is the radius kept free round every dot. Where all
    places near the dot are taken the nearest free one in the room will do; None where
    the whole room is taken.
    """
    spots: list[Spot | None] = []
    taken = _outside(room)
    for anchor, size in zip(anchors, sizes, strict=True):
        near = lines[np.abs(lines - anchor).max(axis=1) < _RINGS[-1] + clear + max(size)]
        spot = _best(anchor, size, anchors, (taken, near, clear))
        spot = spot or _anywhere(anchor, size, anchors, (room, taken, clear))
        spots.append(spot)
        if spot is not None:
            taken = np.vstack([taken, spot.box])
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
        beside = taken[((taken[:, :2] < high) & (taken[:, 2:] > low)).all(axis=1)]
        free = np.flatnonzero(_free(boxes, beside, near, clear))
        spots.append(_spot(boxes[free[0]], leader=False) if len(free) else None)
        if len(free):
            taken = np.vstack([taken, boxes[free[0]]])
    return tuple(spots)


def _best(
    anchor: Array, size: tuple[float, float], dots: Array, around: tuple[Array, Array, float]
) -> Spot | None:
    """Return the best free place round its dot for one label, or None."""
    taken, near, clear = around
    best: tuple[float, Spot] | None = None
    for extra in _RINGS:
        boxes = _boxes(_ring(anchor, size, clear + extra), size)
        boxes = boxes[_free(boxes, taken, dots, clear)]
        if len(boxes):
            costs = 10.0 * _covers(boxes, near, 0.4) + extra
            least = int(costs.argmin())
            if best is None or costs[least] < best[0]:
                best = (float(costs[least]), _spot(boxes[least], leader=extra >= _LEADER_FROM))
        if best is not None and best[0] <= extra:
            break
    return best[1] if best is not None else None


def _ring(anchor: Array, size: tuple[float, float], distance: float) -> Array:
    """Return middles (n, 2) of boxes of `size` whose nearest side lies `distance` from the anchor."""
    turn = np.arange(_TURNS) * (2 * np.pi / _TURNS) - np.pi / 4
    way = np.column_stack([np.cos(turn), np.sin(turn)])
    reach = np.abs(way) @ (np.array(size) / 2)
    middles: Array = anchor + way * (distance + reach)[:, None]
    return middles


def _anywhere(
    anchor: Array, size: tuple[float, float], dots: Array, around: tuple[Box, Array, float]
) -> Spot | None:
    """Return the free place nearest to the anchor in the whole room, or None where all is taken."""
    (x0, y0, x1, y1), taken, clear = around
    across = np.arange(x0 + size[0] / 2, x1 - size[0] / 2, size[0] / 2)
    down = np.arange(y0 + size[1] / 2, y1 - size[1] / 2, size[1] / 2)
    middles = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
    middles = middles[np.argsort(np.hypot(*(middles - anchor).T), kind="stable")]
    for some in np.array_split(middles, 1 + len(middles) // 200):
        boxes = _boxes(some, size)
        free = np.flatnonzero(_free(boxes, taken, dots, clear))
        if len(free):
            return _spot(boxes[free[0]], leader=True)
    return None


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
    x0, y0, x1, y1 = (boxes[:, side, None] for side in range(4))
    x, y = points[:, 0], points[:, 1]
    across = np.maximum(np.maximum(x0 - x, x - x1), 0.0)
    down = np.maximum(np.maximum(y0 - y, y - y1), 0.0)
    near: NDArray[np.intp] = (across**2 + down**2 < (reach - 1e-9) ** 2).sum(axis=1)
    return near


def _outside(room: Box) -> Array:
    """Return four boxes (4, 4) that leave only the room free."""
    x0, y0, x1, y1 = room
    far = 1e6
    return np.array(
        [[-far, -far, x0, far], [x1, -far, far, far], [-far, -far, far, y0], [-far, y1, far, far]], float
    )
