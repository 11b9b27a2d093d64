"""Pieces of lines strung together."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tracer.vector.stretches import ON_LINE
from tracer.vector.visible import Piece

Array = NDArray[np.float64]
Key = tuple[int, int]
"""(piece, 0 for its start or 1 for its end)."""


class End(NamedTuple):
    """An end of a piece at a notch: its piece and side, its place and its heading."""

    piece: int
    side: int
    place: Array
    heading: Array


class Joint(NamedTuple):
    """Two ends that may be one line, at a price, and the points (m, 2) between them."""

    price: float
    one: End
    other: End
    way: Array


class Strings:
    """Pieces, and which of their ends are joined by which `ways`, or led on by which `tails`."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        self.pieces = pieces
        self.partner: dict[Key, Key] = {}
        self.ways: dict[Key, Array] = {}
        self.tails: dict[Key, Array] = {}
        self.dropped: set[int] = set()

    def ends_at(self, end: End) -> bool:
        """Say whether an end is not joined."""
        return (end.piece, end.side) not in self.partner

    def join(self, joints: Iterable[Joint]) -> None:
        """Join ends, each once, the first joints first."""
        for _, one, other, way in joints:
            if self.ends_at(one) and self.ends_at(other):
                a, b = (one.piece, one.side), (other.piece, other.side)
                self.partner[a], self.partner[b] = b, a
                self.ways[a] = way

    def drop(self, pieces: set[int]) -> None:
        """Leave out those of some pieces that are not joined."""
        self.dropped |= {k for k in pieces if not {(k, 0), (k, 1)} & self.partner.keys()}

    def whole(self) -> list[Piece]:
        """Return the pieces, those joined made one."""
        done = set(self.dropped)
        return [self._from(self._first(k), done) for k in range(len(self.pieces)) if k not in done]

    def _first(self, k: int) -> Key:
        """Return the end where the string of a piece begins."""
        at, seen = (k, 0), {k}
        while (before := self.partner.get(at)) is not None and before[0] not in seen:
            seen.add(before[0])
            at = (before[0], 1 - before[1])
        return at

    def _from(self, first: Key, done: set[int]) -> Piece:
        """Return the string that begins at an end; its pieces are `done`."""
        at, parts = first, [self.tails[first][::-1]] if first in self.tails else []
        while True:
            done.add(at[0])
            points = self.pieces[at[0]].points
            parts.append(points if at[1] == 0 else points[::-1])
            last = at[0], 1 - at[1]
            onward = self.partner.get(last)
            if onward is None or onward[0] in done:
                break
            parts.append(self.ways[last] if last in self.ways else self.ways[onward][::-1])
            at = onward
        parts += [self.tails[last]] if last in self.tails else []
        start, end = (ON_LINE if key in self.tails else self._meets(key) for key in (first, last))
        return Piece(start, end, np.concatenate(parts))

    def _meets(self, key: Key) -> int:
        """Return what a piece's end is."""
        piece = self.pieces[key[0]]
        return piece.end if key[1] else piece.start
