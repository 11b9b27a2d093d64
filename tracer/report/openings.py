"""Loops that are open as drawn, and closed under the groove."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.model.drawing import Stroke
from tracer.report.corners import VISIBLE

Array = NDArray[np.float64]

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
    if not loops:
        return ()
    width = np.array([grooves[stroke.number] for stroke in loops])
    return tuple(
        Opening((loops[k].number,), where, radius, _drawn(loops[k]), float(width[k]))
        for k, face in _narrow(loops, width)
        for where, radius in _widest(face)
    )


def _drawn(stroke: Stroke) -> float:
    return 0.0 if stroke.kind == "edge" else stroke.width or 0.0


def _narrow(loops: Sequence[Stroke], width: Array) -> Iterator[tuple[int, Any]]:
    """Yield the index and polygon of each loop, but those in whose middle it is plain that wood is left."""
    import shapely

    u = np.arange(_PIECES) / _PIECES
    v = 1 - u
    weights = np.column_stack([v**3, 3 * v * v * u, 3 * v * u * u, u**3])
    points = (weights @ np.concatenate([stroke.curves for stroke in loops])).reshape(-1, 2)
    count = np.array([len(stroke.curves) * _PIECES for stroke in loops])
    owner = np.repeat(np.arange(len(loops)), count)
    faces = shapely.polygons(shapely.linearrings(points, indices=owner))
    middles = shapely.points(
        np.column_stack([np.bincount(owner, column) for column in points.T]) / count[:, None]
    )
    roomy = shapely.distance(shapely.get_exterior_ring(faces), middles) > width / 2
    roomy[roomy] = shapely.contains_properly(faces[roomy], middles[roomy])
    for k in np.flatnonzero(~roomy):
        yield int(k), faces[k]


def _widest(face: Any) -> Iterator[tuple[tuple[float, float], float]]:
    """Yield the middle and radius of the widest circle in a polygon, of each part where it crosses itself."""
    import shapely

    parts = [face] if face.is_valid else shapely.polygonize([shapely.node(face.exterior)]).geoms
    for part in parts:
        circle = shapely.maximum_inscribed_circle(part, tolerance=_TOLERANCE)
        x, y = shapely.get_coordinates(circle)[0].tolist()
        yield (x, y), float(circle.length)
