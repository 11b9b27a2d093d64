"""What grooves close in: parts of the drawing, and standing wood. Both by the grooves at their full width."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.job import Job
from tracer.model.plan import Island
from tracer.report.bodies import BURIED, Bodies
from tracer.report.cut import Cut
from tracer.report.fields import areas
from tracer.report.inscribed import clearances
from tracer.report.samples import Samples
from tracer.report.walls import rule_of

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

LEAST_AREA = 0.02
"""mm^2; a sliver below this is a slip of the samples, or gone with the first sandpaper."""

COMPACT = 1.5
"""Standing wood less than this many times as long as wide has short grain whichever way the grain runs."""

_DIGITS = 3
"""Decimals of mm: of points that are as near to the middle the first is taken, whatever the rounding."""

_TURN_DEG = 3.0
"""Steps in which the narrowest box round a piece of wood is sought."""

_ANGLES = np.radians(np.arange(0.0, 180.0, _TURN_DEG))
_DIRECTIONS = np.stack([np.cos(_ANGLES), np.sin(_ANGLES)])


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


def find_islands(cut: Cut, samples: Samples, bodies: Bodies, job: Job) -> Enclosures:
    """Return what the grooves close in; `samples` are of the strokes of `cut`, `bodies` of the samples.

    What lies in a hole of another body is enclosed, and its nesting is the number of
    rings round it; the wood of a hole that no groove takes is standing wood.
    """
    place = _place(cut, samples, bodies)
    kinds = (_enclosed(place), _standing(place, job))
    islands = [island for kind in kinds for island in sorted(kind, key=_from_the_top)]
    numbered = tuple(replace(island, number=i) for i, island in enumerate(islands, start=1))
    rank = bodies.nest.rank
    return Enclosures(
        islands=numbered,
        break_outs=tuple(BreakOut(one, one.widest, one.least) for one in numbered if one.breaks),
        rank={number: int(rank[body]) for number, body in zip(cut.numbers, place.body, strict=True)},
    )


def find_break_outs(cut: Cut, samples: Samples, bodies: Bodies, job: Job) -> tuple[BreakOut, ...]:
    """Return only the standing wood that will break out, as `find_islands` does but not numbered."""
    found = sorted(_standing(_place(cut, samples, bodies), job, breaking=True), key=_from_the_top)
    return tuple(BreakOut(one, one.widest, one.least) for one in found if one.breaks)


def _place(cut: Cut, samples: Samples, bodies: Bodies) -> _Place:
    node_stroke = samples.stroke[bodies.mesh.sample_of]
    return _Place(cut, samples, bodies, _body_of_strokes(cut, samples, bodies), node_stroke)


def _body_of_strokes(cut: Cut, samples: Samples, bodies: Bodies) -> Ints:
    """Return the body of each stroke (k,): that of any of its samples, or what all of it lies under."""
    of_sample = bodies.of_node[bodies.mesh.node_of]
    order = np.argsort(of_sample != BURIED, kind="stable")  # those that show come last and stay
    body = np.full(len(cut.strokes), BURIED)
    body[samples.stroke[order]] = of_sample[order]
    shown = np.flatnonzero(of_sample != BURIED)
    for stroke in np.flatnonzero(body == BURIED).tolist():
        d = samples.points[shown] - samples.points[np.searchsorted(samples.stroke, stroke)]
        body[stroke] = of_sample[shown[int((d**2).sum(axis=1).argmin())]]
    return body


def _enclosed(place: _Place) -> Iterator[Island]:
    """Return the bodies that lie in holes of others."""
    nest, samples = place.bodies.nest, place.samples
    body = place.body[samples.stroke]
    order = np.argsort(body, kind="stable")
    kinds, first = np.unique(body[order], return_index=True)
    points, reach = samples.points[order], place.cut.radius[samples.stroke[order], None]
    high = np.maximum.reduceat(points + reach, first)
    size = high - np.minimum.reduceat(points - reach, first)
    for k, one in enumerate(kinds.tolist()):
        field_ = int(nest.field_of[one])
        if not nest.depth[field_]:
            continue
        own = order[first[k] : first[k + 1] if k + 1 < len(first) else None]
        middle = high[k] - size[k] / 2
        off = np.round(np.hypot(*(samples.points[own] - middle).T), _DIGITS)
        x, y = samples.points[own[int(off.argmin())]].tolist()
        yield Island(
            number=0,
            kind="enclosed strokes",
            where=(x, y),
            size=(float(size[k, 0]), float(size[k, 1])),
            strokes=tuple(place.cut.numbers[s] for s in np.unique(samples.stroke[own]).tolist()),
            enclosed_by=tuple(place.rims[field_]),
            nesting=int(nest.depth[field_]),
        )


def _standing(place: _Place, job: Job, *, breaking: bool = False) -> Iterator[Island]:
    """Return the wood in holes, or only what may be breaking; slivers are left out."""
    bodies, mesh = place.bodies, place.bodies.mesh
    area = areas(bodies, place.samples)
    wood = np.flatnonzero(bodies.of_triangle >= 0)
    order = wood[np.lexsort((-bodies.clearance[wood], bodies.of_triangle[wood]))]
    first = np.searchsorted(bodies.of_triangle[order], np.arange(len(area)))
    centres, clear = mesh.centres[order], bodies.clearance[order]
    size = np.maximum.reduceat(centres + clear[:, None], first)
    size -= np.minimum.reduceat(centres - clear[:, None], first)
    middle, widest = _widest(place, order[first])
    rule = rule_of(job)
    across = {depth: rule(depth, math.pi / 2) for depth in {*place.cut.depth.tolist(), job.depth}}
    wanted = area >= LEAST_AREA
    wanted[bodies.outside] = False
    if breaking:
        wanted &= widest < max(across.values())
    chosen = np.flatnonzero(wanted)
    groove = place.cut.groove
    depths = [max((groove[n].depth for n in place.rims[one]), default=job.depth) for one in chosen.tolist()]
    least = np.array([across[depth] for depth in depths])
    long = np.flatnonzero((widest[chosen] < least) & _long(size[chosen]))
    angles = _grain_angles(centres, clear, bodies.of_triangle[order], chosen[long], job)
    for k, angle in zip(long.tolist(), angles, strict=True):
        least[k] = rule(depths[k], angle)
    for k, one in enumerate(chosen.tolist()):
        x, y = middle[one].tolist()
        yield Island(
            number=0,
            kind="standing wood",
            where=(x, y),
            size=(float(size[one, 0]), float(size[one, 1])),
            strokes=(),
            enclosed_by=tuple(place.rims[one]),
            nesting=int(bodies.nest.depth[one]),
            area=float(area[one]),
            widest=float(widest[one]),
            least=float(least[k]),
        )


def _widest(place: _Place, triangles: Ints) -> tuple[Array, Array]:
    """Return the middle (n, 2) and width (n,) of the circles in these triangles."""
    mesh = place.bodies.mesh
    middle, clear = mesh.centres[triangles], place.bodies.clearance[triangles].copy()
    real = (mesh.triangles[triangles] < mesh.real).all(axis=1)
    touched = mesh.sample_of[mesh.triangles[triangles[real]]]
    clear[real] = clearances(middle[real], touched, place.samples, place.cut.radius)
    return middle, 2 * clear


def _from_the_top(island: Island) -> tuple[float, float]:
    return island.where[1], island.where[0]


def _long(size: Array) -> NDArray[np.bool_]:
    """Say which wood of these extents (n, 2) may be long and narrow, in whatever direction."""
    long: NDArray[np.bool_] = np.hypot(size[:, 0], size[:, 1]) > COMPACT * size.min(axis=1) / math.sqrt(2)
    return long


def _grain_angles(centres: Array, clear: Array, of: Ints, fields: Ints, job: Job) -> list[float]:
    """Return for `fields`, rising, the angle between the wood's longer side and the grain.

    It is across where the wood is compact. `of` (k,), rising, is the field of each circle.
    """
    if not len(fields):
        return []
    own = np.isin(of, fields)
    first = np.searchsorted(of[own], fields)
    along, reach = centres[own] @ _DIRECTIONS, clear[own, None]
    extent = np.maximum.reduceat(along + reach, first) - np.minimum.reduceat(along - reach, first)
    across = np.roll(extent, len(_ANGLES) // 2, axis=1)
    best = np.argmin(np.where(extent >= across, extent * across, np.inf), axis=1)
    row, grain = np.arange(len(fields)), math.radians(job.grain_deg)
    compact = extent[row, best] < COMPACT * across[row, best]
    angles: list[float] = np.where(compact, math.pi / 2, best * math.radians(_TURN_DEG) - grain).tolist()
    return angles
