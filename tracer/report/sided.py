"""Grooves beside the edges of solids: inside or outside of them, as far off as the groove is half wide."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from tracer.acts import Side
from tracer.geometry.offset import polygon_of, rings_at
from tracer.job import Job
from tracer.lengths import both
from tracer.model.drawing import Region, Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.report import remedy
from tracer.report.decided import Decided
from tracer.report.findings import listed
from tracer.report.joined import meet_where_crossed
from tracer.report.places import place_words
from tracer.report.stops import Stops
from tracer.report.trimmed import Standing, trim_ends

WITHIN = 0.01
"""mm; how near the tracks are to the true distance."""

NO_ROOM = "no room for its groove"
"""The reason why an edge is not cut."""

_CORNER = 2.5
"""Half grooves from the track up to which what the bit does not reach is a corner: one of 47 deg.

A corner of angle a lies 1 / sin(a / 2) half grooves from it; beyond, the solid itself is too narrow.
"""


@dataclass(frozen=True, eq=False)
class _Edges:
    """The edges that bound one area and are moved together, `half` a groove to one side.

    The track lies `within` the area or round it; `side` is meant for the `solid`, and differs from
    that where the area is a hole in it.
    """

    strokes: tuple[Stroke, ...]
    solid: Any
    area: Any
    half: float
    within: bool
    side: Side


@dataclass(frozen=True, eq=False)
class _Moved:
    """What became of edges: their tracks, further rings, and the numbers of those that have none."""

    tracks: tuple[Stroke, ...]
    more: tuple[Stroke, ...]
    gone: tuple[int, ...]


def move_edges(layout: Layout, job: Job, decided: Decided, stops: Stops) -> tuple[Decided, Stops]:
    """Return the strokes with edges moved to their sides, and the stops of these.

    Inside is where the solid is: there the wood goes and the edge stays clean. Outside of it the solid
    stands, and lines that end at it are cut short, not to bite into it. Where a track falls
    into several rings, the largest keeps the edge's number, the others are numbered after all strokes.
    Where there is no room for the groove the edge is left out, with a finding.
    """
    sides = {n: side for n, side in _sides(layout, job).items() if side != "on" and n not in decided.left_out}
    if not sides:
        return decided, stops
    by_number = {stroke.number: stroke for stroke in decided.strokes}
    tracks: dict[int, Stroke] = {}
    left_out, of_stroke, findings = dict(decided.left_out), dict(stops.of_stroke), list(decided.findings)
    standing: list[Standing] = []
    for edges in _together(layout, sides, by_number, stops):
        if edges.side == "outside":
            standing.append(Standing(edges.solid, edges.half))
        found = _moved(edges, first=1 + max([*by_number, *tracks]))
        tracks |= {stroke.number: stroke for stroke in (*found.tracks, *found.more)}
        left_out |= dict.fromkeys(found.gone, NO_ROOM)
        of_stroke |= {stroke.number: of_stroke[edges.strokes[0].number] for stroke in found.more}
        findings += _told(layout, job, edges, found)
    strokes = tuple((by_number | tracks).values())
    rest = [replace(j, members=tuple(m for m in j.members if m[0] not in sides)) for j in decided.joints]
    strokes, joints = trim_ends(strokes, [joint for joint in rest if len(joint.members) > 1], standing)
    met = list(joints)
    meet_where_crossed(met, strokes, {*sides, *tracks})
    return Decided(strokes, tuple(met), left_out, tuple(findings)), replace(stops, of_stroke=of_stroke)


def _moved(edges: _Edges, first: int) -> _Moved:
    """Return the tracks beside edges; `first` is the number of the first one beyond one for each."""
    tracks: dict[int, Stroke] = {}
    more: list[Stroke] = []
    chains = [stroke.curves for stroke in edges.strokes]
    for ring in rings_at(chains, edges.area, edges.half if edges.within else -edges.half, WITHIN):
        stroke = edges.strokes[ring.of]
        if stroke.number in tracks:
            more.append(replace(stroke, number=first + len(more), curves=ring.curves))
        else:
            tracks[stroke.number] = replace(stroke, curves=ring.curves)
    gone = tuple(stroke.number for stroke in edges.strokes if stroke.number not in tracks)
    return _Moved(tuple(tracks.values()), tuple(more), gone)


def _sides(layout: Layout, job: Job) -> dict[int, Side]:
    """Return the side of each edge of a solid: the user's, else that of its region."""
    sides: dict[int, Side] = {}
    for region in _regions(layout):
        sides |= dict.fromkeys((region.outer, *region.inner), region.side)
    return sides | dict(job.acts.sides)


def _regions(layout: Layout) -> Iterator[Region]:
    """Return the solids of all pieces, with the layout's numbers."""
    for piece, offset in zip(layout.pieces, layout.offsets, strict=True):
        for region in piece.drawing.regions:
            inner = tuple(number + offset for number in region.inner)
            yield replace(region, outer=region.outer + offset, inner=inner)


def _together(
    layout: Layout, sides: Mapping[int, Side], by_number: Mapping[int, Stroke], stops: Stops
) -> Iterator[_Edges]:
    """Return the moved edges: those of one solid together, where they go to one side at one stop."""
    regions = list(_regions(layout))
    known = {number for region in regions for number in (region.outer, *region.inner)}
    regions += [Region(number) for number in sorted(set(sides) - known)]
    for region in regions:
        numbers = [number for number in (region.outer, *region.inner) if number in by_number]
        moved = [number for number in numbers if number in sides]
        if not moved:
            continue
        ways = {(sides[number], stops.of(number).width) for number in moved}
        areas = {number: polygon_of(by_number[number].curves, WITHIN / 10) for number in numbers}
        solid = areas[region.outer]
        for number in region.inner:
            solid = solid.difference(areas[number])
        if len(moved) == len(numbers) and len(ways) == 1:
            ((side, width),) = ways
            own = tuple(by_number[n] for n in moved)
            yield _Edges(own, solid, solid, width / 2, side == "inside", side)
            continue
        for number in moved:
            side, half = sides[number], stops.of(number).width / 2
            within = (side == "inside") == (number == region.outer)
            yield _Edges((by_number[number],), solid, areas[number], half, within, side)


def _told(layout: Layout, job: Job, edges: _Edges, moved: _Moved) -> Iterator[Finding]:
    """Say where the bit does not fit."""
    missed = _missed(edges)
    narrow = [part for part, far in missed if far > _CORNER * edges.half]
    if missed and (moved.gone or moved.more):
        narrow = narrow or [missed[0][0]]
    if not narrow:
        return
    numbers = tuple(stroke.number for stroke in edges.strokes)
    width, where = _widest(max(narrow, key=lambda part: part.area))
    width, groove = min(width, 2 * edges.half), 2 * edges.half
    what = "solid" if edges.side == "inside" else "gap"
    places = "" if len(narrow) < 2 else f" in {len(narrow)} places, the largest"
    ways = remedy.cures(layout, job, widest=width, factor=groove / width if width > 0 else float("inf"))
    yield Finding(
        check=f"{what} narrower than the groove",
        severity="loss",
        message=(
            f"The {what} {edges.side} {listed(numbers)} is narrower than the groove{places} "
            f"{place_words(layout, where)}: {both(width, job.units)}, and the groove is "
            f"{both(groove, job.units)}. {_outcome(moved)}"
        ),
        strokes=(*numbers, *(stroke.number for stroke in moved.more)),
        where=where,
        measured=width,
        limit=groove,
        remedy=f"{ways} Or follow the edge itself: side “on”.".lstrip(),
    )


def _outcome(moved: _Moved) -> str:
    if not moved.tracks:
        return "Nothing can be cut there."
    if moved.gone:
        own = "has no track of its own" if len(moved.gone) == 1 else "have no tracks of their own"
        return f"The tracks run together, and {listed(moved.gone)} {own}."
    if moved.more:
        return f"The track falls into pieces, and the others are {listed(s.number for s in moved.more)}."
    return "The bit does not get in there."


def _missed(edges: _Edges) -> list[tuple[Any, float]]:
    """Return the parts of the solid, or of the gap outside it, that the bit does not reach.

    With each how far from the track it reaches; the farthest first.
    """
    import shapely

    sign = 1 if edges.within else -1
    track = edges.area.buffer(-sign * edges.half)
    reached = track.buffer(sign * (edges.half + WITHIN))
    missed = edges.area.difference(reached) if edges.within else reached.difference(edges.area)
    parts = [part for part in shapely.get_parts(missed) if part.area > WITHIN**2]
    far = [shapely.points(shapely.get_coordinates(part)) for part in parts]
    reaches = [
        float("inf") if track.is_empty else float(shapely.distance(p, track.boundary).max()) for p in far
    ]
    return sorted(zip(parts, reaches, strict=True), key=lambda one: -one[1])


def _widest(part: Any) -> tuple[float, tuple[float, float]]:
    """Return the width of the widest circle in a part, and its middle."""
    import shapely

    line = shapely.maximum_inscribed_circle(part, tolerance=WITHIN)
    (x, y), _ = shapely.get_coordinates(line).tolist()
    return 2 * float(line.length), (x, y)
