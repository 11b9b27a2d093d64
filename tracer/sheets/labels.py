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


def _best(
    anchor: Array, size: tuple[float, float], dots: Array, around: tuple[Array, Array, float]
) -> Spot | None:
    """Return the best free place round its dot for one label, or None."""
    taken, near, clear = around
    best: tuple[float, Spot] | None = None
    for extra in _RINGS:
        for middle in _ring(anchor, size, clear + extra):
            spot = Spot(float(middle[0]), float(middle[1]), *size, leader=extra >= _LEADER_FROM)
            if _touches(spot.box, taken) or _covered(spot.box, dots, clear):
                continue
            cost = 10.0 * _covered(spot.box, near, 0.4) + extra
            if best is None or cost < best[0]:
                best = (cost, spot)
        if best is not None and best[0] <= extra:
            return best[1]
    return best[1] if best is not None else None


def _ring(anchor: Array, size: tuple[float, float], distance: float) -> Array:
    """Return middles (n, 2) of boxes of `size` whose nearest side lies `distance` from the anchor."""
    turn = np.arange(_TURNS) * (2 * np.pi / _TURNS) - np.pi / 4
    way = np.column_stack([np.cos(turn), np.sin(turn)])
    half = np.array(size) / 2
    reach = np.abs(way) @ half
    middles: Array = anchor + way * (distance + np.minimum(reach, np.hypot(*half)))[:, None]
    return middles


def _anywhere(
    anchor: Array, size: tuple[float, float], dots: Array, around: tuple[Box, Array, float]
) -> Spot | None:
    """Return the free place nearest to the anchor in the whole room, or None where all is taken."""
    (x0, y0, x1, y1), taken, clear = around
    across = np.arange(x0 + size[0] / 2, x1 - size[0] / 2, size[0] / 2)
    down = np.arange(y0 + size[1] / 2, y1 - size[1] / 2, size[1] / 2)
    middles = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
    for middle in middles[np.argsort(np.hypot(*(middles - anchor).T), kind="stable")]:
        spot = Spot(float(middle[0]), float(middle[1]), *size, leader=True)
        if not _touches(spot.box, taken) and not _covered(spot.box, dots, clear):
            return spot
    return None


def _outside(room: Box) -> Array:
    """Return four boxes (4, 4) that leave only the room free."""
    x0, y0, x1, y1 = room
    far = 1e6
    return np.array(
        [[-far, -far, x0, far], [x1, -far, far, far], [-far, -far, far, y0], [-far, y1, far, far]], float
    )


def _touches(box: Box, taken: Array) -> bool:
    """Say whether the box meets any of the boxes (n, 4)."""
    x0, y0, x1, y1 = box
    apart = (taken[:, 0] >= x1) | (taken[:, 2] <= x0) | (taken[:, 1] >= y1) | (taken[:, 3] <= y0)
    return bool((~apart).any())


def _covered(box: Box, points: Array, reach: float) -> int:
    """Count the points (n, 2) within `reach` of the box."""
    x0, y0, x1, y1 = box
    across = np.maximum(np.maximum(x0 - points[:, 0], points[:, 0] - x1), 0.0)
    down = np.maximum(np.maximum(y0 - points[:, 1], points[:, 1] - y1), 0.0)
    return int((np.hypot(across, down) < reach - 1e-9).sum())
