"""Ink that the lines leave bare is explained after all: ends led on, bends pushed out, stubs drawn."""

from collections.abc import Iterator, Sequence
from functools import partial

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.amends import Amends, Line, Neighbours, led_on, pushed_out, stub
from tracer.vector.centre import on_ink

Array = NDArray[np.float64]
Mask = NDArray[np.uint8]
Box = tuple[int, int, int, int]

LEFT, LEAST = 0.08, 5.0
"""Squared line widths, and art pixels, of bare ink in one piece from which on it must be explained."""

GAINED = 0.5
"""Part of a piece of bare ink that a change must explain."""

NEAR, FAR = 0.2, 2.5
"""Line widths from a line within which bare ink is its ragged edge, and beyond which it is another's."""

AROUND = 2.0
"""Line widths round a piece of bare ink within which a change shows."""

ABOUT = 0.9
"""Part of the most that one disc can cover of a piece which is as good as that."""

ROUNDS = 3
"""Times that the ink is looked through: what is left of a large piece is a piece again."""

ROUGH = 0.5
"""Part of that size that a piece has at the least where lines are drawn as wide as they are in the mean."""

_STEADY = 0.2
"""Part of its width within which a line keeps for it to be drawn at one width."""

_PARTS = np.array([0.1, 0.5, 0.9])
"""Of a line's widths, in order, the places of those that tell whether it keeps its width."""

ABROAD = 4.0
"""Line widths from a piece beyond which a changed line has no say in how it is explained."""

_BAND = 256
"""Rows of the page that are looked through together: they stay in the processor's cache."""

_REACH = 32
"""Pixels to every side within which most pieces lie."""

_SHIFT = 4
"""Binary digits behind the point of the places that are drawn."""


def completed(ink: Ink, lines: Sequence[Line], dots: Sequence[Array]) -> list[Line]:
    """Return the lines (samples, corners), changed where they leave ink bare, and stubs into such ink.

    A line covers discs as deep as the ink is along it, and a pixel of the art more. To every
    piece of ink left bare the cheapest way is taken that explains it: a line that ends there is
    led on, a bend is pushed out, a stub is drawn. All lie on ink. `dots` are points (2,), ink pixels.
    """
    return _Leftover(ink, lines, dots).explained()


class _Leftover:
    """The lines, and the ink that they leave bare."""

    def __init__(self, ink: Ink, lines: Sequence[Line], dots: Sequence[Array]) -> None:
        self.ink, self.lines, self.pen = ink, list(lines), ink.line_width
        self.spare = max(1.0, ink.zoom)
        self.extents = np.array([_extent(line) for line in lines]).reshape(-1, 4)
        self.dots = np.array(dots).reshape(-1, 2)
        self.wanted: Mask = _off_the_border(ink.line.view(np.uint8), round(self.pen))
        if ink.solid.any():
            near = cv2.dilate(ink.solid.view(np.uint8), np.ones((3, 3), np.uint8))
            self.wanted = np.asarray(cv2.subtract(self.wanted, near), np.uint8)
        if ink.coloured is not None:  # scallops of wax are no ends of lines
            self.wanted = np.where(ink.coloured, 0, self.wanted).astype(np.uint8)

    def explained(self) -> list[Line]:
        """Explain pieces of bare ink, the largest first, as long as that helps."""
        pieces = self._pieces()
        for _ in range(ROUNDS - 1):
            changed = [extent for piece in pieces for extent in self._explain(piece)]
            if not changed:
                return self.lines
            pieces = [piece for piece in self._pieces() if self._is_near(piece, changed)]
        for piece in pieces:
            self._explain(piece)
        return self.lines

    def _pieces(self) -> list[Array]:
        """Return the pixel centres (n, 2) of each piece of bare ink, the largest piece first."""
        bare = self.wanted.copy()
        for line, _ in self.lines:
            self._draw(bare, line.points, line.widths)
        self._cover(bare, self.dots, (0, 0))
        boxes = [self._box(pixels, self.pen) for pixels in self._large(bare, ROUGH)]
        if not boxes:
            return []
        points = np.concatenate([self.dots, *(_some(line.points) for line, _ in self.lines)])
        column, row = self._cells(points)
        near, margin = np.zeros(len(points), np.bool_), round(self.pen)
        bare[:] = 0
        for x0, y0, x1, y1 in boxes:
            bare[y0:y1, x0:x1] = self.wanted[y0:y1, x0:x1]
            across = (column >= x0 - margin) & (column < x1 + margin)
            near |= across & (row >= y0 - margin) & (row < y1 + margin)
        self._cover(bare, points[near], (0, 0))
        return self._large(bare, 1.0)

    def _large(self, bare: Mask, part: float) -> list[Array]:
        """Return the pixel centres (n, 2) of each piece that is large, or `part` of it, the largest first.

        The pieces looked at are taken off the mask: it is of no use afterwards.
        """
        least = part * max(LEAST * self.ink.zoom**2, LEFT * self.pen**2)
        pieces: list[Array] = []
        for x, y in _thick(bare):
            if bare[y, x]:
                columns, rows = _piece(bare, x, y)
                bare[rows, columns] = 0
                piece: Array = np.column_stack([columns, rows]).astype(np.float64) + 0.5
                pieces.append(piece)
        large = [piece for piece in pieces if len(piece) >= least]
        return sorted(large, key=lambda piece: (-len(piece), piece[0, 1], piece[0, 0]))

    def _is_near(self, piece: Array, changed: Sequence[Array]) -> bool:
        """Say whether a piece is near enough to changed lines to be explained otherwise than before."""
        x0, y0, x1, y1 = self._box(piece, ABROAD * self.pen)
        return any(a < x1 and b < y1 and c > x0 and d > y0 for a, b, c, d in changed)

    def _explain(self, piece: Array) -> list[Array]:
        """Take the cheapest change that explains a piece (n, 2); return the extents of what was changed."""
        goal = self._goal(piece)
        if goal is None:
            return []
        box = self._box(piece, AROUND * self.pen)
        within = self._within(box)
        before = self._bare(within, box)
        count = int(before.sum())
        best, least = None, float(count)
        for k, (line, price), bare in self._changes(goal, within, before, box):
            self._cover_in(bare, _some(line[0].points), box)
            after = int(bare.sum())
            if count - after >= max(GAINED * len(piece), price) and after + price < least:
                best, least = (k, line), after + price
        if best is None:
            return []
        k, line = best
        old, new = self.extents[k : k + 1], _extent(line)
        self.lines[k : k + 1] = [line]
        self.extents = np.concatenate([self.extents[:k], [new], self.extents[k + 1 :]])
        return [*old, new]

    def _changes(
        self, goal: Array, within: Sequence[int], before: Mask, box: Box
    ) -> Iterator[tuple[int, Amends, Mask]]:
        """Yield the number of a line `within` a box, what to put for it, and the ink bare without it.

        A stub's number is that after the last line's.
        """
        deep = float(self._radii(goal[None])[0] - self.spare)
        for k in within:
            line = self.lines[k]
            away = float(np.hypot(*(line[0].points - goal).T).min())
            if not NEAR * self.pen <= away <= FAR * self.pen:
                continue
            others = [n for n in within if n != k]
            about = tuple(self.lines[n][0] for n in others)
            there = Neighbours(about, self.pen, deep, partial(on_ink, self.ink))
            bare = self._bare(others, box)
            for change in (*led_on(line, goal, there), *pushed_out(line, goal, there)):
                yield k, change, bare.copy()
            for more in stub(line, goal, there):
                yield len(self.lines), more, before.copy()

    def _goal(self, piece: Array) -> Array | None:
        """Return the point of the ink whose disc covers most of a piece, of equals the nearest to a line."""
        x0, y0, x1, y1 = self._box(piece, self.pen / 2)
        rows, columns = np.nonzero(self.wanted[y0:y1, x0:x1])
        places: Array = np.column_stack([columns + x0, rows + y0]).astype(np.float64) + 0.5
        covered = (_distances(places, piece) <= self._radii(places)[:, None]).sum(axis=1)
        good = places[covered >= ABOUT * covered.max()]
        low, high = piece.min(axis=0) - FAR * self.pen, piece.max(axis=0) + FAR * self.pen
        near = [self.lines[k][0].points for k in self._within((*low, *high))]
        points = np.concatenate([np.zeros((0, 2)), *near])
        points = points[((points > low) & (points < high)).all(axis=1)]
        return good[int(_distances(good, points).min(axis=1).argmin())] if len(points) else None

    def _within(self, box: tuple[float, float, float, float]) -> list[int]:
        """Return which lines run through a box."""
        least, most = self.extents[:, :2] < box[2:], self.extents[:, 2:] > box[:2]
        within: list[int] = np.flatnonzero((least & most).all(axis=1)).tolist()
        return within

    def _bare(self, which: Sequence[int], box: Box) -> Mask:
        """Return the ink of a box that dots and some lines leave bare."""
        x0, y0, x1, y1 = box
        bare = self.wanted[y0:y1, x0:x1].copy()
        points = [_some(self.lines[k][0].points) for k in which]
        self._cover_in(bare, np.concatenate([self.dots, *points]), box)
        return bare

    def _cover_in(self, bare: Mask, points: Array, box: Box) -> None:
        """Take what discs about points cover off the bare ink of a box."""
        low, high = np.array(box[:2]) - 2 * self.pen, np.array(box[2:]) + 2 * self.pen
        self._cover(bare, points[((points > low) & (points < high)).all(axis=1)], box[:2])

    def _cover(self, bare: Mask, points: Array, origin: tuple[int, int]) -> None:
        """Take what discs about points cover off bare ink that begins at pixel `origin`."""
        places = np.round((points - origin - 0.5) * 2**_SHIFT).astype(int).tolist()
        radii = np.round(self._radii(points) * 2**_SHIFT).astype(int).tolist()
        for (x, y), radius in zip(places, radii, strict=True):
            cv2.circle(bare, (x, y), radius, 0, -1, shift=_SHIFT)

    def _draw(self, bare: Mask, points: Array, widths: Array) -> None:
        """Take about what a line covers off bare ink, drawn at one width if it is steady."""
        low, usual, high = np.interp(_PARTS * (len(widths) - 1), np.arange(len(widths)), np.sort(widths))
        if high - low > _STEADY * usual:
            self._cover(bare, _some(points), (0, 0))
            return
        way = [np.round((points - 0.5) * 2**_SHIFT).astype(np.int32)]
        thick = round(usual + 2 * self.spare)
        cv2.polylines(bare, way, isClosed=False, color=0, thickness=thick, shift=_SHIFT)

    def _radii(self, points: Array) -> Array:
        """Return the radius (n,) of the disc that a line covers at each of its points."""
        column, row = self._cells(points)
        radii: Array = np.maximum(self.ink.radius[row, column] - 0.5, 0) + self.spare
        return radii

    def _cells(self, points: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return the column and row of the pixel that holds each point, or of the nearest one."""
        height, width = self.wanted.shape
        x, y = np.floor(points).astype(np.intp).T
        return np.clip(x, 0, width - 1), np.clip(y, 0, height - 1)

    def _box(self, pixels: Array, margin: float) -> Box:
        """Return the box (x0, y0, x1, y1) about pixel centres, not beyond the picture."""
        height, width = self.wanted.shape
        x0, y0 = np.maximum(np.floor(pixels.min(axis=0) - margin), 0).astype(int).tolist()
        x1, y1 = np.minimum(np.ceil(pixels.max(axis=0) + margin), (width, height)).astype(int).tolist()
        return x0, y0, x1, y1


def _thick(bare: Mask) -> Iterator[tuple[int, int]]:
    """Yield the column and row of the pixels of bare ink that are the last of 2 x 2."""
    for top in range(1, len(bare), _BAND):
        band = bare[top - 1 : top + _BAND]
        high = band[1:] & band[:-1]
        core = (high[:, 1:] & high[:, :-1]).view(np.bool_)
        held = np.flatnonzero(core.any(axis=1))
        rows, columns = np.nonzero(core[held])
        yield from zip((columns + 1).tolist(), (held[rows] + top).tolist(), strict=True)


def _piece(bare: Mask, x: int, y: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the columns and rows, from top to bottom, of the piece of bare ink with a pixel."""
    height, width = bare.shape
    for reach in (_REACH, 8 * _REACH, max(height, width)):
        x0, y0, x1, y1 = max(0, x - reach), max(0, y - reach), min(width, x + reach), min(height, y + reach)
        label = cv2.connectedComponents(bare[y0:y1, x0:x1], connectivity=8)[1]
        rows, columns = np.nonzero(label == label[y - y0, x - x0])
        rows, columns = rows + y0, columns + x0
        if x0 < columns.min() and columns.max() < x1 - 1 and y0 < rows[0] and rows[-1] < y1 - 1:
            break
    return columns, rows


def _off_the_border(ink: Mask, depth: int) -> Mask:
    """Return ink (H, W) without that at the picture's border: a line that runs off the picture ends there."""
    inner = np.s_[depth:-depth, depth:-depth]
    if np.count_nonzero(ink.view(np.bool_)[inner]) == np.count_nonzero(ink.view(np.bool_)):
        return ink
    inside = np.zeros_like(ink)
    inside[inner] = ink[inner]
    return inside


def _extent(line: Line) -> Array:
    """Return the least and the largest x and y (4,) of a line."""
    points = line[0].points
    return np.concatenate([points.min(axis=0), points.max(axis=0)])


def _some(points: Array) -> Array:
    """Return every second point of a line, and its last: their discs overlap."""
    return np.concatenate([points[:-1:2], points[-1:]])


def _distances(one: Array, other: Array) -> Array:
    """Return the distances (n, m) of points (n, 2) and (m, 2)."""
    away: Array = np.hypot(*(one[:, None] - other[None]).transpose(2, 0, 1))
    return away
