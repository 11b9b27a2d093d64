"""The polylines of the faces that ship, as the package with their coordinates has them, and what we add.

Frame: steps of the package's grid, y up from the baseline, x from the letter's origin.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

CAP_HEIGHT = 21.0
"""Of the capitals, in steps of the grid."""

_BASELINE = 9
"""In the package, where y runs down."""

SCRIPT_SLANT = 0.3
"""How far to the right the stems of the script lean for each step upwards."""

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
_GREEK = dict(
    zip(
        "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩαβγδεζηθικλμνξοπρστυφχψω",
        "ABCDEFGHIJKLMNOPQRSTUVWXabcdefghijklmnopqrstuvwx",
        strict=True,
    )
)


@dataclass(frozen=True, eq=False)
class Coarse:
    """A letter as polylines (m, 2), one point alone being a dot, and its advance."""

    strokes: tuple[Array, ...]
    advance: float


@dataclass(frozen=True)
class Source:
    """Characters that come from one face of the package.

    Attributes
    ----------
    face : its name in the package.
    characters : each with its place there.
    slant : how far to the right they are made to lean for each step upwards.
    """

    face: str
    characters: Mapping[str, str]
    slant: float = 0.0


def own(characters: str) -> dict[str, str]:
    """Return characters that stand in their own places."""
    return dict(zip(characters, characters, strict=True))


_PRINTED = own("".join(chr(code) for code in range(32, 127) if chr(code) not in "'`-"))

PLAIN = (Source("rowmans", _PRINTED), Source("greeks", _GREEK))
SCRIPT = (Source("cursive", own(_LETTERS)), Source("rowmans", _PRINTED, SCRIPT_SLANT))
ROMAN = (Source("timesr", own(_LETTERS + "0123456789&?!")), Source("rowmans", _PRINTED))

SAME = {
    "\N{NO-BREAK SPACE}": " ",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT DOUBLE QUOTATION MARK}": '"',
    "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
    "\N{HYPHEN}": "-",
    "\N{NON-BREAKING HYPHEN}": "-",
}
"""Characters drawn like others."""

_RING: list[tuple[float, float]] = [
    *((2, 17), (3, 19), (5, 20), (7, 19), (8, 17)),
    *((7, 15), (5, 14), (3, 15), (2, 17)),
]

_ADDED: dict[str, tuple[list[list[tuple[float, float]]], float]] = {
    "'": ([[(5, 20), (6, 18), (5, 16), (4, 15)]], 10),
    "-": ([[(3, 9), (11, 9)]], 14),
    "\N{EN DASH}": ([[(3, 9), (17, 9)]], 20),
    "\N{EM DASH}": ([[(4, 9), (22, 9)]], 26),
    "\N{MINUS SIGN}": ([[(4, 9), (22, 9)]], 26),
    "\N{MULTIPLICATION SIGN}": ([[(4, 2), (18, 16)], [(4, 16), (18, 2)]], 22),
    "\N{MIDDLE DOT}": ([[(5, 9)]], 10),
    "\N{HORIZONTAL ELLIPSIS}": ([[(5, 1)], [(15, 1)], [(25, 1)]], 30),
    "\N{DEGREE SIGN}": ([_RING], 10),
    "\N{LATIN SMALL LETTER DOTLESS I}": ([[(4, 0), (4, 14)]], 8),
}
"""What the package lacks, or has in another size: its hyphen is as long as a dash."""


def letters_of(sources: tuple[Source, ...], slant: float) -> dict[str, Coarse]:
    """Return the letters of a face by their character; the first source that has one counts.

    `slant` is that of what we add.
    """
    letters = {character: _leaning(letter, slant) for character, letter in _added().items()}
    for source in reversed(sources):
        glyphs = _glyphs(source.face)
        for character, place in source.characters.items():
            letters[character] = _leaning(glyphs[place], source.slant)
    return letters


def _leaning(letter: Coarse, slant: float) -> Coarse:
    """Return a letter that leans to the right."""
    return Coarse(tuple(points + slant * points[:, 1:] * (1, 0) for points in letter.strokes), letter.advance)


def _added() -> dict[str, Coarse]:
    """Return what we add, in the package's grid."""
    return {
        c: Coarse(tuple(np.array(s, float) for s in drawn), width) for c, (drawn, width) in _ADDED.items()
    }


@cache
def _glyphs(face: str) -> dict[str, Coarse]:
    """Return all glyphs of one face of the package."""
    from HersheyFonts import HersheyFonts

    package = HersheyFonts()
    package.load_default_font(face)
    return {
        character: Coarse(
            tuple(_undotted(np.array(s, float), glyph.left_offset) for s in glyph.strokes if len(s) > 1),
            float(glyph.char_width),
        )
        for character, glyph in package.all_glyphs.items()
    }


def _undotted(points: Array, left: float) -> Array:
    """Return a stroke in our frame, a dot drawn as a ring at its start put as one point.

    A groove is as wide as the dot: cut round its ring it would leave a crumb standing in the middle.
    """
    points = (points - (left, _BASELINE)) * (1, -1)
    ring = points[:5]
    if len(ring) == 5 and np.array_equal(ring[0], ring[4]) and np.ptp(ring, axis=0).max() <= 2:
        middle = (ring.min(axis=0) + ring.max(axis=0)) / 2
        return np.concatenate([middle[None], points[5:]])
    return np.asarray(points)
