"""Drawings laid on a board."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracer.geometry import affine
from tracer.model.drawing import Drawing, Joint, Stroke, extent


@dataclass(frozen=True)
class Board:
    """The board, face up.

    Attributes
    ----------
    width, height, thickness : mm.
    wood : name of the wood, as in `tracer.shop.wood`.
    grain_deg : direction of the grain, degrees from the width (0 along the width, 90 along the height).
    declared : said by the user, not assumed round the figure.
    """

    width: float
    height: float
    thickness: float
    wood: str
    grain_deg: float = 0.0
    declared: bool = False


@dataclass(frozen=True, eq=False)
class Piece:
    """One drawing laid on the board: `matrix` (2, 3) maps art pixels to wood mm, keeping angles.

    Of a border the distance from the board's edge was said: no margin is asked of it.
    """

    drawing: Drawing
    matrix: affine.Affine
    name: str
    border: bool = False

    @property
    def picture(self) -> bool:
        """Whether it came from art: neither words nor a border."""
        return self.drawing.marks is None and not self.border

    @property
    def scale(self) -> float:
        """How many mm on the wood an art pixel is."""
        return affine.scale_of(self.matrix)


@dataclass(frozen=True, eq=False)
class Layout:
    """A board and the pieces on it; wood frame: mm, y down, origin at the board's top left.

    Strokes of all pieces are numbered through: the first piece keeps its drawing's
    numbers, those of each later one go on from the highest number so far.
    """

    board: Board
    pieces: tuple[Piece, ...]

    @cached_property
    def offsets(self) -> tuple[int, ...]:
        """What is added to each piece's stroke numbers."""
        highest = [max((s.number for s in p.drawing.strokes), default=0) for p in self.pieces]
        return tuple(int(x) for x in np.concatenate([[0], np.cumsum(highest)[:-1]])) if highest else ()

    def piece_of(self, number: int) -> int | None:
        """Return which piece, counted from 0, a stroke is of; None for one that is of no drawing."""
        return self._owners.get(number)

    @cached_property
    def _owners(self) -> dict[int, int]:
        """The piece of each stroke, by their numbers."""
        pieces = enumerate(zip(self.pieces, self.offsets, strict=True))
        return {s.number + offset: k for k, (piece, offset) in pieces for s in piece.drawing.strokes}

    def alike(self, other: "Layout") -> bool:
        """Say whether both put the same drawings, not only like ones, in the same places."""
        return self is other or (
            self.board == other.board
            and len(self.pieces) == len(other.pieces)
            and all(
                a.drawing is b.drawing and np.array_equal(a.matrix, b.matrix)
                for a, b in zip(self.pieces, other.pieces, strict=True)
            )
        )

    @property
    def pictures(self) -> list[Drawing]:
        """The drawings that came from art."""
        return [piece.drawing for piece in self.pieces if piece.picture]

    @cached_property
    def bordering(self) -> frozenset[int]:
        """Numbers of the strokes of borders."""
        return self._numbers_of([piece.border for piece in self.pieces])

    @cached_property
    def from_art(self) -> frozenset[int]:
        """Numbers of the strokes of pictures."""
        return self._numbers_of([piece.picture for piece in self.pieces])

    def _numbers_of(self, wanted: list[bool]) -> frozenset[int]:
        return frozenset(
            stroke.number + offset
            for piece, offset, want in zip(self.pieces, self.offsets, wanted, strict=True)
            if want
            for stroke in piece.drawing.strokes
        )

    @cached_property
    def strokes(self) -> tuple[Stroke, ...]:
        """All strokes in the wood frame, in the order of their numbers."""
        return tuple(
            stroke
            for piece, offset in zip(self.pieces, self.offsets, strict=True)
            for stroke in _moved(piece, offset)
        )

    @cached_property
    def joints(self) -> tuple[Joint, ...]:
        """Where strokes meet as drawn, in the wood frame; strokes of different pieces do not meet."""
        return tuple(
            Joint(
                point=affine.apply(piece.matrix, joint.point),
                members=tuple((number + offset, t) for number, t in joint.members),
            )
            for piece, offset in zip(self.pieces, self.offsets, strict=True)
            for joint in piece.drawing.joints
        )

    @cached_property
    def extent(self) -> tuple[float, float, float, float]:
        """(x0, y0, x1, y1) between outermost stroke middles on the wood before anything is dropped."""
        return extent(self.strokes)

    @cached_property
    def extents(self) -> tuple[tuple[float, float, float, float], ...]:
        """The extent of each piece."""
        return tuple(extent(tuple(_moved(piece, 0))) for piece in self.pieces)


def _moved(piece: Piece, offset: int) -> list[Stroke]:
    """Return a piece's strokes in the wood frame, their numbers raised by `offset`; all in one go."""
    strokes = piece.drawing.strokes
    if not strokes:
        return []
    curves = affine.apply(piece.matrix, np.concatenate([stroke.curves for stroke in strokes]))
    parts = np.split(curves, np.cumsum([len(stroke.curves) for stroke in strokes])[:-1])
    scale = affine.scale_of(piece.matrix)
    return [
        Stroke(s.number + offset, part, s.closed, s.kind, None if s.widths is None else s.widths * scale)
        for s, part in zip(strokes, parts, strict=True)
    ]
