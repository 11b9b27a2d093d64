"""Where letters stand: origins, advances and baselines of the words in a drawing."""

from dataclasses import dataclass

from tracer.lettering import Lettering


@dataclass(frozen=True)
class Letter:
    """One letter as it is set: what is cut in one place, a ligature or a letter with its accents too.

    Attributes
    ----------
    text : its characters.
    glyphs : names of the font's glyphs that make it.
    line : which line of the words it stands in, from 0.
    origin : where its origin lies on the baseline, the drawing's frame.
    turn : direction of the baseline there, radians, clockwise as seen.
    advance : along the baseline to the origin of the next letter in the line, kerning, tracking and a
        space between them included; of the last one its own. The drawing's unit.
    kern : what the font adds to its advance before that letter, part of `advance`.
    strokes : numbers of its strokes in the drawing.
    joined : whether the face has it run on into the next letter of its line, as a running hand does.
    """

    text: str
    glyphs: tuple[str, ...]
    line: int
    origin: tuple[float, float]
    turn: float
    advance: float
    kern: float
    strokes: tuple[int, ...]
    joined: bool = False


@dataclass(frozen=True)
class Marks:
    """The letters of a drawing of words, in the order of cutting: line by line, from the left as seen.

    Attributes
    ----------
    letters : those that are cut; a space is no letter.
    cap_height : of the capitals, the drawing's unit.
    stem : width of the capital I's stem in the font, the drawing's unit; 0 where it has none.
    face : full name of the face.
    licence : of the face, in a few words.
    lettering : how the words were set.
    """

    letters: tuple[Letter, ...]
    cap_height: float
    stem: float
    face: str
    licence: str
    lettering: Lettering
