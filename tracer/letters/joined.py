"""Letters that run into one another: those of a running hand, of Arabic, or close on a tight arc."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from tracer.geometry import bezier
from tracer.geometry.flatten import places
from tracer.letters.face import Contour, Face
from tracer.letters.line import LineLetter, figure_of_letter
from tracer.letters.measures import WITHOUT_H
from tracer.letters.unite import united

_FLAT = 1e-4
"""em; how near outlines are kept to tell whether letters touch."""


def runs_together(figures: Sequence[Sequence[Contour]], em: float) -> list[range]:
    """Return the letters of a line as groups whose outlines touch or overlap, each a range of indices.

    `figures` are the outlines in their places, in the unit of `em`.
    """
    import shapely

    boxes = [bezier.bounds(np.concatenate([contour.curves for contour in figure])) for figure in figures]
    around = shapely.box(*np.array(boxes).T)
    one, other = shapely.STRtree(around).query(around, predicate="intersects")
    near = [(a, b) for a, b in zip(one.tolist(), other.tolist(), strict=True) if a < b]
    solids = {k: _solid(figures[k], _FLAT * em) for k in sorted({k for pair in near for k in pair})}
    reach = list(range(len(figures)))
    for a, b in near:
        if solids[a].intersects(solids[b]):
            reach[a] = max(reach[a], b)
    groups, start, end = [], 0, 0
    for k, farthest in enumerate(reach):
        if k > end:
            groups.append(range(start, k))
            start = k
        end = max(end, farthest)
    return [*groups, range(start, len(figures))]


def running_on(letters: Sequence[LineLetter], face: Face) -> frozenset[int]:
    """Return the places of letters whose outlines touch or overlap that of the next letter in the line."""
    outlines = [
        [Contour(one.curves + np.array([letter.before, 0.0]), one.closed) for one in figure]
        for letter in letters
        if (figure := figure_of_letter(letter, face.figure))
    ]
    if len(outlines) != len(letters) or not letters:
        return frozenset()
    groups = runs_together(outlines, face.cap_height / WITHOUT_H)
    return frozenset(k for group in groups for k in group[:-1])


def _solid(figure: Sequence[Contour], tolerance: float) -> Any:
    """Return the area of outlines that do not cross: counters are the odd ones inside of others."""
    import shapely

    rings = [shapely.Polygon(bezier.points_at(one.curves, places(one.curves, tolerance))) for one in figure]
    area = shapely.Polygon()
    for ring in sorted(rings, key=lambda ring: -ring.area):
        area = area.symmetric_difference(ring.buffer(0))
    return area


def made_one(figures: Sequence[Sequence[Contour]], em: float) -> list[Contour]:
    """Return the outlines round all the letters of a group; y points down."""
    flip = np.array([1.0, -1.0])
    rings = united([contour.curves * flip for figure in figures for contour in figure], em)
    return [Contour(ring * flip, closed=True) for ring in rings]
