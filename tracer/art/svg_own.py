"""Strokes in an SVG file that this program wrote: their numbers, kinds and widths as they were."""

import re
from typing import get_args

import numpy as np

from tracer.art.svg_transform import closing
from tracer.art.svg_walk import Shape, Walk
from tracer.geometry import affine
from tracer.model.drawing import Kind, Stroke

_NAME = re.compile(r"stroke-(\d{1,9})")


def own_strokes(walk: Walk) -> dict[Shape, Stroke]:
    """Return the strokes of a file of our own, by their shapes, in CSS pixels of the page.

    The root says so (data-strokes), and each path has its number, kind and widths. What was
    drawn into the file since is no stroke of ours and is not among them.
    """
    if "data-strokes" not in walk.root.attributes:
        return {}
    found: dict[Shape, Stroke] = {}
    for shape in walk.shapes:
        name = _NAME.fullmatch(shape.node.attributes.get("id", ""))
        kind = shape.node.attributes.get("class", "").partition(" ")[0]
        if name and kind in get_args(Kind) and len(shape.subpaths) == 1:
            found[shape] = _stroke(shape, int(name[1]), kind)  # type: ignore[arg-type]
    return found


def _stroke(shape: Shape, number: int, kind: Kind) -> Stroke:
    """Return one stroke, its widths in CSS pixels too; where they were lost it has none."""
    sub = shape.subpaths[0]
    curves = affine.apply(shape.matrix, closing(sub.curves) if sub.closed else sub.curves)
    try:
        widths = [float(word) for word in shape.node.attributes.get("data-widths", "").split()]
    except ValueError:
        widths = []
    drawn = np.array(widths) * affine.scale_of(shape.matrix)
    sound = len(widths) > 0 and bool(np.isfinite(drawn).all())
    return Stroke(number, curves, sub.closed and kind != "dot", kind, drawn if sound else None)
