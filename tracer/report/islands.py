"""What grooves close in: parts of the drawing, and standing wood. Both by the grooves at their full width."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.job import Job
from tracer.model.plan import Island
from tracer.report.bodies import OUTSIDE, Bodies
from tracer.report.cut import Cut
from tracer.report.fields import areas
from tracer.report.samples import Samples
from tracer.report.walls import least_between

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

LEAST_AREA = 0.02
"""mm^2; a sliver below this is a slip of the samples, or gone with the first sandpaper."""

COMPACT = 1.5
"""Standing wood less than this many times as long as wide has short grain whichever way the grain runs."""

_TURN_DEG = 3.0
"""Steps in which the narrowest box round a piece of wood is sought."""


@dataclass(frozen=True)
class BreakOut:
    """Standing wood whose widest circle is less across than the land rule asks for; mm."""

    island: Island
    widest: float
    limit: float


@dataclass(frozen=True)
class Enclosures:
    """Islands, those that will break out, and by stroke number how deep rings nest inside its groove."""

    islands: tuple[Island, ...] = ()
    break_outs: tuple[BreakOut, ...] = ()
    rank: Mapping[int, int] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class _Place:
    """All that islands are made of; strokes are told by their index in `cut`.

    `body` (k,) is that of each stroke, `node_stroke` (n,) the stroke of each real node.
    """

    cut: Cut
    samples: Samples
    bodies: Bodies
    body: Ints
    node_stroke: Ints

    @cached_property
    def triangles(self) -> list[Ints]:
        """The triangles of each field, that with the widest circle last."""
        bodies = self.bodies
        wood = np.flatnonzero(bodies.of_triangle >= 0)
        order = wood[np.lexsort((bodies.clearance[wood], bodies.of_triangle[wood]))]
        first = np.searchsorted(bodies.of_triangle[order], np.arange(len(bodies.nest.body_of)))
        return np.split(order, first[1:])

    @cached_property
    def rims(self) -> list[list[int]]:
        """The numbers of the strokes that make the rim round each field."""
        bodies, mesh = self.bodies, self.bodies.mesh
        wood = np.flatnonzero(bodies.of_triangle >= 0)
        corners, one = mesh.triangles[wood].ravel(), np.repeat(bodies.of_triangle[wood], 3)
        stroke = np.append(self.node_stroke, [0] * 4)[corners]
        own = (corners < mesh.real) & (self.body[stroke] == bodies.nest.body_of[one])
        count = len(self.cut.strokes)
        pairs = np.unique(one[own] * count + stroke[own])
        rims: list[list[int]] = [[] for _ in bodies.nest.body_of]
        for field_, k in zip((pairs // count).tolist(), (pairs % count).tolist(), strict=True):
            rims[field_].append(self.cut.numbers[k])
        return rims

    @cached_property
    def members(self) -> list[Ints]:
        """The samples of each body."""
        body = self.body[self.samples.stroke]
        order = np.argsort(body, kind="stable")
        return np.split(order, np.searchsorted(body[order], np.arange(1, len(self.bodies.nest.field_of))))


def find_islands(cut: Cut, samples: Samples, bodies: Bodies, job: Job) -> Enclosures:
    """Return what the grooves close in; `samples` are of the strokes of `cut`, `bodies` of the samples.

    What lies in a hole of another body is enclosed, and its nesting is the number of
    rings round it; the wood of a hole that no groove takes is standing wood.
    """
    node_stroke = samples.stroke[bodies.mesh.sample_of]
    place = _Place(cut, samples, bodies, _body_of_strokes(cut, samples, bodies), node_stroke)
    islands = [*_enclosed(place), *_standing(place, job)]
    numbered = tuple(replace(island, number=i) for i, island in enumerate(islands, start=1))
    rank = bodies.nest.rank
    return Enclosures(
        islands=numbered,
        break_outs=tuple(BreakOut(one, one.widest, one.least) for one in numbered if one.breaks),
        rank={number: int(rank[body]) for number, body in zip(cut.numbers, place.body, strict=True)},
    )


def _body_of_strokes(cut: Cut, samples: Samples, bodies: Bodies) -> Ints:
    """Return the body of each stroke (k,): that of any of its samples whose disc is not all under others."""
    body = np.zeros(len(cut.strokes), dtype=np.intp)
    seen = np.zeros(len(bodies.mesh.nodes), dtype=bool)
    seen[bodies.mesh.triangles] = True
    node = bodies.mesh.node_of
    order = np.argsort(seen[node], kind="stable")  # those that are seen come last and stay
    body[samples.stroke[order]] = bodies.of_node[node[order]]
    return body


def _enclosed(place: _Place) -> Iterator[Island]:
    """Return the bodies that lie in holes of others, from the top of the board down."""
    nest = place.bodies.nest
    inner = [
        body
        for body, one in enumerate(nest.field_of.tolist())
        if one != OUTSIDE and nest.depth[one] > 0
    ]
    found = [_body(place, body) for body in inner]
    yield from sorted(found, key=_from_the_top)


def _from_the_top(island: Island) -> tuple[float, float]:
    return island.where[1], island.where[0]


def _body(place: _Place, body: int) -> Island:
    one = int(place.bodies.nest.field_of[body])
    own = place.members[body]
    stroke = place.samples.stroke[own]
    points, reach = place.samples.points[own], place.cut.radius[stroke, None]
    size = (points + reach).max(axis=0) - (points - reach).min(axis=0)
    middle = points[np.argmin(((points - points.mean(axis=0)) ** 2).sum(axis=1))]
    return Island(
        number=0,
        kind="enclosed strokes",
        where=(float(middle[0]), float(middle[1])),
        size=(float(size[0]), float(size[1])),
        strokes=tuple(place.cut.numbers[k] for k in np.unique(stroke).tolist()),
        enclosed_by=tuple(place.rims[one]),
        nesting=int(place.bodies.nest.depth[one]),
    )


def _standing(place: _Place, job: Job) -> Iterator[Island]:
    """Return the wood in holes, from the top of the board down; slivers are left out."""
    bodies = place.bodies
    area = areas(bodies, place.node_stroke, place.bodies.mesh.sample_of)
    found = [
        _wood(place, job, one, area=float(area[one]))
        for one in range(len(area))
        if one != bodies.outside and area[one] >= LEAST_AREA
    ]
    yield from sorted(found, key=_from_the_top)


def _wood(place: _Place, job: Job, one: int, *, area: float) -> Island:
    """Return the standing wood of one field."""
    triangles = place.triangles[one]
    centres, clear = place.bodies.mesh.centres[triangles], place.bodies.clearance[triangles]
    low, high = (centres - clear[:, None]).min(axis=0), (centres + clear[:, None]).max(axis=0)
    rim = tuple(place.rims[one])
    depth = max((place.cut.groove[number].depth for number in rim), default=job.depth)
    across, widest = math.pi / 2, 2 * float(clear[-1])
    least = least_between(job, depth, across)
    if widest < least and _long(high - low):
        least = least_between(job, depth, _grain_angle(centres, clear, job))
    return Island(
        number=0,
        kind="standing wood",
        where=(float(centres[-1, 0]), float(centres[-1, 1])),
        size=(float(high[0] - low[0]), float(high[1] - low[1])),
        strokes=(),
        enclosed_by=rim,
        nesting=int(place.bodies.nest.depth[one]),
        area=area,
        widest=widest,
        least=least,
    )


def _long(size: Array) -> bool:
    """Say whether wood of this extent may be long and narrow, in whatever direction."""
    return bool(np.hypot(*size) > COMPACT * size.min() / math.sqrt(2))


def _grain_angle(centres: Array, clear: Array, job: Job) -> float:
    """Return the angle between the wood's longer side and the grain; across where it is compact."""
    angle = np.radians(np.arange(0.0, 180.0, _TURN_DEG))
    along = centres @ np.stack([np.cos(angle), np.sin(angle)])
    extent = (along + clear[:, None]).max(axis=0) - (along - clear[:, None]).min(axis=0)
    across = np.roll(extent, len(extent) // 2)
    best = int(np.argmin(np.where(extent >= across, extent * across, np.inf)))
    if extent[best] < COMPACT * across[best]:
        return math.pi / 2
    return float(angle[best]) - math.radians(job.grain_deg)
