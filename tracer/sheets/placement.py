"""Where each letter of the words goes on the board, from unrounded positions. Wood mm."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from tracer.geometry import affine
from tracer.lettering import Lettering
from tracer.model.layout import Piece
from tracer.model.marks import Marks
from tracer.model.plan import Plan
from tracer.sheets.said_names import letter_name

_LEVEL = 1e-9
"""Radians within which a baseline is level, or the letters of a line stand alike."""


@dataclass(frozen=True)
class PlacedLetter:
    """One letter on the wood; nothing in it is rounded, and nothing summed from letter to letter.

    Attributes
    ----------
    number : its place in the order of all letters of the plan, from 1.
    piece, line : whose words it is of, and which line of theirs, from 0.
    text, glyphs : as in its `tracer.model.marks.Letter`.
    origin : (x, y) from the board's top left, y down.
    from_first : (x, y) from the first origin of its piece.
    along : from the first origin of its line, along the baseline there; for straight lines.
    turn : of the baseline there on the wood, radians, clockwise as seen, within half a turn.
    advance : along the baseline to the next letter's origin, kerning and spaces included: how far the
        work is moved for it, ratio x (advance on the template).
    height : of the capitals.
    strokes : its strokes' numbers in the plan.
    """

    number: int
    piece: int
    line: int
    text: str
    glyphs: tuple[str, ...]
    origin: tuple[float, float]
    from_first: tuple[float, float]
    along: float
    turn: float
    advance: float
    height: float
    strokes: tuple[int, ...]

    @property
    def name(self) -> str:
        """What it is called on the pages."""
        return letter_name(self.text, self.number)


@dataclass(frozen=True)
class Arc:
    """The circle on which a line stands: its centre (x, y) on the wood, and its radius.

    The radius is below 0 in a bowl, where the centre lies above the letters.
    """

    centre: tuple[float, float]
    radius: float


@dataclass(frozen=True)
class PlacedLine:
    """One line of words: `number` from 1 through all pieces, and how its words were `set`."""

    number: int
    letters: tuple[PlacedLetter, ...]
    set: Lettering

    @property
    def straight(self) -> bool:
        """Whether all letters stand alike, not on an arc."""
        return all(abs(_turn(one.turn - self.letters[0].turn)) < _LEVEL for one in self.letters)

    @property
    def level(self) -> bool:
        """Whether it runs from left to right along the board's width."""
        return all(abs(one.turn) < _LEVEL for one in self.letters)

    @property
    def arc(self) -> Arc | None:
        """The circle that its origins lie on, where there are two at least; None where it is straight."""
        how = self.set
        if how.arc is None or how.height is None or self.straight:
            return None
        first, second = (np.array(one.origin) for one in self.letters[:2])
        scale = self.letters[0].height / how.height
        radius = scale * (how.arc - self.letters[0].line * how.pitch * how.height)
        across = (second - first) / 2
        size = float(np.hypot(*across))
        down = np.array([-across[1], across[0]]) / size
        away = np.sqrt(max(0.0, radius**2 - size**2)) * np.sign(radius)
        return Arc(_pair(first + across + down * away), radius)

    @property
    def words(self) -> str:
        """What it says, as it was typed."""
        return self.set.words.split("\n")[self.letters[0].line].strip()

    @property
    def end(self) -> float:
        """Where the last letter's own advance ends, from the first origin along a straight line."""
        return self.letters[-1].along + self.letters[-1].advance


def pieces_of_words(plan: Plan) -> tuple[tuple[int, Piece, Marks], ...]:
    """Return the pieces that are words with at least one letter, each with its index and its marks."""
    return tuple(
        (index, piece, piece.drawing.marks)
        for index, piece in enumerate(plan.layout.pieces)
        if piece.drawing.marks is not None and piece.drawing.marks.letters
    )


def placed_letters(plan: Plan) -> tuple[PlacedLetter, ...]:
    """Return all letters of the plan's words: piece by piece, line by line, from the left as seen."""
    placed: list[PlacedLetter] = []
    for index, piece, marks in pieces_of_words(plan):
        placed += _placed(index, piece, marks, offset=plan.layout.offsets[index], first=len(placed) + 1)
    return tuple(placed)


def placed_lines(plan: Plan) -> tuple[PlacedLine, ...]:
    """Return the letters by their lines."""
    lettering = {index: marks.lettering for index, _, marks in pieces_of_words(plan)}
    groups = groupby(placed_letters(plan), key=lambda one: (one.piece, one.line))
    return tuple(
        PlacedLine(number, tuple(letters), lettering[piece])
        for number, ((piece, _), letters) in enumerate(groups, start=1)
    )


def shift_after(line: Sequence[PlacedLetter], place: int) -> float | None:
    """Return how far the work is moved after the letter in that place of its line; None after the last."""
    return line[place].advance if place + 1 < len(line) else None


def _placed(index: int, piece: Piece, marks: Marks, *, offset: int, first: int) -> list[PlacedLetter]:
    """Return one piece's letters; `offset` is added to its stroke numbers, `first` is its first letter's."""
    origins = affine.apply(piece.matrix, np.array([letter.origin for letter in marks.letters], float))
    scale, turned = affine.scale_of(piece.matrix), np.arctan2(piece.matrix[1, 0], piece.matrix[0, 0])
    begins: dict[int, int] = {}
    placed = []
    for place, letter in enumerate(marks.letters):
        start = begins.setdefault(letter.line, place)
        turn = _turn(letter.turn + turned)
        way = np.array([np.cos(turn), np.sin(turn)])
        placed.append(
            PlacedLetter(
                number=first + place,
                piece=index,
                line=letter.line,
                text=letter.text,
                glyphs=letter.glyphs,
                origin=_pair(origins[place]),
                from_first=_pair(origins[place] - origins[0]),
                along=float((origins[place] - origins[start]) @ way),
                turn=turn,
                advance=letter.advance * scale,
                height=marks.cap_height * scale,
                strokes=tuple(number + offset for number in letter.strokes),
            )
        )
    return placed


def _turn(angle: float) -> float:
    """Return an angle within half a turn either way."""
    return float((angle + np.pi) % (2 * np.pi) - np.pi)


def _pair(point: np.ndarray) -> tuple[float, float]:
    return float(point[0]), float(point[1])
