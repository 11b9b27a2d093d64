"""Pale lines that hide what lies below them: white drawn over black, the gaps of plaits and knots."""

from tracer.art.svg_ink import HIDES, Inked, Mark, extent_of
from tracer.art.svg_transform import closing
from tracer.geometry import affine
from tracer.geometry.inside import Area
from tracer.geometry.layers import Layer
from tracer.geometry.offset import drawn_area

WITHIN = 0.05
"""Art pixels within which the border of a pale line keeps its distance; its ends and corners are round."""


def hiding(ink: Inked) -> list[int]:
    """Return the indices of the marks that have a pale, opaque line over ink."""
    below: list[Mark] = []
    found = []
    for k, mark in enumerate(ink.marks):
        if ink.inked[k]:
            below.append(mark)
        pale = mark.stroke is not None and mark.stroke.opacity > HIDES and not ink.drawn[k]
        if pale and not mark.dashed and any(_over(mark, one) for one in below):
            found.append(k)
        if ink.drawn[k]:
            below.append(mark)
    return found


def covers(ink: Inked, scale: affine.Affine) -> list[Layer]:
    """Return what pale lines hide, art pixels; `scale` leads there from the page."""
    zoom = affine.scale_of(scale)
    layers = []
    for k in hiding(ink):
        mark = ink.marks[k]
        for n, sub in enumerate(mark.subpaths):
            width = zoom * mark.drawn_width(n)
            if mark.lengths[n] > 0 and width > 4 * WITHIN:
                rings = drawn_area(
                    affine.apply(scale, closing(sub.curves) if sub.closed else sub.curves), width, WITHIN
                )
                layers.append(Layer(Area(tuple(rings), evenodd=True), 2 * k + 1, 0.0, mark.shape.within))
    return layers


def _over(mark: Mark, other: Mark) -> bool:
    """Say whether the extents of two marks meet."""
    x0, y0, x1, y1 = extent_of(mark)
    a0, b0, a1, b1 = extent_of(other)
    return x0 <= a1 and a0 <= x1 and y0 <= b1 and b0 <= y1
