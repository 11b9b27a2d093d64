"""What a face gives, whatever it is made of: shaped lines and the figures of glyphs, in font units."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Contour:
    """One curve of a glyph: `curves` (n, 4, 2) cubics, font units, y up, from the glyph's origin."""

    curves: Array
    closed: bool


@dataclass(frozen=True)
class Glyph:
    """A glyph in a shaped line.

    Attributes
    ----------
    key : of its figure in the face.
    name : in the font.
    cluster : index in the line's text of the first character it stands for.
    offset : (x, y) of its figure from the pen, font units, y up.
    advance : of the pen, kerning included, font units.
    kern : what kerning added to that.
    """

    key: int
    name: str
    cluster: int
    offset: tuple[float, float]
    advance: float
    kern: float


class Face(Protocol):
    """A face at one instance. Lengths in font units, y up."""

    name: str
    licence: str
    cap_height: float
    stem: float
    single: bool
    """Its contours are the strokes themselves, to follow along their middle; else the outlines of areas."""

    def shape(self, line: str) -> tuple[Glyph, ...]:
        """Return the glyphs of one line, from the left as seen.

        Raises
        ------
        LetterError
            For a character that the face lacks.
        """
        ...

    def figure(self, key: int) -> tuple[Contour, ...]:
        """Return the contours of a glyph; none for a space."""
        ...
