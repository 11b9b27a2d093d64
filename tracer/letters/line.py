"""The letters of one line: glyphs gathered, their places along the baseline and their figures."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby, zip_longest

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.letters.face import Contour, Glyph

Array = NDArray[np.float64]
FigureOf = Callable[[int], tuple[Contour, ...]]


@dataclass(frozen=True, eq=False)
class LineLetter:
    """A letter of a line. Lengths in font units.

    Attributes
    ----------
    text : its characters.
    start : index in the line of the first of them.
    glyphs : what makes it: (key, name, x, y) each, x and y from the letter's origin, y up.
    before : from the first letter's origin along the baseline.
    advance : to the origin of the next letter; of the last one its own.
    own : its advance without kerning, tracking and spaces.
    kern : what the font adds before the next letter, part of `advance`.
    """

    text: str
    start: int
    glyphs: tuple[tuple[int, str, float, float], ...]
    before: float
    advance: float
    own: float
    kern: float


def letters_of(
    line: str, glyphs: Sequence[Glyph], is_inked: Callable[[int], bool], tracking: float
) -> list[LineLetter]:
    """Return the letters of a shaped line from the left as seen.

    Glyphs of one cluster are one letter: a ligature, a letter and its accents. Its origin is that of
    its first glyph with an advance of its own; a shift of that glyph along the line, as kerning from
    right to left makes, moves the origin, so that a letter looks the same from its origin everywhere.
    What `is_inked` says has no figure is a space. `tracking`, font units, stands after every letter
    and space but the last.
    """
    clusters = _clusters(line, glyphs, is_inked, tracking)
    inked = [k for k, cluster in enumerate(clusters) if cluster.inked]
    letters = []
    before = 0.0
    for k, following in zip_longest(inked, inked[1:]):
        this = clusters[k]
        end = this.end if following is None else clusters[following].origin
        between = clusters[k:following] if following is not None else [this]
        added = sum(one.tracking for one in between) if following is not None else 0.0
        advance = end - this.origin - (this.tracking if following is None else 0.0)
        kern = advance - sum(one.own for one in between) - added
        letters.append(LineLetter(this.text, this.start, this.glyphs, before, advance, this.own, kern))
        before += advance
    return letters


@dataclass(frozen=True, eq=False)
class _Cluster:
    """Glyphs that belong together: its origin and end along the line, its own advance, its glyphs."""

    text: str
    start: int
    glyphs: tuple[tuple[int, str, float, float], ...]
    origin: float
    end: float
    own: float
    tracking: float
    inked: bool


def _clusters(
    line: str, glyphs: Sequence[Glyph], is_inked: Callable[[int], bool], tracking: float
) -> list[_Cluster]:
    """Gather glyphs and lay them off along the line; each cluster's end includes its tracking."""
    starts = sorted({glyph.cluster for glyph in glyphs})
    ends = dict(zip(starts, [*starts[1:], len(line)], strict=True))
    pen = 0.0
    clusters = []
    for start, members in groupby(glyphs, key=lambda glyph: glyph.cluster):
        group = list(members)
        pens = pen + np.concatenate([[0.0], np.cumsum([glyph.advance for glyph in group])])
        at = [float(p) + glyph.offset[0] for p, glyph in zip(pens, group, strict=False)]
        own = [glyph.advance - glyph.kern for glyph in group]
        origin = at[next((k for k, width in enumerate(own) if width), 0)]
        figures = tuple(
            (g.key, g.name, x - origin, g.offset[1])
            for g, x in zip(group, at, strict=True)
            if is_inked(g.key)
        )
        added = tracking if any(own) else 0.0
        pen = float(pens[-1]) + added
        names = figures or tuple((g.key, g.name, 0.0, 0.0) for g in group)
        text = line[start : ends[start]]
        clusters.append(_Cluster(text, start, names, origin, pen, sum(own), added, bool(figures)))
    return clusters


def figure_of_letter(letter: LineLetter, figure_of: FigureOf) -> list[Contour]:
    """Return the contours of a letter, font units, y up, from its origin."""
    return [
        Contour(contour.curves + np.array([x, y]), contour.closed)
        for key, _, x, y in letter.glyphs
        for contour in figure_of(key)
    ]


def extent_along(figures: Sequence[Sequence[Contour]], letters: Sequence[LineLetter]) -> tuple[float, float]:
    """Return where the ink of a line begins and ends along the baseline, font units."""
    spans = [
        (letter.before + x0, letter.before + x1)
        for letter, figure in zip(letters, figures, strict=True)
        for x0, _, x1, _ in (bezier.bounds(contour.curves) for contour in figure)
    ]
    return min(a for a, _ in spans), max(b for _, b in spans)
