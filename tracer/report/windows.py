"""Where the board is placed along one axis so that the bit reaches all of a length: mm on the wood."""

import math
from dataclasses import dataclass, replace

from tracer.lengths import MM_PER_INCH, Units
from tracer.shop.linkage import SHARED, set_ups

_STEPS: dict[Units, tuple[float, ...]] = {
    "mm": (10.0, 5.0, 1.0),
    "in": tuple(MM_PER_INCH * share for share in (1 / 2, 1 / 4, 1 / 8, 1 / 16)),
}
"""mm; the board is moved by a multiple of one of them where there is room: easily read off a rule."""

_NOISE = 1e-9


@dataclass(frozen=True)
class Windows:
    """`count` windows, each `reach` long, the first from `start`, each `stride` on from the one before."""

    start: float
    stride: float
    count: int
    reach: float

    @property
    def starts(self) -> tuple[float, ...]:
        """Where each begins."""
        return tuple(self.start + index * self.stride for index in range(self.count))

    def zone(self, index: int) -> tuple[float, float]:
        """What window `index` shares with the next."""
        return self.start + (index + 1) * self.stride, self.start + index * self.stride + self.reach

    def cover(self, low: float, high: float) -> bool:
        """Say whether all from `low` to `high` lies in them."""
        end = self.start + (self.count - 1) * self.stride + self.reach
        return self.start <= low + _NOISE and high <= end + _NOISE


def shared(reach: float) -> float:
    """Return how much neighbouring set-ups share at least, mm: a quarter of a small reach."""
    return min(SHARED, reach / 4)


def needed(length: float, reach: float) -> int:
    """Return the fewest windows: ceil((L - o) / (E - o)) [D]."""
    return set_ups(length, reach, overlap=shared(reach))


def lay(low: float, high: float, reach: float, *, count: int, units: Units) -> Windows:
    """Lay windows over low..high, what is to spare shared out evenly among the ends and the overlaps."""
    length = high - low
    if count == 1:
        return Windows((low + high - reach) / 2, 0.0, 1, reach)
    most, least = reach - shared(reach), (length - reach) / (count - 1)
    spare = count * reach - (count - 1) * shared(reach) - length
    wanted = most - spare / (count + 1)
    steps = [round(wanted / step) * step for step in _STEPS[units]]
    fitting = [step for step in steps if least - _NOISE <= step <= most + _NOISE]
    stride = fitting[0] if fitting else max(least, wanted)
    return Windows((low + high - reach - (count - 1) * stride) / 2, stride, count, reach)


def lay_by(grid: Windows, low: float, high: float, *, count: int, units: Units) -> Windows:
    """Lay windows over low..high: neighbours of a grid where these will do, else a whole step off it."""
    for start in grid.starts[: max(0, grid.count - count + 1)]:
        some = Windows(start, grid.stride, count, grid.reach)
        if some.cover(low, high):
            return some
    own, step = lay(low, high, grid.reach, count=count, units=units), _STEPS[units][-1]
    for whole in (round, math.floor, math.ceil):
        moved = replace(own, start=grid.start + whole((own.start - grid.start) / step) * step)
        if moved.cover(low, high):
            return moved
    return own
