"""The single-stroke faces that ship with tracer: letters as the lines a hand would carve, with no width."""

import unicodedata
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.errors import LetterError
from tracer.geometry import bezier
from tracer.letters import coarse
from tracer.letters.accents import ABOVE, MARKS, MOST, with_accents
from tracer.letters.coarse import Coarse, Source
from tracer.letters.face import Contour, Glyph
from tracer.letters.gaps import drawn

Array = NDArray[np.float64]

LICENCE = "MIT"
"""Of the package hershey-fonts; where the coordinates come from is said in NOTICES."""

_MARK = 21
"""Bits of a character in a key."""

_NAMED = 6
"""Missing characters that a message names."""

_SOFT_DOTTED = {"i": "\N{LATIN SMALL LETTER DOTLESS I}"}
"""Letters that lose their dot under an accent, where the face has them without."""


@dataclass(frozen=True)
class Style:
    """A face that ships.

    Attributes
    ----------
    title : its full name.
    about : what it is like, and what it is good for, in a line.
    sources : where its letters come from.
    slant : how far to the right its stems lean for each step upwards.
    """

    title: str
    about: str
    sources: tuple[Source, ...]
    slant: float = 0.0


STROKE_FACES = {
    "plain": Style("Plain single stroke", "upright capitals and small letters, Greek too", coarse.PLAIN),
    "script": Style(
        "Script single stroke", "a running hand, letters joined", coarse.SCRIPT, coarse.SCRIPT_SLANT
    ),
    "roman": Style(
        "Roman in fine strokes",
        "with serifs; thick strokes are two lines a twenty-first of the height apart: for large letters",
        coarse.ROMAN,
    ),
}
"""The faces by the name that one asks for."""


def open_single(name: str) -> "SingleFace":
    """Return a single-stroke face that ships.

    Raises
    ------
    LetterError
        For a name that is none of `STROKE_FACES`.
    """
    if name not in STROKE_FACES:
        raise LetterError(
            f'there is no single-stroke face "{name}": those that ship are {", ".join(STROKE_FACES)}'
        )
    return SingleFace(name, STROKE_FACES[name])


class SingleFace:
    """A face whose contours are strokes to follow. Font units are steps of its grid, 21 to a capital."""

    licence = LICENCE
    cap_height = coarse.CAP_HEIGHT
    stem = 0.0
    single = True

    def __init__(self, short: str, style: Style) -> None:
        self.short, self.style = short, style
        self.name = style.title
        self._figures: dict[int, tuple[Contour, ...]] = {}

    def shape(self, line: str) -> tuple[Glyph, ...]:
        """Return the glyphs of one line, from the left; no kerning.

        Raises
        ------
        LetterError
            For characters that the face lacks; letter and accent are put together where both are there.
        """
        letters = _letters(line)
        lacking = [text for _, text in letters if not self._has(text)]
        if lacking:
            raise LetterError(self._lacks(list(dict.fromkeys(lacking))))
        return tuple(
            Glyph(_key(text), text, at, (0.0, 0.0), self._coarse[text[0]].advance, 0.0)
            for at, text in letters
        )

    def figure(self, key: int) -> tuple[Contour, ...]:
        """Return the strokes of a glyph; a dot is one cubic whose points are all equal."""
        if key not in self._figures:
            self._figures[key] = self._drawn(_text(key))
        return self._figures[key]

    @cached_property
    def _coarse(self) -> dict[str, Coarse]:
        return coarse.letters_of(self.style.sources, self.style.slant)

    def _has(self, text: str) -> bool:
        """Say whether a letter and all of its accents are there."""
        letter, marks = text[0], text[1:]
        return (
            letter in self._coarse
            and set(marks) <= MARKS
            and len(marks) <= MOST
            and (letter != " " or not marks)
        )

    def _lacks(self, texts: list[str]) -> str:
        """Return the sentence on characters that are not there."""
        hidden = next((text for text in texts if not text.isprintable()), None)
        if hidden is not None:
            return (
                f"there is a character among the words that does not show ({_called(hidden)}): take it out, "
                "or type the words anew"
            )
        said = ", ".join(_said(text) for text in texts[:_NAMED])
        more = f" and {len(texts) - _NAMED} more" if len(texts) > _NAMED else ""
        return f'the face "{self.short}" has no {said}{more}: leave it out, or name a font file that has it'

    def _drawn(self, text: str) -> tuple[Contour, ...]:
        """Return the strokes of a letter with its accents."""
        letter, marks = text[0], text[1:]
        if self.short != "script" and any(mark in ABOVE for mark in marks):
            letter = _SOFT_DOTTED.get(letter, letter)
        lines = list(self._coarse[letter].strokes)
        if marks:
            lines = with_accents(lines, marks, self.style.slant)
        dots = [Contour(bezier.dot(line[0]), closed=False) for line in lines if len(line) == 1]
        chains = drawn([line for line in lines if len(line) > 1], self._coarse[letter].advance)
        return tuple(Contour(chain, np.allclose(chain[0, 0], chain[-1, 3])) for chain in chains) + tuple(dots)


def _letters(line: str) -> list[tuple[int, str]]:
    """Return where each letter of a line begins, and its characters: one and the accents on it."""
    letters: list[tuple[int, str]] = []
    for at, character in enumerate(line):
        parts = unicodedata.normalize("NFD", coarse.SAME.get(character, character))
        for k, part in enumerate(parts):
            if letters and unicodedata.combining(part) and (k or at):
                letters[-1] = letters[-1][0], letters[-1][1] + part
            else:
                letters.append((at, part))
    return letters


def _key(text: str) -> int:
    """Return a number for a letter with its accents."""
    return sum(ord(part) << (_MARK * k) for k, part in enumerate(text))


def _text(key: int) -> str:
    """Return the letter of a number."""
    text = ""
    while key:
        text += chr(key & ((1 << _MARK) - 1))
        key >>= _MARK
    return text


def _said(text: str) -> str:
    """Return a character as a message names it."""
    return f"{unicodedata.normalize('NFC', text)[:3]} ({_called(text)})"


def _called(text: str) -> str:
    """Return the code points of a character with its accents, and its name."""
    whole = unicodedata.normalize("NFC", text)[:3]
    codes = " ".join(f"U+{ord(part):04X}" for part in whole)
    name = unicodedata.name(whole, "").lower() if len(whole) == 1 else ""
    return f"{codes}, {name}" if name else codes
