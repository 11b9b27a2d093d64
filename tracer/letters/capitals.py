"""How high a face's capitals are between the middles of their strokes."""

import numpy as np

from tracer.errors import LetterError
from tracer.geometry import bezier
from tracer.letters.face import Face
from tracer.letters.line import FigureOf

_FLAT = "HIELTFN"
"""Capitals that end flat above and below, the first that the face has."""

_LEAST = 0.4
"""Of the capitals' outlines: what is lower is no middle of a whole letter."""


def middle_height(face: Face, figure_of: FigureOf) -> float:
    """Return the height of capitals from the middle of their top strokes to that of their lowest, font units.

    Parameters
    ----------
    face : a face of outlines.
    figure_of : the middle of a glyph's strokes by its key, font units.

    Returns
    -------
    float
        Extent of the middle of H, else of another capital that ends flat; of a face with none of these
        its capitals less a stem.
    """
    for capital in _FLAT:
        try:
            keys = [glyph.key for glyph in face.shape(capital)]
        except LetterError:
            continue
        curves = [contour.curves for key in keys for contour in figure_of(key)]
        if curves:
            _, low, _, high = bezier.bounds(np.concatenate(curves))
            if _LEAST * face.cap_height <= high - low <= face.cap_height:
                return float(high - low)
    return max(face.cap_height - face.stem, _LEAST * face.cap_height)
