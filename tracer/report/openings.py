"""Loops that are open as drawn, and closed under the groove."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tracer.geometry import bezier
from tracer.model.drawing import Stroke
from tracer.report.corners import VISIBLE

_PIECES = 12
"""Straight pieces for each cubic: a quarter circle stays within 0.2 % of its radius."""

_TOLERANCE = 0.02
"""mm by which the widest circle may be measured too small."""


@dataclass(frozen=True)
class Opening:
    """What strokes go round.

    Attributes
    ----------
    strokes : numbers of those that go round it.
    where : middle of its widest circle, wood mm.
    radius : of that circle, to the strokes' middle lines, mm.
    drawn, groove : widths of the strokes, mm: where they differ, the least groove and the greatest
        drawn width, so that nothing is said to close that may stay open. `drawn` 0 where they have none.
    """

    strokes: tuple[int, ...]
    where: tuple[float, float]
    radius: float
    drawn: float
    groove: float

    @property
    def lost(self) -> float:
        """How wide it is open as drawn, mm: lost where it closes."""
        return 2 * self.radius - self.drawn


def closed_up(openings: Iterable[Opening], *, visible: float = VISIBLE) -> tuple[Opening, ...]:
    """Return the openings that vanish under the groove and are over `visible` mm wide as drawn.

    The widest come first.

    An opening vanishes where its widest circle is no wider than the groove [D].
    """
    gone = [one for one in openings if one.lost > visible and 2 * one.radius <= one.groove]
    return tuple(sorted(gone, key=lambda one: (-one.lost, one.strokes, one.where)))


def find_openings(
    strokes: Sequence[Stroke], grooves: Mapping[int, float], *, holes: Iterable[int] = ()
) -> tuple[Opening, ...]:
    """Return the openings of closed strokes that may close up under their grooves.

    Lines that go round something, and those edges that are `holes` in a solid. The inside of any
    other edge is the solid itself, which the groove may well fill. One stroke that crosses
    itself goes round several. Faces that several strokes make between them are not looked for.

    Parameters
    ----------
    strokes : wood mm.
    grooves : width of each stroke's groove, mm.
    holes : numbers of the inner edges of solids.
    """
    keep = set(holes)
    loops = [s for s in strokes if s.closed and (s.kind == "line" or s.number in keep)]
    return tuple(opening for stroke in loops for opening in _openings(stroke, grooves[stroke.number]))


def _openings(stroke: Stroke, groove: float) -> Iterator[Opening]:
    """Measure what one closed stroke goes round, unless wood is left about its middle."""
    import shapely

    places = np.arange(len(stroke.curves) * _PIECES + 1) / _PIECES
    points = bezier.points_at(stroke.curves, places)
    face, middle = shapely.Polygon(points), shapely.Point(points.mean(axis=0))
    if face.contains_properly(middle) and face.exterior.distance(middle) > groove / 2:
        return
    faces = [face] if face.is_valid else shapely.polygonize([shapely.node(face.exterior)]).geoms
    for face in faces:
        circle = shapely.maximum_inscribed_circle(face, tolerance=_TOLERANCE)
        x, y = shapely.get_coordinates(circle)[0].tolist()
        drawn = 0.0 if stroke.kind == "edge" else stroke.width or 0.0
        yield Opening((stroke.number,), (x, y), circle.length, drawn, groove)
