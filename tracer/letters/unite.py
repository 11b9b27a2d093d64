"""Overlapping contours of a letter made one area: strokes of variable fonts, letters and their accents."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.errors import LetterError
from tracer.geometry import bezier
from tracer.geometry.flatten import places
from tracer.geometry.inside import Area, Inside
from tracer.geometry.layers import Layer, seen
from tracer.letters.outline import area_of

Array = NDArray[np.float64]

WITHIN = 0.05
"""1/1000 em: borders that come as near touch; where they cross is found within a tenth of it."""

CLOSELY = 0.002
"""1/1000 em: the same within one letter, whose overlaps are found once."""

FLAT = 0.02
"""1/1000 em: how near the curves are kept where borders run along one another and close to no ring."""

LEAST = 0.5
"""Square 1/1000 em: a contour round less is a line or a point left by its maker, nothing to cut."""

MOST_CROSSINGS = 5000
"""Of one letter: more are a broken font's."""


def united(rings: Sequence[Array], em: float, within: float = WITHIN) -> list[Array]:
    """Return the borders of all that `rings` wind round, by the nonzero rule that fonts are drawn by.

    Parameters
    ----------
    rings : closed chains (n, 4, 2), y up; they may cross, touch, overlap and nest.
    em : the font's units of an em; the tolerances follow from it.
    within : 1/1000 em; how near borders come to touch, and ten times how well their crossings are found.

    Returns
    -------
    list
        Closed chains that do not cross: the area on the right hand with y up, so outer ones clockwise.
        Where nothing crosses they are the very cubics that came in. What encloses next to nothing is dropped.

    Raises
    ------
    LetterError
        For a tangle of crossings, as broken fonts have.
    """
    grown = 2.0 ** np.floor(np.log2(1024 / em)) * np.array([1.0, -1.0])  # a power of two: nothing is rounded
    sized = [ring * grown for ring in rings]
    sized = [ring for ring in sized if _spread(ring) > LEAST]
    if not sized:
        return []
    _refuse_tangle(sized)
    layers = [Layer(Area(tuple(sized)), 0, 1.0)]
    found = seen(layers, [], [], WITHIN)
    known = {ring.tobytes() for ring in sized}
    if within != WITHIN and (found.loose or not known >= {ring.tobytes() for ring in found.rings}):
        found = seen(layers, [], [], within)  # most letters have no overlaps: they are spared this
    borders = _flattened(sized) if found.loose else found.rings
    return [ring / grown for ring in borders if abs(area_of(ring)) > LEAST]


def _spread(ring: Array) -> float:
    """Return the area of the hull round a ring's points: one that crosses itself may have no other."""
    import shapely

    return float(shapely.convex_hull(shapely.multipoints(ring.reshape(-1, 2))).area)


def _refuse_tangle(rings: Sequence[Array]) -> None:
    """Raise an error where the contours cross more often than those of any letter."""
    import shapely

    ways = [bezier.points_at(ring, places(ring, 1.0)) for ring in rings]
    a, b = (np.concatenate([way[k : len(way) - 1 + k] for way in ways]) for k in (0, 1))
    lines = shapely.linestrings(np.stack([a, b], axis=1))
    pairs = shapely.STRtree(lines).query(lines, predicate="crosses")
    if pairs.shape[1] > 2 * MOST_CROSSINGS:
        raise LetterError(
            f"the outline of a letter crosses itself {pairs.shape[1] // 2} times, more than "
            f"{MOST_CROSSINGS}: the font is broken; take another"
        )


def _flattened(rings: Sequence[Array]) -> list[Array]:
    """Return the borders as straight pieces, y down: for rings whose edges run along one another."""
    import shapely

    ways = [bezier.points_at(ring, places(ring, FLAT)) for ring in rings]
    lines = shapely.unary_union([shapely.LinearRing(way) for way in ways], grid_size=1e-6)
    faces = [face for face in shapely.get_parts(shapely.polygonize([lines])) if face.area > LEAST]
    within = [face.representative_point().coords[0] for face in faces]
    inked, _ = Inside([Area(tuple(rings))], FLAT).of(np.array(within))
    solid = shapely.unary_union([faces[k] for k in inked.tolist()])
    borders = [part for solid in shapely.get_parts(solid) for part in _rings(solid)]
    return [bezier.from_polyline(np.array(border.coords)) for border in borders]


def _rings(solid: Any) -> list[Any]:
    """Return the rings of a polygon, the area on the right hand with y down."""
    import shapely

    turned = shapely.orient_polygons(solid)  # anticlockwise in numbers: clockwise as seen with y down
    return [turned.exterior, *turned.interiors]
