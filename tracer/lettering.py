"""How words are set: the face, the capitals' height, the lines, and how the letters are cut."""

from dataclasses import dataclass
from typing import Literal

Cut = Literal["middle", "outline", "cleared"]
Align = Literal["left", "centre", "right"]

PITCH = 1.6
"""From baseline to baseline in capital heights: within 1.35 to 1.70 (2010 ADA Standards 703.5.9)."""

LOWEST = 1.0
"""mm; the lowest capitals that are cut (our own limit)."""

_MOST_CALLED = 40
"""Characters of words that are told as a name."""


@dataclass(frozen=True)
class Lettering:
    """Words, and how they are set.

    Attributes
    ----------
    words : the text; a line feed begins a new line.
    face : name of a face that ships with tracer, or path of a font file (TTF, OTF, collections).
    instance : of a variable font or a collection, by name; "" for its first or usual one.
    height : of the capitals on the wood, mm; None: it follows from the piece's size or the board.
    cut : "middle", one groove along each stroke of a letter; "outline", the groove along its edge;
        "cleared", the edge and all of the area beside it.
    raised : the letters stand and the ground goes; else the letters are cut in. Not for "middle".
    align : of lines that are shorter than the longest.
    tracking : added between letters, in capital heights.
    pitch : from baseline to baseline, in capital heights.
    arc : radius of the first line's baseline on the wood, mm: positive, the letters stand on a hill,
        outside of the circle; negative, in a bowl, inside of it; None, straight. Needs `height`.
    """

    words: str
    face: str = "plain"
    instance: str = ""
    height: float | None = None
    cut: Cut = "middle"
    raised: bool = False
    align: Align = "centre"
    tracking: float = 0.0
    pitch: float = PITCH
    arc: float | None = None

    @property
    def called(self) -> str:
        """The words in one line, in short."""
        line = " ".join("".join(c for c in self.words if c.isprintable() or c.isspace()).split())
        return line if len(line) <= _MOST_CALLED else f"{line[: _MOST_CALLED - 1].rstrip()}…"
