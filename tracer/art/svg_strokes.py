"""The inked marks of an SVG file as strokes."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.art.svg_border import bordered
from tracer.art.svg_covers import covers
from tracer.art.svg_ink import HIDES, Inked, rectangle_of
from tracer.art.svg_solids import area_of
from tracer.art.svg_transform import closing, is_flat
from tracer.geometry import affine, bezier
from tracer.geometry.inside import Area
from tracer.geometry.layers import Layer, Line, Seen, seen
from tracer.model.drawing import Stroke

Array = NDArray[np.float64]

CROSSING = 0.05
"""How well the places are found where borders and lines cross, art pixels."""

CLOSED = 1e-6
"""A line whose ends are as near as this part of the drawing's size closes."""

DOT = 0.45
"""A line with round ends that is shorter than this part of its width is a dot, as in pictures."""


@dataclass(frozen=True, eq=False)
class Pen:
    """A line before it is known what of it is seen.

    Attributes
    ----------
    line : where it runs.
    width : in art pixels.
    capped : its ends are round or square, and show where it has no length.
    outline : of an area that is ink itself: the area's edge stands for it.
    """

    line: Line
    width: float
    capped: bool
    outline: bool


def drawn(ink: Inked, windows: Sequence[Area], scale: affine.Affine) -> tuple[list[Stroke], Counter[str]]:
    """Return the strokes of the ink in art pixels, without numbers, and counts of what was left out.

    `scale` leads to art pixels from the page's CSS pixels, in which the windows are.
    """
    windows = [Area(tuple(affine.apply(scale, r) for r in w.rings), w.evenodd) for w in windows]
    layers = _layers(ink, windows, scale) + covers(ink, scale)
    pens, counts = _pens(ink, windows, scale)
    found = seen(layers, [pen.line for pen in pens], windows, CROSSING)
    strokes = _lines(pens, found, counts)
    strokes += [Stroke(0, ring, closed=True, kind="edge") for ring in found.rings if area_of(ring) > 0]
    strokes += [Stroke(0, piece, closed=False, kind="edge") for piece in found.loose]
    counts["loose"] += len(found.loose)
    return strokes, counts


def _layers(ink: Inked, windows: Sequence[Area], scale: affine.Affine) -> list[Layer]:
    """Return the fills that are ink or hide what lies below."""
    layers = []
    zoom = affine.scale_of(scale)
    for k, mark in enumerate(ink.marks):
        if mark.fill is None or not (ink.inked[k] or mark.fill.opacity > HIDES):
            continue
        found = [(n, affine.apply(scale, closing(sub.curves))) for n, sub in enumerate(mark.subpaths)]
        found = [(n, ring) for n, ring in found if not is_flat(ring)]
        if not found:
            continue
        rings = tuple(ring for _, ring in found)
        evenodd = mark.shape.style.get("fill-rule", "").lower() == "evenodd"
        if ink.inked[k] and ink.drawn[k] and all(mark.subpaths[n].closed for n, _ in found):
            rings = bordered(rings, [zoom * mark.drawn_width(n) / 2 for n, _ in found], evenodd=evenodd)
        within = _needed(rings, mark.shape.within, windows)
        dark = float(ink.fill[k]) if ink.inked[k] else 0.0
        layers.append(Layer(Area(rings, evenodd), 2 * k, dark, within))
    return layers


def _needed(chains: Sequence[Array], within: Sequence[int], windows: Sequence[Area]) -> tuple[int, ...]:
    """Leave out windows that are upright rectangles round all of the chains."""
    if not within:
        return ()
    x0, y0, x1, y1 = bezier.bounds(np.concatenate(chains))
    needed = []
    for index in within:
        rings = windows[index].rings
        box = rectangle_of(rings[0]) if len(rings) == 1 else None
        if box is None or not (box[0] <= x0 and box[1] <= y0 and box[2] >= x1 and box[3] >= y1):
            needed.append(index)
    return tuple(needed)


def _pens(ink: Inked, windows: Sequence[Area], scale: affine.Affine) -> tuple[list[Pen], Counter[str]]:
    """Return the drawn lines; counted are those drawn twice, and points without an end to show."""
    pens: dict[tuple[bytes, bool], Pen] = {}
    counts: Counter[str] = Counter()
    zoom = affine.scale_of(scale)
    for k in np.flatnonzero(ink.drawn).tolist():
        mark = ink.marks[k]
        capped = mark.shape.style.get("stroke-linecap", "butt") in ("round", "square")
        for index, sub in enumerate(mark.subpaths):
            curves = affine.apply(scale, sub.curves)
            length = bezier.length(curves)
            if length <= 0 and not capped:
                counts["butts"] += 1
                continue
            outline = bool(ink.inked[k]) and not is_flat(curves)
            closed = length > 0 and (sub.closed or _meets(curves, length))
            curves = closing(curves) if closed else curves
            line = Line(
                curves, closed, 2 * k + 1, float(ink.stroke[k]), _needed([curves], mark.shape.within, windows)
            )
            pen = Pen(line, zoom * mark.drawn_width(index), capped, outline)
            key = _key(curves, closed)
            counts["twice"] += key in pens
            pens[key] = pen if key not in pens or pen.width > pens[key].width else pens[key]
    return list(pens.values()), counts


def _meets(curves: Array, length: float) -> bool:
    """Say whether a line that was not closed ends where it begins all the same."""
    return float(np.hypot(*(curves[-1, 3] - curves[0, 0]))) <= CLOSED * length and len(curves) > 1


def _key(curves: Array, closed: bool) -> tuple[bytes, bool]:  # noqa: FBT001 - the key's two halves
    """Return what two lines on one another have in common, whichever way they run."""
    ways = [np.round(way, 2) + 0.0 for way in (curves, bezier.reverse(curves))]
    return min(way.tobytes() for way in ways), closed


def _lines(pens: Sequence[Pen], found: Seen, counts: Counter[str]) -> list[Stroke]:
    """Return what is seen of the lines; counted are those hidden, and those cut where something hides them.

    What is left of a cut line and no longer than half its width lies under the other's line.
    """
    strokes: list[Stroke] = []
    for pen, parts in zip(pens, found.lines, strict=True):
        whole = len(parts) == 1 and np.array_equal(parts[0][0], pen.line.curves)
        kept = [part for part in parts if whole or bezier.length(part[0]) > pen.width / 2]
        counts["hidden"] += not kept and not pen.outline
        counts["cut"] += bool(kept) and not whole and not pen.outline
        strokes += [_stroke(curves, closed, pen) for curves, closed in kept]
    return strokes


def _stroke(curves: Array, closed: bool, pen: Pen) -> Stroke:  # noqa: FBT001 - as a Stroke has it
    """Return a line or, where its pen did not move, a dot."""
    widths = np.array([pen.width])
    if pen.capped and bezier.length(curves) < DOT * pen.width:
        middle = bezier.points_at(curves, np.array([len(curves) / 2]))[0]
        return Stroke(0, bezier.dot(middle), closed=False, kind="dot", widths=widths)
    return Stroke(0, curves, closed, "line", widths)
