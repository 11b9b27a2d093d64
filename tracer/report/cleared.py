"""Clearing: rings inside the edges of letters, or on the ground round raised ones, until no wood is left."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.offset import rings_at
from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.plan import DepthStop, Groove
from tracer.report.levels import levels
from tracer.shop.bits import Bit

Array = NDArray[np.float64]

_WITHIN = 0.04
"""mm; how near the rings are to their true distance."""

_SPARE = 0.05
"""mm by which less is counted on than the bit sweeps: rings may be so far off, and flattened areas."""


@dataclass(frozen=True, eq=False)
class Ground:
    """An area to clear; wood mm.

    Attributes
    ----------
    chains : closed chains (n, 4, 2) that `room` lies between.
    room : shapely area.
    base : how far inside of it the tracks lie that are there already.
    edges : numbers of the strokes along the edges; the first lends the rings its stop.
    wanted : shapely area that is to go, to its very edge.
    half : half the groove's width at the face.
    tracks : of `chains` those that no stroke runs along yet.
    raised : it is the ground round letters that stand.
    surround : it ends there for no border.
    """

    chains: tuple[Array, ...]
    room: Any
    base: float
    edges: tuple[int, ...]
    wanted: Any
    half: float
    tracks: tuple[Array, ...] = ()
    raised: bool = False
    surround: float | None = None

    @property
    def reached(self) -> Any:
        """What the bit gets to: all but corners and necks."""
        return opened(self.wanted, self.half)


@dataclass(frozen=True, eq=False)
class Cleared:
    """Ground with the rings that clear it.

    Attributes
    ----------
    ground : what is cleared.
    stop : at which depth.
    swept : how wide the bit sweeps there, mm.
    rings : strokes of their own.
    steps : how far each lies from the one before, mm; of a track that no stroke ran along, the groove.
    """

    ground: Ground
    stop: DepthStop
    swept: float
    rings: tuple[Stroke, ...]
    steps: tuple[float, ...]

    @property
    def grooves(self) -> tuple[Groove, ...]:
        """One for each ring."""
        stop = self.stop
        return tuple(Groove(ring.number, stop.depth, stop.width, stop.number) for ring in self.rings)

    @property
    def fresh(self) -> dict[int, float]:
        """What share of each ring's groove is wood that no other has taken, by its number."""
        return {
            ring.number: step / self.stop.width for ring, step in zip(self.rings, self.steps, strict=True)
        }


def clear(
    grounds: Sequence[Ground], job: Job, stop_of: Callable[[int], DepthStop], first: int
) -> list[Cleared]:
    """Return the rings that clear each ground, numbered through from `first`.

    `stop_of` gives the depth stop of a stroke: rings are cut at that of the edges they lie in.
    """
    found: list[Cleared] = []
    for ground in grounds:
        stop = stop_of(ground.edges[0])
        swept = swept_by(job.bit, stop.depth)
        chains = _rings(ground, swept)
        strokes = tuple(
            Stroke(number, curves, closed=True, kind="edge")
            for number, (curves, _) in enumerate(chains, first + sum(len(one.rings) for one in found))
        )
        found.append(Cleared(ground, stop, swept, strokes, tuple(step for _, step in chains)))
    return found


def _rings(ground: Ground, swept: float) -> list[tuple[Array, float]]:
    """Return the chains of the rings, and the step to each, mm."""
    own = levels(ground.room, ground.base, swept - 2 * _SPARE)
    found = [(curves, 2 * ground.half) for curves in ground.tracks]
    for before, level in zip([ground.base, *own], own, strict=False):
        rings = rings_at(list(ground.chains), ground.room, level, _WITHIN)
        found += [(ring.curves, level - before) for ring in rings]
    return found


def opened(area: Any, half: float) -> Any:
    """Return what of an area a disc of a radius covers that stays inside it."""
    return area.buffer(-half).buffer(half)


def swept_by(bit: Bit, depth: float) -> float:
    """Return how wide a bit sweeps the ground, mm: its flat; without one, its width at half the depth.

    What a V or a round nose leaves between such tracks are ridges, nowhere higher than that.
    """
    flat = bit.section.flat
    return flat if flat >= bit.section.half_width(depth) else 2 * bit.section.half_width(depth / 2)


def ridge_height(bit: Bit, depth: float, step: float) -> float:
    """Return how high a ridge stands between tracks `step` mm apart, at most the depth; 0 for a flat bit."""
    return min(depth, float(bit.height_at(step / 2)))
