"""Grooves beside the edges of solids: inside or outside of them, as far off as the groove is half wide."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from tracer.acts import Side
from tracer.geometry.offset import polygon_of, rings_at
from tracer.job import Job
from tracer.model.drawing import Region, Stroke
from tracer.model.layout import Layout
from tracer.report.beside import Edges, Moved, merged
from tracer.report.decided import Decided
from tracer.report.findings import listed
from tracer.report.grounds import grounds_of
from tracer.report.joined import meet_where_crossed
from tracer.report.lettered import Letters
from tracer.report.narrow import CORNER, LETTER_CORNER, WITHIN, Narrow, about_narrow, missed_by, narrow_part
from tracer.report.rounding import Rounded, about_rounded, rounded_corners
from tracer.report.stops import Stops
from tracer.report.trial import Trials
from tracer.report.trimmed import Standing, trim_ends
from tracer.report.waste import Solid, Waste

NO_ROOM = "no room for its groove"
"""The reason why an edge is not cut."""


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
    letters = Letters(layout)
    narrow: list[Narrow] = []
    rounded: list[Rounded] = []
    solids: list[Solid] = []
    made_of: dict[int, int] = {}
    all_edges = merged(list(_together(layout, sides, by_number, stops)))
    for edges in all_edges:
        found = _moved(edges, first=1 + max([*by_number, *tracks]))
        tracks |= {stroke.number: stroke for stroke in (*found.tracks, *found.more)}
        left_out |= dict.fromkeys(found.gone, NO_ROOM)
        numbers = tuple(stroke.number for stroke in (*edges.strokes, *found.more))
        holes = edges.holes | {new for new, old in found.made_of.items() if old in edges.holes}
        solids.append(Solid(edges.solid, edges.side, edges.half, numbers, holes))
        made_of |= found.made_of
        of_stroke |= {new: of_stroke[old] for new, old in found.made_of.items()}
        missed, lettered = missed_by(edges), bool(letters.of(numbers[:1]))
        rounded += rounded_corners(edges, missed) if lettered else []
        told = narrow_part(
            edges,
            missed,
            corner=LETTER_CORNER if lettered else CORNER,
            fallen_apart=bool(found.gone or found.more),
            outcome=_outcome(found),
        )
        narrow += [] if told is None else [replace(told, strokes=numbers)]
    strokes = tuple((by_number | tracks).values())
    rest = [replace(j, members=tuple(m for m in j.members if m[0] not in sides)) for j in decided.joints]
    trials = Trials(layout, job, Letters(layout, made_of))
    findings += [*about_narrow(trials, narrow), *about_rounded(trials, rounded)]
    standing = [Standing(solid.area, solid.half) for solid in solids if solid.side == "outside"]
    strokes, joints = trim_ends(strokes, [joint for joint in rest if len(joint.members) > 1], standing)
    met = list(joints)
    meet_where_crossed(met, strokes, {*sides, *tracks})
    kept = [stroke for stroke in strokes if stroke.number not in left_out]
    grounds = grounds_of(layout, job, list(zip(all_edges, solids, strict=True)), kept)
    waste = Waste(tuple(solids), tuple(ground.reached for ground in grounds))
    moved = Decided(strokes, tuple(met), left_out, tuple(findings), waste, made_of, grounds)
    return moved, replace(stops, of_stroke=of_stroke)


def _moved(edges: Edges, first: int) -> Moved:
    """Return the tracks beside edges; `first` is the number of the first one beyond one for each."""
    tracks: dict[int, Stroke] = {}
    more: list[Stroke] = []
    made_of: dict[int, int] = {}
    chains = [stroke.curves for stroke in edges.strokes]
    for ring in rings_at(chains, edges.area, edges.half if edges.within else -edges.half, WITHIN):
        stroke = edges.strokes[ring.of]
        if stroke.number in tracks:
            made_of[first + len(more)] = stroke.number
            more.append(replace(stroke, number=first + len(more), curves=ring.curves))
        else:
            tracks[stroke.number] = replace(stroke, curves=ring.curves)
    gone = tuple(stroke.number for stroke in edges.strokes if stroke.number not in tracks)
    return Moved(tuple(tracks.values()), tuple(more), gone, made_of)


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
) -> Iterator[Edges]:
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
            holes = frozenset(region.inner)
            yield Edges(own, solid, solid, width / 2, side == "inside", side, holes, region.clear)
            continue
        for number in moved:
            side, half = sides[number], stops.of(number).width / 2
            within = (side == "inside") == (number == region.outer)
            holes = frozenset({number} & set(region.inner))
            yield Edges((by_number[number],), solid, areas[number], half, within, side, holes)


def _outcome(moved: Moved) -> str:
    if not moved.tracks:
        return "Nothing can be cut there."
    if moved.gone:
        own = "has no track of its own" if len(moved.gone) == 1 else "have no tracks of their own"
        return f"The tracks run together, and {listed(moved.gone)} {own}."
    if moved.more:
        return f"The track falls into pieces, and the others are {listed(s.number for s in moved.more)}."
    return "The bit does not get in there."
