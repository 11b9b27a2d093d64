"""Which letters the strokes on a board belong to, and what to call them."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracer.geometry import affine
from tracer.model.layout import Layout
from tracer.model.marks import Letter, Marks
from tracer.report.words import MOST_NAMED, listed


@dataclass(frozen=True, eq=False)
class Words:
    """A piece of words on the board.

    Attributes
    ----------
    marks : its letters, in the frame of its drawing.
    matrix : from there to wood mm.
    numbers : of the strokes of each letter, as the layout has them.
    name : of the piece.
    """

    marks: Marks
    matrix: affine.Affine
    numbers: tuple[tuple[int, ...], ...]
    name: str

    @property
    def height(self) -> float:
        """The capitals' height on the wood, mm."""
        return self.marks.cap_height * affine.scale_of(self.matrix)

    @property
    def stem(self) -> float:
        """Width of the capital I's stem in the face at that height, mm; 0 where it has none."""
        return self.marks.stem * affine.scale_of(self.matrix)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """What to call each letter: "A", of several alike "2nd N", with quotes what is no single letter."""
        texts = [letter.text for letter in self.marks.letters]
        return tuple(
            _quoted(text) if texts.count(text) == 1 else f"{_nth(texts[: k + 1].count(text))} {_quoted(text)}"
            for k, text in enumerate(texts)
        )

    def letters_of(self, numbers: Iterable[int]) -> set[int]:
        """Return the places of the letters that strokes belong to."""
        return {self._letter[number] for number in numbers if number in self._letter}

    @cached_property
    def _letter(self) -> dict[int, int]:
        """The place of each stroke's letter."""
        return {number: k for k, own in enumerate(self.numbers) for number in own}

    def origin(self, letter: Letter) -> tuple[float, float]:
        """Where a letter's origin lies on the wood, mm."""
        x, y = affine.apply(self.matrix, np.array(letter.origin)).tolist()
        return x, y

    def turn(self, letter: Letter) -> float:
        """Direction of the baseline at a letter on the wood, radians, clockwise as seen."""
        return letter.turn + math.atan2(float(self.matrix[1, 0]), float(self.matrix[0, 0]))


class Letters:
    """The letters of all words on a board, by the numbers of their strokes.

    `made_of` says of strokes that came from others, as further rings of an edge, of which.
    """

    def __init__(self, layout: Layout, made_of: Mapping[int, int] | None = None):
        self.words = tuple(
            Words(
                marks,
                piece.matrix,
                tuple(tuple(number + offset for number in letter.strokes) for letter in marks.letters),
                piece.name,
            )
            for piece, offset in zip(layout.pieces, layout.offsets, strict=True)
            if (marks := piece.drawing.marks) is not None
        )
        self._of = {
            number: (k, i)
            for k, words in enumerate(self.words)
            for i, numbers in enumerate(words.numbers)
            for number in numbers
        }
        self._of |= {new: self._of[old] for new, old in (made_of or {}).items() if old in self._of}

    def of(self, numbers: Iterable[int]) -> list[str]:
        """Return the names of the letters that strokes belong to; none where one belongs to no letter."""
        places = [self._of.get(number) for number in numbers]
        found = sorted({place for place in places if place is not None})
        return [] if None in places else [self.words[k].names[i] for k, i in found]

    def words_at(self, numbers: Iterable[int]) -> Words | None:
        """Return the words that all these strokes belong to."""
        owners = {self._of[number][0] if number in self._of else None for number in numbers}
        owner = owners.pop() if len(owners) == 1 else None
        return None if owner is None else self.words[owner]

    def named(self, numbers: Iterable[int]) -> str:
        """Return such as "the A and the V (strokes 1 and 3)", "stroke 2 of the e", or only the strokes."""
        own = list(numbers)
        names = self.of(own)
        if not names:
            return listed(own)
        return f"{listed(own)} of the {names[0]}" if len(names) == 1 else f"{together(names)} ({listed(own)})"


def together(names: Iterable[str]) -> str:
    """Return "the A", "the A and the V", or of more than a few "the A, the B, the C and 9 more letters"."""
    return few([f"the {name}" for name in names], "letters")


def few(things: Sequence[str], kind: str = "") -> str:
    """Return "a", "a and b", or of more than a few "a, b, c, d and 9 more letters"."""
    if len(things) == 1:
        return things[0]
    if len(things) > MOST_NAMED:
        shown = MOST_NAMED - 2
        return f"{', '.join(things[:shown])} and {len(things) - shown} more {kind}".rstrip()
    return f"{', '.join(things[:-1])} and {things[-1]}"


def _quoted(text: str) -> str:
    return text if len(text) == 1 and text.isalnum() else f"“{text}”"


def _nth(number: int) -> str:
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"
