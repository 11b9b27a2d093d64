"""Segments of many strokes, and the numbers that neighbours share."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Chains:
    """Segments of many strokes, and which numbers they share.

    Attributes
    ----------
    kind, first, last : (s,) LINE, ARC or CUBIC, and the samples of each segment, both included.
    following : (s,) the segment that goes on smoothly where each ends, or -1.
    block : (s,) the stroke or part of one whose joints are solved with its own, in rising order.
    unknown : (s, 8) where in `values` each of a segment's numbers is; smooth neighbours share some.
    values : (v,) a first guess: places and angles of one block behind the other, then all handles.
    begin : (blocks + 1,) where each block's places and angles begin.
    hold : (begin[-1],) weights, in samples, that keep places and angles at their first guess.
    """

    kind: Index
    first: Index
    last: Index
    following: Index
    block: Index
    unknown: Index
    values: Array
    begin: Index
    hold: Array

    def numbers_of(self, wanted: Flags) -> Flags:
        """Say which of the values belong to the wanted blocks."""
        return np.append(np.repeat(wanted, np.diff(self.begin)), np.repeat(wanted[self.block], 2))

    def only(self, wanted: Flags) -> "Chains":
        """Return the segments of the wanted blocks."""
        segments, numbers = wanted[self.block], self.numbers_of(wanted)
        rank, place = np.cumsum(segments) - 1, np.cumsum(numbers) - 1
        following = self.following[segments]
        return Chains(
            self.kind[segments],
            self.first[segments],
            self.last[segments],
            np.where(following < 0, -1, rank[following]),
            (np.cumsum(wanted) - 1)[self.block[segments]],
            place[self.unknown[segments]],
            self.values[numbers],
            np.concatenate([[0], np.cumsum(np.diff(self.begin)[wanted])]),
            self.hold[numbers[: self.begin[-1]]],
        )
