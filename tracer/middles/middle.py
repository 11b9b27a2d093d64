"""The whole way: a glyph's outline in, the strokes along its middle out."""

from collections.abc import Callable, Sequence

from tracer.geometry import bezier
from tracer.letters.face import Contour, Face
from tracer.middles.align import align
from tracer.middles.glyph_ink import draw
from tracer.middles.lead import led_on
from tracer.middles.meet import meetings
from tracer.middles.strokes import strokes_of
from tracer.middles.zones import zones_of


def middle_of(contours: Sequence[Contour], cap_height: float) -> tuple[Contour, ...]:
    """Return the strokes along the middle of the area between closed contours.

    Parameters
    ----------
    contours : of one glyph, font units, y up; overlaps united.
    cap_height : of the face, font units.

    Returns
    -------
    tuple of Contour
        Lines open or closed, font units; a dot is one cubic with all points equal. A stroke ends half its
        stem's width before the letter's edge: cut with a groove as wide as the stem, all edges are the
        letter's, and with a narrower one all stand back alike. Straight stems are straight cubics.

    Notes
    -----
    The outline is drawn, thinned and put in order as a network by the stages that read pictures. Where an
    edge runs along on either side the middle is measured on the exact outline; corners, junctions and ends
    are led together from there. Serifs and swelling strokes get the middle of what is drawn.
    """
    if not contours:
        return ()
    ink = draw(contours, cap_height)
    parts = zones_of(ink)
    align(parts.stems, parts.zones, ink.cap)
    found = meetings(parts.stems, parts.zones, ink.outline)
    strokes = strokes_of(parts.stems, found, ink.cap)
    chains = [
        *led_on(strokes, parts.stems, found, ink.cap),
        *((bezier.dot(dot), False) for dot in parts.dots),
    ]
    return tuple(Contour(ink.to_font(chain), closed) for chain, closed in chains)


def figures(face: Face) -> Callable[[int], tuple[Contour, ...]]:
    """Return what gives the strokes along the middle of a face's glyphs by their key; each is made once."""
    known: dict[int, tuple[Contour, ...]] = {}

    def figure(key: int) -> tuple[Contour, ...]:
        if key not in known:
            known[key] = middle_of(face.figure(key), face.cap_height)
        return known[key]

    return figure
