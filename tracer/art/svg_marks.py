"""Marks off the page, pale ones and dashed ones: what is left out of a drawing, and told of."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from tracer.art.svg_covers import hiding
from tracer.art.svg_ink import SHOWS, Inked, Mark, extent_of
from tracer.art.svg_page import Page
from tracer.art.svg_transform import rectangle
from tracer.art.svg_walk import Walk
from tracer.geometry import affine
from tracer.geometry.inside import Area
from tracer.model.ink import Mend


def on_page(marks: Sequence[Mark], walk: Walk, page: Page, counts: Counter[str]) -> list[Mark]:
    """Return the marks that show on the page; those that run off it are seen through it as a window.

    Where none shows, all are returned: then the page is what is wrong.
    """
    box = page.box
    if box is None:
        return list(marks)
    kept, window = [], len(walk.windows)
    for mark in marks:
        x0, y0, x1, y1 = extent_of(mark)
        half = max((mark.drawn_width(k) for k in range(len(mark.lengths))), default=0.0) / 2
        half = half if mark.stroke is not None else 0.0
        if x1 + half <= box[0] or y1 + half <= box[1] or x0 - half >= box[2] or y0 - half >= box[3]:
            continue
        if min(x0 - box[0], y0 - box[1], box[2] - x1, box[3] - y1) < -half - 1e-6 * page.longer:
            mark = replace(mark, shape=replace(mark.shape, within=(*mark.shape.within, window)))  # noqa: PLW2901
        kept.append(mark)
    if marks and not kept:
        counts["page"] += 1
        return list(marks)
    walk.windows.append(Area((rectangle(box),)))
    counts["outside"] += len(marks) - len(kept)
    return kept


def count_paints(ink: Inked, counts: Counter[str]) -> None:
    """Count what is told of paints: pale lines, dashed ones, and pale ones that hide ink."""
    over = hiding(ink)
    for k, mark in enumerate(ink.marks):
        if ink.drawn[k]:
            counts["dashed"] += mark.dashed
        elif mark.stroke is not None and mark.fill is None and k not in over:
            counts["pale"] += 1
    counts["knocked"] += len(over)
    counts["colouring"] += len(_coloured(ink))
    counts["dark paper"] += ink.paper > 0.5
    counts["all white"] += ink.all_white


def colouring(ink: Inked, scale: affine.Affine) -> Iterator[Mend]:
    """Yield where pale areas were left out as colouring, art pixels; `scale` leads there from the page."""
    zoom = affine.scale_of(scale)
    for k in _coloured(ink):
        x0, y0, x1, y1 = extent_of(ink.marks[k])
        x, y = affine.apply(scale, np.array([(x0 + x1) / 2, (y0 + y1) / 2])).tolist()
        yield Mend("colouring left out", x, y, zoom * max(x1 - x0, y1 - y0))


def _coloured(ink: Inked) -> list[int]:
    """Return the indices of marks with a fill that is neither ink nor as pale as paper."""
    with np.errstate(invalid="ignore"):
        return np.flatnonzero(~ink.inked & (ink.fill >= SHOWS)).tolist()
