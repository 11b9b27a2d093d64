"""Lines one pixel wide: thinning in order of depth."""

from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.uint8]
Indices = NDArray[np.intp]

LEVELS = 4
"""Levels of depth to a pixel: what is shallower goes first, which keeps the skeleton in the middle."""

FINELY = 16.0
"""Pixels of depth beyond which a level is a whole pixel: there are solids."""

END = 0.72
"""An end at least this part as deep as the ink it leads to is a pen's.

A stub on a line of its own width has 0.8 (four fifths of the disc between the corners of a T);
the bisector of a right corner has 0.41, ragged edges of pencil lines reach 0.7.
"""

_CLOCKWISE = ((0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0), (1, 1))
"""(row, column) steps to the eight neighbours, one bit of a code each: east, north-east, ... south-east."""

_NONE = np.zeros(0, np.intp)

_WAYS = np.concatenate(
    [part * np.array(_CLOCKWISE) / np.hypot(*np.array(_CLOCKWISE).T)[:, None] for part in (0.5, 1, 2)]
)
"""Steps (24, 2) to where an end's depth is compared, in units of its depth."""


def _tables() -> tuple[NDArray[np.bool_], NDArray[np.uint8]]:
    """Return, for each of the 256 codes, whether its pixel is simple, and how many neighbours it has.

    Simple: taking it away neither parts nor joins nor opens anything, ink connected by eight
    neighbours and paper by four (Yokoi, Toriwaki, Fukumura 1975: the number of connectivity is one).
    """
    bits = (np.arange(256)[:, None] >> np.arange(8)) & 1
    paper = 1 - bits
    after, next_after = np.roll(paper, -1, axis=1), np.roll(paper, -2, axis=1)
    number = (paper - paper * after * next_after)[:, ::2].sum(axis=1)
    return number == 1, bits.sum(axis=1).astype(np.uint8)


SIMPLE, NEIGHBOURS = _tables()


def thin(line: NDArray[np.bool_], depth: NDArray[np.float32]) -> NDArray[np.bool_]:
    """Return the skeleton (H, W) of the line mask: one pixel wide, connected as the ink is.

    Homotopic thinning in order of `depth` (H, W), the distance to paper: pixels that are
    simple go, the shallowest first (Vincent 1991 orders them thus), in four interleaved
    fields of pixels no two of which touch, so that all of a field can go at once.
    """
    work = _Thinning(line, depth)
    for group in work.groups():
        work.thin(group)
    alive = work.alive[1:-1, 1:-1]
    del work  # and its other pages with it, before one more is made
    return alive > 0


class _Thinning:
    """The state of a thinning, in flat indices of the mask with a border of paper.

    Pixels need looking at when their level's turn comes, and again when one of another field has gone.
    """

    def __init__(self, line: NDArray[np.bool_], depth: NDArray[np.float32]) -> None:
        self.line, self.depth = line, depth
        self.alive = np.zeros((line.shape[0] + 2, line.shape[1] + 2), np.uint8)
        self.alive[1:-1, 1:-1] = line
        self.width = self.alive.shape[1]
        weights = np.zeros((3, 3), np.float32)
        for bit, (row, column) in enumerate(_CLOCKWISE):
            weights[1 + row, 1 + column] = 1 << bit
        self.code = np.asarray(cv2.filter2D(self.alive, cv2.CV_8U, weights), np.uint8).ravel()
        self.flat = self.alive.ravel()
        self.steps = [
            (row * self.width + column, np.uint8(255 - (1 << (k + 4) % 8)))
            for k, (row, column) in enumerate(_CLOCKWISE)
        ]
        self.coming, self.waiting, self.moved = [_NONE] * 4, [_NONE] * 4, [False] * 4

    def groups(self) -> list[list[Indices]]:
        """Return the ink pixels by level of depth, and in each level by field."""
        ink = np.flatnonzero(self.line)
        depth = self.depth.ravel().take(ink)
        level = np.minimum(LEVELS * depth, (LEVELS - 1) * FINELY + depth).astype(np.uint16)
        row, column = self._places(ink, self.line.shape[1])
        key = (level * 4 + ((row & 1) * 2 + (column & 1)).astype(np.uint16)).astype(np.uint16)
        order = np.argsort(key, kind="stable")
        bounds = np.searchsorted(key.take(order), np.arange(4 * (int(level.max(initial=0)) + 1) + 1))
        ink = ((row + 1) * self.width + column + 1).take(order)
        parts = [ink[a:b] for a, b in pairwise(bounds.tolist())]
        return [parts[k : k + 4] for k in range(0, len(parts), 4)]

    def thin(self, group: list[Indices]) -> None:
        """Take the simple pixels of one level away, and those of lower levels that became simple."""
        self.coming = group
        while any(self.moved) or any(map(len, self.coming)):
            for f in range(4):
                if self.moved[f] or len(self.coming[f]):
                    self._field(f)

    def _field(self, f: int) -> None:
        """Take away what is simple in one field, but no ends."""
        pixels, rest = self.coming[f], self.waiting[f]
        if self.moved[f] and len(rest):
            pixels, rest = np.concatenate([rest, pixels]), _NONE
        self.coming[f], self.moved[f] = _NONE, False
        codes = self.code.take(pixels)
        simple = SIMPLE.take(codes)
        gone = pixels.compress(simple)
        if len(gone):
            pixels = pixels.compress(~simple)
            self._delete(gone, codes.compress(simple), f)
        self.waiting[f] = np.concatenate([rest, pixels]) if len(rest) else pixels

    def _delete(self, gone: Indices, codes: NDArray[np.uint8], f: int) -> None:
        """Take simple pixels of one field away, but for ends that are a pen's; no two of them touch."""
        ends = np.flatnonzero(NEIGHBOURS.take(codes) == 1)
        if len(ends):
            gone = np.delete(gone, ends[self._pens(gone.take(ends))])
        if not len(gone):
            return
        self.flat[gone] = 0
        for step, bit in self.steps:
            at = gone + step
            self.code[at] = self.code.take(at) & bit
        self.moved = [self.moved[other] or other != f for other in range(4)]

    def _pens(self, ends: Indices) -> NDArray[np.bool_]:
        """Say which of the ends are as deep as the ink round about, up to twice their depth away."""
        height, width = self.depth.shape
        row, column = self._places(ends, self.width)
        row, column = row - 1, column - 1
        own = self.depth[row, column]
        ways = np.round(own[:, None, None] * _WAYS + 0.5 * np.sign(_WAYS)).astype(np.int32)
        rows = np.minimum(np.maximum(row[:, None] + ways[..., 0], 0), height - 1)
        columns = np.minimum(np.maximum(column[:, None] + ways[..., 1], 0), width - 1)
        deepest = self.depth[rows, columns].max(axis=1)
        pens: NDArray[np.bool_] = own >= END * deepest
        return pens

    def _places(self, pixels: Indices, width: int) -> tuple[Indices, Indices]:
        """Return the rows and columns of flat indices so many pixels wide: divisions are slow."""
        row = pixels // width
        return row, pixels - row * width
