"""Which paints of an SVG file are ink, and which are paper, colouring or background."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.art.svg_outline import Subpath
from tracer.art.svg_page import FARTHEST
from tracer.art.svg_paint import Paint, paint_of
from tracer.art.svg_transform import closing, is_flat
from tracer.art.svg_units import pixels
from tracer.art.svg_walk import Shape, Walk
from tracer.geometry import affine, bezier

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]

FILL = 0.5
"""A fill is ink where its contrast with the paper is at least this part of the strongest in the drawing:
paler ones are colouring."""

PEN = 0.15
"""The same for drawn lines: grey and coloured ones count, the palest are guides or shading."""

SAME = 0.25
"""A fill that is paler than its own outline by more than this is colouring inside a line."""

HIDES = 0.5
"""A fill as opaque as this hides what lies below."""

SHOWS = 0.05
"""Contrast from which pale areas are told of as colouring: what is paler is paper."""

PAGE = 0.98
"""A rectangle over this part of the page, below all else, is its paper."""


@dataclass(frozen=True, eq=False)
class Mark:
    """One painted shape, CSS pixels of the page.

    Attributes
    ----------
    subpaths : cubics, as drawn.
    lengths : of the subpaths in the shape's own user units, before its map.
    fill, stroke : the paints, or None.
    width : of the stroke in user units.
    shape : where it comes from.
    """

    subpaths: tuple[Subpath, ...]
    lengths: tuple[float, ...]
    fill: Paint | None
    stroke: Paint | None
    width: float
    shape: Shape

    @property
    def dashed(self) -> bool:
        """Whether the stroke is broken into dashes."""
        return any(digit in "123456789" for digit in self.shape.style.get("stroke-dasharray", ""))

    def drawn_width(self, index: int) -> float:
        """Return the mean width of a subpath's stroke on the page.

        Where the map stretches unevenly the width across the line changes with its direction:
        w |det| / |A t| for the unit tangent t. Its mean along the line is w |det| times the
        length before the map over that after it.
        """
        if self.shape.style.get("vector-effect") == "non-scaling-stroke":
            return self.width
        area = abs(float(np.linalg.det(self.shape.matrix[:, :2])))
        after = bezier.length(self.subpaths[index].curves)
        if after <= 1e-9 * self.width:
            return self.width * float(np.sqrt(area))
        return self.width * area * self.lengths[index] / after


@dataclass(frozen=True, eq=False)
class Inked:
    """What of the marks is ink.

    Attributes
    ----------
    marks : without those that are paper.
    fill, stroke : contrast of each mark's paint with the paper, as part of the strongest; nan
        where it has none.
    inked, drawn : whether each mark's fill and its stroke are ink.
    paper : darkness of what all lies on.
    all_white : nothing differs from white paper: white lines meant for something dark.
    """

    marks: tuple[Mark, ...]
    fill: Array
    stroke: Array
    inked: NDArray[np.bool_]
    drawn: NDArray[np.bool_]
    paper: float
    all_white: bool

    def followed(self) -> list[Array]:
        """Return the chains of all marks that are ink, CSS pixels."""
        dark = self.inked | self.drawn
        return [sub.curves for mark, d in zip(self.marks, dark, strict=True) if d for sub in mark.subpaths]


def marks_of(walk: Walk) -> list[Mark]:
    """Return the shapes of a file that are painted at all, but for those absurdly far away or wide."""
    marks = []
    for shape in walk.shapes:
        width = pixels(shape.style.get("stroke-width"), of=shape.percent, default=1.0) or 0.0
        flat = all(is_flat(sub.curves) for sub in shape.subpaths)
        fill = None if flat else paint_of("fill", shape.style, shape.opacity, walk.ids)
        stroke = paint_of("stroke", shape.style, shape.opacity, walk.ids) if width > 0 else None
        if fill is None and stroke is None:
            continue
        placed = tuple(Subpath(affine.apply(shape.matrix, s.curves), s.closed) for s in shape.subpaths)
        if max(width, *(np.abs(sub.curves).max() for sub in placed)) >= FARTHEST:
            walk.left["wild"] += 1
            continue
        lengths = tuple(bezier.length(s.curves) for s in shape.subpaths)
        marks.append(Mark(placed, lengths, fill, stroke, width, shape))
    return marks


def inked(marks: Sequence[Mark], page: Box | None) -> Inked:
    """Return which marks are ink on the page (x0, y0, x1, y1)."""
    paper, below = 0.0, 0
    for mark in marks:
        if page is None or mark.fill is None or mark.stroke is not None or not _covers(mark, page):
            break
        paper, below = mark.fill.on(paper), below + 1
    above = tuple(marks[below:])
    fill = np.array([_contrast(mark.fill, paper) for mark in above])
    stroke = np.array([_contrast(mark.stroke, paper) for mark in above])
    strongest = np.nanmax(np.concatenate([fill, stroke, [0.0]]))
    all_white = bool(strongest < SHOWS) and len(above) > 0
    if all_white:
        fill, stroke = (np.where(np.isnan(one), np.nan, 1.0) for one in (fill, stroke))
    elif strongest > 0:
        fill, stroke = fill / strongest, stroke / strongest
    drawn = np.nan_to_num(stroke) >= PEN
    dark = (np.nan_to_num(fill) >= FILL) & ~(drawn & (fill < stroke - SAME))
    return Inked(above, fill, stroke, dark, drawn, paper, all_white)


def extent_of(mark: Mark) -> Box:
    """Return the extent (x0, y0, x1, y1) of a mark's paths on the page, CSS pixels."""
    return bezier.bounds(np.concatenate([sub.curves for sub in mark.subpaths]))


def _contrast(paint: Paint | None, paper: float) -> float:
    """Return how much a paint differs from the paper it lies on, nan for none."""
    return float("nan") if paint is None else abs(paint.on(paper) - paper)


def _covers(mark: Mark, page: Box) -> bool:
    """Say whether a mark is a rectangle over the whole page."""
    if len(mark.subpaths) != 1 or mark.fill is None or mark.fill.opacity <= HIDES:
        return False
    box = rectangle_of(closing(mark.subpaths[0].curves))
    if box is None:
        return False
    wide, high = (min(box[k + 2], page[k + 2]) - max(box[k], page[k]) for k in (0, 1))
    area = (page[2] - page[0]) * (page[3] - page[1])
    return wide > 0 and high > 0 and wide * high >= PAGE * area


def rectangle_of(ring: Array) -> Box | None:
    """Return the box (x0, y0, x1, y1) of a ring that is an upright rectangle, None where it is none."""
    x0, y0, x1, y1 = bezier.bounds(ring)
    near = 1e-6 * max(x1 - x0, y1 - y0)
    across = (np.abs(ring[..., 0] - x0) <= near) | (np.abs(ring[..., 0] - x1) <= near)
    down = (np.abs(ring[..., 1] - y0) <= near) | (np.abs(ring[..., 1] - y1) <= near)
    straight = across.all(axis=1) | down.all(axis=1)
    corners = (across & down)[:, [0, 3]].all()
    return (x0, y0, x1, y1) if straight.all() and corners and len(ring) == 4 else None
