"""What grooves close in: parts of the drawing, and standing wood. Both by the grooves at their full width."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.job import Job
from tracer.model.plan import Island
from tracer.shop.wood import least_land

Array = NDArray[np.float64]

LEAST_AREA = 0.02
"""mm^2; a sliver below this is a slip of the polylines, or gone with the first sandpaper."""

COMPACT = 1.5
"""Standing wood less than this many times as long as wide has short grain whichever way the grain runs."""

_ARC_STEPS = 8
"""Chords in a quarter of a groove's round end: within 0.5 % of its radius."""

_TOUCH = 0.02
"""mm; grooves this near to a hole's rim make it."""


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
class _Bodies:
    """Grooves that touch, as shapely polygons, and the body of each stroke by its index."""

    polygons: Any
    of_stroke: NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class _Hole:
    """A hole in the body `owner`, the bodies directly in it, how many holes lie round, the rim's strokes."""

    polygon: Any
    owner: int
    inside: tuple[int, ...]
    nesting: int
    rim: tuple[int, ...]


def find_islands(numbers: Sequence[int], polylines: Sequence[Array], job: Job) -> Enclosures:
    """Return what the grooves along `polylines` ((n, 2) wood mm; a dot's points are equal) close in.

    Grooves that touch are one body. What lies in a hole of another body is
    enclosed, and its nesting is the number of holes round it; the wood of a hole
    that no groove takes is standing wood. `numbers` are the stroke numbers.
    """
    import shapely

    if not numbers:
        return Enclosures()
    middles = [
        shapely.LineString(line) if np.ptp(line, axis=0).max() > 0 else shapely.Point(line[0])
        for line in polylines
    ]
    grooves = shapely.buffer(middles, job.groove / 2, quad_segs=_ARC_STEPS)
    polygons = shapely.get_parts(shapely.union_all(grooves))
    starts = shapely.points([line[0] for line in polylines])
    stroke, body = shapely.STRtree(polygons).query(starts, predicate="dwithin", distance=_TOUCH)
    of_stroke = np.zeros(len(numbers), dtype=np.intp)
    of_stroke[stroke] = body
    bodies = _Bodies(polygons, of_stroke)
    holes = _holes(bodies, shapely.STRtree(grooves))
    enclosed = [_enclosed(hole, part, bodies, numbers) for hole in holes for part in hole.inside]
    standing = [_standing(hole, bodies, numbers, job) for hole in holes]
    return _numbered(enclosed, [one for one in standing if one], _ranks(holes, bodies, numbers))


def _holes(bodies: _Bodies, grooves: Any) -> list[_Hole]:
    """Return all holes with what lies directly in each; `grooves` is the tree of the strokes' grooves."""
    import shapely

    rings = shapely.get_num_interior_rings(bodies.polygons)
    owner = np.repeat(np.arange(len(rings)), rings)
    if not len(owner):
        return []
    shapes = shapely.polygons([ring for polygon in bodies.polygons for ring in polygon.interiors])
    inner = shapely.points([polygon.exterior.coords[0] for polygon in bodies.polygons])
    body, hole = shapely.STRtree(shapes).query(inner, predicate="within")
    nesting = np.bincount(body, minlength=len(rings))
    direct = nesting[body] == nesting[owner[hole]] + 1
    near, rim = grooves.query(shapes, predicate="dwithin", distance=_TOUCH)
    on_rim = bodies.of_stroke[rim] == owner[near]
    return [
        _Hole(
            polygon=shape,
            owner=int(owner[i]),
            inside=tuple(body[direct & (hole == i)].tolist()),
            nesting=int(nesting[owner[i]]) + 1,
            rim=tuple(sorted(rim[on_rim & (near == i)].tolist())),
        )
        for i, shape in enumerate(shapes)
    ]


def _enclosed(hole: _Hole, part: int, bodies: _Bodies, numbers: Sequence[int]) -> Island:
    members = np.flatnonzero(bodies.of_stroke == part)
    where = bodies.polygons[part].representative_point()
    return Island(
        number=0,
        kind="enclosed strokes",
        where=(where.x, where.y),
        size=_size(bodies.polygons[part]),
        strokes=tuple(numbers[int(i)] for i in members),
        enclosed_by=tuple(numbers[i] for i in hole.rim),
        nesting=hole.nesting,
    )


def _standing(
    hole: _Hole, bodies: _Bodies, numbers: Sequence[int], job: Job
) -> tuple[Island, BreakOut | None] | None:
    """Return the wood that stands in a hole, and whether it will break out; None where it is a sliver."""
    import shapely

    taken = [shapely.Polygon(bodies.polygons[part].exterior) for part in hole.inside]
    wood = shapely.difference(hole.polygon, shapely.union_all(taken)) if taken else hole.polygon
    if wood.area < LEAST_AREA:
        return None
    where = wood.representative_point()
    island = Island(
        number=0,
        kind="standing wood",
        where=(where.x, where.y),
        size=_size(wood),
        strokes=(),
        enclosed_by=tuple(numbers[i] for i in hole.rim),
        nesting=hole.nesting,
    )
    return island, _break_out(island, wood, job)


def _break_out(island: Island, wood: Any, job: Job) -> BreakOut | None:
    """Compare the widest circle in the wood with the land rule."""
    import shapely

    most = _limit(math.pi / 2, job)
    if 2 * wood.area / wood.length >= most:  # no region's widest circle is less across than that
        return None
    widest = 2 * shapely.maximum_inscribed_circle(wood, tolerance=0.02).length
    limit = _limit(_grain_angle(wood, job), job)
    return BreakOut(island, widest, limit) if widest < limit - 0.01 else None


def _limit(grain_angle: float, job: Job) -> float:
    return least_land(
        job.wood, grain_angle=grain_angle, depth=job.depth, straight_walled=job.bit.straight_walled
    )


def _grain_angle(wood: Any, job: Job) -> float:
    """Return the angle between the wood's longer side and the grain; across where it is compact."""
    import shapely

    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(wood))[:4]
    sides = corners[[1, 2]] - corners[[0, 1]]
    length = np.hypot(sides[:, 0], sides[:, 1])
    if length.max() < COMPACT * length.min():
        return math.pi / 2
    x, y = sides[int(length.argmax())]
    return math.atan2(y, x) - math.radians(job.grain_deg)


def _size(shape: Any) -> tuple[float, float]:
    x0, y0, x1, y1 = shape.bounds
    return x1 - x0, y1 - y0


def _ranks(holes: Sequence[_Hole], bodies: _Bodies, numbers: Sequence[int]) -> dict[int, int]:
    """Return for each stroke number how deep rings nest inside its body: 0 where nothing is in it."""
    rank = np.zeros(len(bodies.polygons), dtype=np.intp)
    for hole in sorted(holes, key=lambda hole: -hole.nesting):
        if hole.inside:
            rank[hole.owner] = max(rank[hole.owner], rank[list(hole.inside)].max() + 1)
    return {number: int(rank[body]) for number, body in zip(numbers, bodies.of_stroke, strict=True)}


def _numbered(
    enclosed: list[Island], standing: list[tuple[Island, BreakOut | None]], rank: dict[int, int]
) -> Enclosures:
    """Number the islands: enclosed strokes first, then standing wood, each from the top of the board down."""

    def place(island: Island) -> tuple[float, float]:
        return island.where[1], island.where[0]

    islands = [replace(one, number=i) for i, one in enumerate(sorted(enclosed, key=place), start=1)]
    break_outs = []
    for island, break_out in sorted(standing, key=lambda pair: place(pair[0])):
        islands.append(replace(island, number=len(islands) + 1))
        if break_out:
            break_outs.append(replace(break_out, island=islands[-1]))
    return Enclosures(tuple(islands), tuple(break_outs), rank)
