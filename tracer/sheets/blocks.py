"""Pieces of a page of words: each knows how high it is before it is drawn. True mm, y down."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tracer.sheets.pdf import POINT, Pdf
from tracer.sheets.pdf_letters import shown

READ, SMALL = 10.0, 8.5
"""Points: what is read at the bench, and what stands by it.

Capitals of this type are 0.73 of its size, 2.6 mm at 10 points. At arm's length, 600 mm, that is 15 minutes
of arc; guides on reading at work places ask for 12 to 16 at the least (from memory).
"""

_LEADING = 1.25
"""Line pitch, in sizes of the type."""


@dataclass(frozen=True)
class Block:
    """Something that takes `height` mm down the page; `draw` draws it from y down."""

    height: float
    draw: Callable[[float], None]


def stack(blocks: Sequence[Block]) -> Block:
    """Return the blocks one under another as one."""

    def draw(y: float) -> None:
        for block in blocks:
            block.draw(y)
            y += block.height

    return Block(sum(block.height for block in blocks), draw)


def beside(blocks: Sequence[Block]) -> Block:
    """Return blocks that begin at one height as one as high as the highest."""

    def draw(y: float) -> None:
        for block in blocks:
            block.draw(y)

    return Block(max((block.height for block in blocks), default=0.0), draw)


def gap(height: float) -> Block:
    """Return room."""
    return Block(height, lambda _: None)


@dataclass(frozen=True)
class Column:
    """A column of a page from `left` to `right`, and what can stand in it."""

    pdf: Pdf
    left: float
    right: float

    @property
    def width(self) -> float:
        """From side to side, mm."""
        return self.right - self.left

    def inner(self, left: float = 0.0, right: float = 0.0) -> "Column":
        """Return the column that begins and ends so far within this one."""
        return Column(self.pdf, self.left + left, self.right - right)

    def paragraph(self, words: str, size: float, *, bold: bool = False) -> Block:
        """Return wrapped words, `size` in points."""
        pitch = size * POINT * _LEADING
        lines = self.pdf.wrap(words, size, self.width, bold=bold)

        def draw(y: float) -> None:
            for number, line in enumerate(lines):
                self.pdf.text(self.left, y + pitch * (number + 0.8), line, size, bold=bold)

        return Block(pitch * len(lines), draw)

    def rule(self) -> Block:
        """Return a line across, with room under it."""
        return Block(2.5, lambda y: self.pdf.line([(self.left, y), (self.right, y)], width=0.3))

    def title(self, words: str, aside: str = "") -> Block:
        """Return a heading; `aside` is at the column's right end."""

        def draw(y: float) -> None:
            self.pdf.text(self.left, y + 4.0, words, 12.0, bold=True)
            if aside:
                self.pdf.text(self.right, y + 4.0, aside, 9.0, anchor="right")

        return Block(6.2, draw)

    def led(self, lead: str, words: str, size: float) -> Block:
        """Return wrapped words that begin with a bold `lead`."""
        pitch = size * POINT * _LEADING
        room = self.pdf.measure(f"{lead}:", size, bold=True) + 0.35 * size * POINT
        first, *rest = self.pdf.wrap(words, size, self.width - room) or [""]
        rest = self.pdf.wrap(shown(words)[len(first) :], size, self.width)

        def draw(y: float) -> None:
            self.pdf.text(self.left, y + pitch * 0.8, f"{lead}:", size, bold=True)
            self.pdf.text(self.left + room, y + pitch * 0.8, first, size)
            for number, line in enumerate(rest, start=1):
                self.pdf.text(self.left, y + pitch * (number + 0.8), line, size)

        return Block(pitch * (1 + len(rest)), draw)


def draw_tick(pdf: Pdf, x: float, middle: float, *, size: float = 4.6) -> None:
    """Draw an empty box to tick from x to the right, about the height `middle`."""
    pdf.box(x, middle - size / 2, size, size, line=0.4)
