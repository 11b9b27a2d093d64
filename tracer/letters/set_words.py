"""Words set in a face, as a drawing: letters on their baselines, their edges or strokes, and the marks."""

import math
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tracer.acts import Side
from tracer.errors import LetterError
from tracer.geometry import affine, bezier
from tracer.geometry.joints import find_joints
from tracer.lettering import Lettering
from tracer.letters.baseline import Baseline, baseline_of, require_room
from tracer.letters.capitals import middle_height
from tracer.letters.face import Contour, Face
from tracer.letters.joined import made_one, running_on, runs_together
from tracer.letters.line import FigureOf, LineLetter, extent_along, figure_of_letter, letters_of
from tracer.letters.measures import WITHOUT_H
from tracer.letters.nesting import nested
from tracer.letters.unite import united
from tracer.model.drawing import Drawing, Joint, Region, Stroke, extent
from tracer.model.marks import Letter, Marks

Array = NDArray[np.float64]

MOST_CHARACTERS = 1000
"""Of the words; a board holds a few hundred. In a running hand they take about a minute."""

UNSIZED = 100.0
"""Height of the capitals in the drawing's units where none is said."""

MEETING = 0.001
"""Capital heights: how near strokes meet."""


@dataclass(frozen=True, eq=False)
class _Line:
    """A line's letters, their contours (font units, from each origin), where its ink begins and ends.

    `joined` says of each letter whether its outline runs on into the next, where its middle is cut.
    """

    number: int
    letters: list[LineLetter]
    figures: list[list[Contour]]
    ink: tuple[float, float]
    joined: frozenset[int]


@dataclass(frozen=True, eq=False)
class _Set:
    """A letter in its place: its marks but the strokes, and its contours, the drawing's frame.

    `start` is where its text begins in its line.
    """

    start: int
    mark: Letter
    contours: list[Contour]


def set_words(lettering: Lettering, face: Face, *, figure_of: FigureOf | None = None) -> Drawing:
    """Set words in a face.

    Parameters
    ----------
    lettering : the words and how they are set.
    face : what they are set in.
    figure_of : the contours of a glyph by its key, font units, in place of the face's own: the middle of
        an outline's strokes, needed to cut these along their middle. The words are then so large that
        the middle of a capital H is as high as was asked: all sizes are between the middles of strokes.

    Returns
    -------
    Drawing
        y down, its top left at (0, 0); 1 unit is 1 mm on the wood where the height is said, else the
        capitals are 100 units high. Lines are aligned by their ink; spaces at their ends count for
        nothing. On an arc the words' middle is at its top (at the bottom of a bowl); each letter stands
        on the chord of its own advance. Outlines that run into one another, as in a running hand, are
        one letter with one outline.

    Raises
    ------
    LetterError
        For nothing to set, control characters, more than 1000 characters, characters that the face
        lacks; for an arc that the words do not fit on; for a cut that the face cannot give.
    """
    texts = _lines_of(lettering.words)
    _require_possible(lettering, face, figure_of)
    figure = figure_of or face.figure
    height = lettering.height or UNSIZED
    capitals = middle_height(face, figure_of) if figure_of else face.cap_height
    unit = height / capitals
    tracking = lettering.tracking * capitals
    lines = [
        _line(number, text, lettering, face, figure, tracking=tracking) for number, text in enumerate(texts)
    ]
    lines = [line for line in lines if line.letters]
    if not lines:
        raise LetterError(
            f'nothing to cut in "{lettering.words[:40]}": {face.name} has no outline for any of it'
        )
    placed = _aligned(lines, lettering, unit, height)
    if not _follows_lines(lettering, face):
        placed = [_joined(line, height / WITHOUT_H) for line in placed]
    letters = [one for line in placed for one in line]
    return _drawing(letters, lettering, face, unit)


def _lines_of(words: str) -> list[str]:
    """Return the lines of the words without the spaces at their ends."""
    if len(words) > MOST_CHARACTERS:
        raise LetterError(
            f"{len(words)} characters; up to {MOST_CHARACTERS} are set at once: make several pieces"
        )
    lines = [line.strip() for line in words.replace("\r\n", "\n").split("\n")]
    if not any(lines):
        raise LetterError("there are no letters in the words: type what is to be cut")
    for at, c in enumerate(words.replace("\r\n", "\n")):
        if c != "\n" and unicodedata.category(c) in {"Cc", "Cs", "Zl", "Zp"}:
            raise LetterError(
                f"character {at + 1} of the words is a control character (U+{ord(c):04X}); leave it out, "
                "or type spaces or a new line in its place"
            )
    return lines


def _require_possible(lettering: Lettering, face: Face, figure_of: FigureOf | None) -> None:
    """Raise an error for settings that contradict one another or the face."""
    numbers = (lettering.tracking, lettering.pitch, lettering.height or 1.0, lettering.arc or 1.0)
    if not all(map(math.isfinite, numbers)) or (lettering.height or 1.0) <= 0 or lettering.arc == 0:
        raise LetterError(
            "height, arc, pitch and tracking must be numbers, the height above 0, the arc not 0"
        )
    if lettering.arc is not None and lettering.height is None:
        raise LetterError("words on an arc need the height of their capitals: say it")
    if face.single and lettering.cut != "middle":
        raise LetterError(
            f"{face.name} is made of single strokes and has no edges: take sans or a font file"
            + ("" if lettering.raised else ", or cut it along the middle")
        )
    if not face.single and lettering.cut == "middle" and figure_of is None:
        raise LetterError(
            f"{face.name} has outlines: cut these, or have the middle of its strokes found first (figure_of)"
        )


def _line(
    number: int, text: str, lettering: Lettering, face: Face, figure_of: FigureOf, *, tracking: float
) -> _Line:
    """Return the letters of a line and their contours; none for an empty line."""
    glyphs = face.shape(text) if text else ()
    letters = letters_of(text, glyphs, lambda key: bool(figure_of(key)), tracking)
    figures = [figure_of_letter(letter, figure_of) for letter in letters]
    if not _follows_lines(lettering, face):
        figures = [
            figure if len(letter.glyphs) == 1 else _one_area(figure, face)
            for letter, figure in zip(letters, figures, strict=True)
        ]
    ink = extent_along(figures, letters) if letters else (0.0, 0.0)
    untracked = letters_of(text, glyphs, lambda key: bool(figure_of(key)), 0.0)
    along_middle = lettering.cut == "middle" and not face.single
    joined = running_on(untracked, face) if along_middle else frozenset[int]()
    return _Line(number, letters, figures, ink, joined)


def _follows_lines(lettering: Lettering, face: Face) -> bool:
    """Say whether the contours are strokes to follow along their middle, not borders of areas."""
    return face.single or lettering.cut == "middle"


def _one_area(figure: list[Contour], face: Face) -> list[Contour]:
    """Unite the outlines of a letter and its accents where they are glyphs of their own."""
    rings = united([contour.curves for contour in figure], face.cap_height / WITHOUT_H)
    return [Contour(ring, closed=True) for ring in rings]


def _aligned(lines: list[_Line], lettering: Lettering, unit: float, height: float) -> list[list[_Set]]:
    """Return each line's letters in their places; y of the first baseline is 0."""
    widest = max(b - a for a, b in (line.ink for line in lines)) * unit
    spare = {"left": 0.0, "centre": 0.5, "right": 1.0}[lettering.align]
    placed = []
    for line in lines:
        begin, end = (side * unit for side in line.ink)
        baseline = baseline_of(line.number, lettering.pitch * height, lettering.arc)
        require_room(baseline, end - begin, height, line.number)
        start = spare * (widest - (end - begin)) - begin
        if baseline.radius is not None:
            start -= widest / 2
        placed.append(_placed(line, baseline, start, unit))
    return placed


def _placed(line: _Line, baseline: Baseline, start: float, unit: float) -> list[_Set]:
    """Return the letters of a line, the first one's origin `start` along its baseline."""
    letters = []
    along = start
    for k, (letter, figure) in enumerate(zip(line.letters, line.figures, strict=True)):
        origin, turn = baseline.at(along), baseline.turn(along + letter.own * unit / 2)
        upright = np.array([[unit, 0.0, 0.0], [0.0, -unit, 0.0]])
        place = affine.compose(affine.translation(*origin), affine.rotation(turn), upright)
        mark = Letter(
            text=letter.text,
            glyphs=tuple(name for _, name, _, _ in letter.glyphs),
            line=line.number,
            origin=origin,
            turn=turn,
            advance=letter.advance * unit,
            kern=letter.kern * unit,
            strokes=(),
            joined=k in line.joined,
        )
        contours = [Contour(affine.apply(place, contour.curves), contour.closed) for contour in figure]
        letters.append(_Set(letter.start, mark, contours))
        along += mark.advance
    return letters


def _joined(line: list[_Set], em: float) -> list[_Set]:
    """Make letters of a line whose outlines touch or overlap one: their common outline is cut."""
    joined = []
    for group in runs_together([one.contours for one in line], em):
        members = [line[k] for k in group]
        first, last = members[0].mark, members[-1].mark
        if len(members) == 1:
            joined += members
            continue
        mark = replace(
            first,
            text="".join(one.mark.text for one in sorted(members, key=lambda one: one.start)),
            glyphs=tuple(name for one in members for name in one.mark.glyphs),
            advance=sum(one.mark.advance for one in members),
            kern=last.kern,
        )
        contours = made_one([one.contours for one in members], em)
        joined.append(_Set(min(one.start for one in members), mark, contours))
    return joined


def _drawing(letters: Sequence[_Set], lettering: Lettering, face: Face, unit: float) -> Drawing:
    """Number the strokes, move all to the top left, find regions and joints."""
    height = lettering.height or UNSIZED
    letters = _at_top_left(letters, straight=lettering.arc is None)
    follows = _follows_lines(lettering, face)
    strokes: list[Stroke] = []
    regions: list[Region] = []
    marks = []
    for letter in letters:
        first = len(strokes) + 1
        strokes += [_stroke(first + k, c, line=follows) for k, c in enumerate(letter.contours)]
        marks.append(replace(letter.mark, strokes=tuple(range(first, len(strokes) + 1))))
        if not follows:
            side: Side = "outside" if lettering.raised else "inside"
            found = nested([contour.curves for contour in letter.contours])
            clear = lettering.cut == "cleared"
            regions += [Region(first + a, tuple(first + k for k in inner), side, clear) for a, inner in found]
    _, _, right, bottom = extent(tuple(strokes))
    return Drawing(
        strokes=tuple(strokes),
        joints=_joints(strokes, MEETING * height) if follows else (),
        size_px=(max(1, math.ceil(right)), max(1, math.ceil(bottom))),
        mm_per_px=None if lettering.height is None else 1.0,
        scale_source="unknown" if lettering.height is None else "capital height",
        regions=tuple(regions),
        name=" ".join(lettering.words.split())[:40],
        marks=Marks(
            letters=tuple(marks),
            cap_height=height,
            stem=face.stem * unit,
            face=face.name,
            licence=face.licence,
            lettering=lettering,
        ),
    )


def _at_top_left(letters: Sequence[_Set], *, straight: bool) -> list[_Set]:
    """Move the letters so that their ink begins at (0, 0); straight lines begin at 0 as they are aligned."""
    left, top, _, _ = bezier.bounds(np.concatenate([c.curves for one in letters for c in one.contours]))
    by = np.array([0.0 if straight else -left, -top])
    return [
        _Set(
            one.start,
            replace(one.mark, origin=(one.mark.origin[0] + float(by[0]), one.mark.origin[1] + float(by[1]))),
            [Contour(contour.curves + by, contour.closed) for contour in one.contours],
        )
        for one in letters
    ]


def _stroke(number: int, contour: Contour, *, line: bool) -> Stroke:
    """Return a contour as a stroke: the edge of an area, a line, or a dot where it has no length."""
    if not line:
        return Stroke(number, contour.curves, closed=True, kind="edge")
    if np.ptp(contour.curves.reshape(-1, 2), axis=0).max() < 1e-9:
        return Stroke(number, contour.curves[:1], closed=False, kind="dot")
    return Stroke(number, contour.curves, contour.closed, "line")


def _joints(strokes: Sequence[Stroke], tolerance: float) -> tuple[Joint, ...]:
    """Return where strokes meet."""
    meetings = find_joints([(stroke.curves, stroke.closed) for stroke in strokes], tolerance)
    return tuple(
        Joint(np.array(m.point), tuple((strokes[k].number, t) for k, t in m.members)) for m in meetings
    )
