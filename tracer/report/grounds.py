"""What is to be cleared: the inside of letters that are cut in, the ground round those that stand."""

import math
from collections.abc import Collection, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.offset import polygon_of
from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.layout import Layout
from tracer.report.beside import Edges
from tracer.report.cleared import Ground
from tracer.report.lettered import Letters
from tracer.report.walls import rule_of
from tracer.report.waste import Solid

Array = NDArray[np.float64]

SURROUND = 0.5
"""Capital heights of ground that are cleared round raised words without a border (our own choice)."""

_WITHIN = 0.001
"""mm; areas are flattened so finely."""

_COARSE = 0.03
"""mm; by how much ground may end elsewhere round other figures."""

_APART = 0.1
"""mm of ground at least between the tracks round letters and round what else is there."""


def grounds_of(
    layout: Layout, job: Job, solids: Sequence[tuple[Edges, Solid]], strokes: Sequence[Stroke]
) -> tuple[Ground, ...]:
    """Return what is to be cleared.

    Parameters
    ----------
    solids : edges that were moved together, with what lies beside them now.
    strokes : all as they are cut.
    """
    cut = {stroke.number: stroke for stroke in strokes}
    clear = [(edges, solid) for edges, solid in solids if edges.clear]
    incised = [
        Ground(
            chains=tuple(stroke.curves for stroke in edges.strokes),
            room=edges.solid,
            base=edges.half,
            edges=solid.numbers,
            wanted=edges.solid,
            half=edges.half,
        )
        for edges, solid in clear
        if solid.side == "inside"
    ]
    by_border: dict[int, list[Solid]] = {}
    for _, solid in clear:
        if solid.side == "outside":
            border = _border(layout, solid, strokes)
            own = layout.piece_of(solid.numbers[0])
            by_border.setdefault(-1 - (own or 0) if border is None else border, []).append(solid)
    raised = [_round_them(layout, job, group, cut.get(key), cut) for key, group in by_border.items()]
    return (*incised, *raised)


def _border(layout: Layout, solid: Solid, strokes: Sequence[Stroke]) -> int | None:
    """Return the smallest closed line of another piece that goes all round a solid."""
    own = layout.piece_of(solid.numbers[0])
    found = []
    for stroke in strokes:
        if stroke.kind == "line" and stroke.closed and layout.piece_of(stroke.number) not in (own, None):
            area = polygon_of(stroke.curves, _WITHIN)
            if area.contains(solid.area.buffer(solid.half)):
                found.append((area.area, stroke.number))
    return min(found)[1] if found else None


def _round_them(
    layout: Layout, job: Job, group: Sequence[Solid], border: Stroke | None, cut: Mapping[int, Stroke]
) -> Ground:
    """Return the ground round letters that stand: to a border's line, else some way round them."""
    import shapely

    half, numbers = group[0].half, tuple(number for solid in group for number in solid.numbers)
    solids = shapely.unary_union([solid.area for solid in group])
    far = None if border is not None else SURROUND * _height(layout, numbers)
    around = [border] if border is not None else []
    outer = polygon_of(around[0].curves, _WITHIN) if around else _box(layout, solids, far or 0.0, half)
    kept = _kept(layout, job, {*numbers, *(stroke.number for stroke in around)}, cut)
    kept = kept.intersection(outer).difference(solids.buffer(2 * half + _APART))
    tracks = [cut[number].curves for number in numbers if number in cut]
    more = [*([] if around else _outlines(outer)), *_outlines(kept.buffer(half))]
    return Ground(
        chains=(*(stroke.curves for stroke in around), *tracks, *more),
        room=outer.difference(solids.buffer(half)).difference(kept.buffer(half)),
        base=0.0,
        edges=numbers,
        wanted=outer.buffer(half).difference(solids).difference(kept),
        half=half,
        tracks=tuple(more),
        raised=True,
        surround=far,
    )


def _height(layout: Layout, numbers: Sequence[int]) -> float:
    """Return the capitals' height of the words that strokes belong to, mm; else that of their solids."""
    words = Letters(layout).words_at(numbers[:1])
    if words is not None:
        return words.height
    y = np.concatenate([s.curves[..., 1].ravel() for s in layout.strokes if s.number in numbers])
    return float(np.ptp(y))


def _box(layout: Layout, solids: Any, far: float, half: float) -> Any:
    """Return the box so far round solids, as far as the board goes, less half a groove."""
    import shapely

    x0, y0, x1, y1 = solids.bounds
    board = shapely.box(0, 0, layout.board.width, layout.board.height)
    box = shapely.box(x0 - far, y0 - far, x1 + far, y1 + far).intersection(board)
    return box.buffer(-half, join_style="mitre")


def _kept(layout: Layout, job: Job, without: Collection[int], cut: Mapping[int, Stroke]) -> Any:
    """Return the wood that must stay for what else is on the board: other figures, and land round them."""
    import shapely

    own = {layout.piece_of(number) for number in without}
    others = [s for s in cut.values() if s.number not in without and layout.piece_of(s.number) not in own]
    least = job.groove / 2 + rule_of(job)(job.depth, math.pi / 2)
    lines = [stroke.points(_WITHIN) for stroke in others]
    round_them = [
        (shapely.linestrings(line) if len(line) > 1 else shapely.points(line[0])).buffer(least)
        for line in lines
    ]
    union = shapely.unary_union(round_them)
    filled = [shapely.Polygon(part.exterior) for part in shapely.get_parts(union) if not part.is_empty]
    letters = [cut[number] for number in without if number in cut]
    inside = shapely.unary_union([polygon_of(s.curves, _WITHIN) for s in letters if s.kind == "edge"])
    whole = [
        part if fill.intersects(inside) else fill
        for part, fill in zip(shapely.get_parts(union), filled, strict=True)
    ]
    return shapely.unary_union(whole)


def _outlines(area: Any) -> list[Array]:
    """Return the chains round an area."""
    import shapely

    parts = [part for part in shapely.get_parts(area.simplify(_COARSE)) if not part.is_empty]
    rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
    return [bezier.from_polyline(np.asarray(ring.coords)) for ring in rings]
