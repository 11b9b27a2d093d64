"""How letters and lines stand: gaps between letters, between words, and from baseline to baseline.

Measured on the wood between what will be there: the grooves' walls, or the edges of letters that are
cut or stand by their outlines.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from tracer.lengths import both
from tracer.model.drawing import Stroke
from tracer.model.finding import Finding
from tracer.report.anew import Anew, Figure
from tracer.report.crossed import about_crossed
from tracer.report.cut import Cut
from tracer.report.letter_order import word_breaks
from tracer.report.lettered import Words
from tracer.report.trial import Trials
from tracer.report.words import said

CLOSE, WIDE = 0.10, 0.35
"""Gap between neighbouring letters in capital heights: 2010 ADA Standards 703.5.8 [S1]."""

LOW_PITCH, HIGH_PITCH = 1.35, 1.70
"""From baseline to baseline in capital heights: 703.5.9 [S1]."""

STEP = 0.01
"""Step of the tracking that is proposed, in capital heights."""

MOST_STEPS = 50
"""Of tracking; letters moved by more are set anew (our own choice)."""

_MOST_NAMED = 3
_FLAT = 0.01
"""mm; letters are flattened so finely."""

_NOISE = 2e-3
"""In capital heights; what is over a limit by less is not said."""


@dataclass(frozen=True, eq=False)
class Pair:
    """Two neighbours in a line, by their places among the letters.

    `space` says whether a space stands between, None where that is not known; `left` and `right` are
    lines of what will be there, wood mm, each with how far it reaches to its sides; `along` (2,) is the
    unit direction of the baseline between the two.
    """

    a: int
    b: int
    space: bool | None
    left: Figure
    right: Figure
    along: tuple[float, float]

    def gap(self, further: float = 0.0) -> float:
        """Return the least gap, mm, with the right letter moved `further` along; below 0 grooves overlap."""
        import shapely

        by = further * np.array(self.along)
        moved = [(shapely.transform(line, lambda xy: xy + by), half) for line, half in self.right]
        return min(float(shapely.distance(one, two)) - a - b for one, a in self.left for two, b in moved)


def about_spacing(trials: Trials, words: Words, cut: Cut) -> Iterator[Finding]:
    """Say which letters stand too close or too far apart, which words run into one, and how lines stand.

    Each in one finding at most. Gaps of joined-up writing, whose letters touch as the face sets them, are
    right, and so are those of letters that the face has run on. Of letters that cut through one another
    that is said, and not how others stand. Where some stand too close that goes before any too far apart,
    since wood is in the balance; and letters that were asked to stand apart by a tracking are right.
    """
    anew, own = Anew(words, figures_of(trials, words, cut)), words.marks.letters
    pairs = [pair for pair in pairs_of(trials, words, cut) if not own[pair.a].joined]
    crossing = list(about_crossed(trials, anew))
    yield from crossing
    gaps = [(pair.gap() / words.height, pair) for pair in pairs]
    letters = [pair for pair in pairs if not pair.space]
    joined = bool(crossing) or anew.joins()
    gaps.sort(key=lambda one: one[0])
    close = [(gap, pair) for gap, pair in gaps if not pair.space and gap < CLOSE - _NOISE]
    wide = [(gap, pair) for gap, pair in gaps[::-1] if pair.space is False and gap > WIDE + _NOISE]
    as_one = [(gap, pair) for gap, pair in gaps if pair.space and gap < WIDE - _NOISE]
    if close and not joined:
        too = _far_too(words, wide)
        yield _said(trials, words, close, letters, check="letters close together", too=too)
    elif wide and not joined and words.marks.lettering.tracking <= 0:
        yield _said(trials, words, wide, letters, check="letters far apart")
    if as_one:
        yield _words_as_one(trials, words, as_one)
    yield from _pitch(trials, words)


def _far_too(words: Words, wide: Sequence[tuple[float, Pair]]) -> str:
    """Return as a sentence which letters stand far apart where others stand close, and which matters more."""
    if not wide:
        return ""
    pair = wide[0][1]
    return (
        f" Others, such as {words.names[pair.a]} and {words.names[pair.b]}, stand far apart: no one tracking "
        "mends both, and the close ones matter more, for the wood between them."
    )


def pairs_of(trials: Trials, words: Words, cut: Cut) -> list[Pair]:
    """Return all neighbours in the lines of words, of letters of which anything is there."""
    figures = figures_of(trials, words, cut)
    letters, breaks = words.marks.letters, word_breaks(words.marks)
    found = []
    for a, b in pairwise(range(len(letters))):
        if letters[a].line != letters[b].line or not (figures[a] and figures[b]):
            continue
        turn = (words.turn(letters[a]) + words.turn(letters[b])) / 2
        space = None if breaks is None else b in breaks
        found.append(Pair(a, b, space, figures[a], figures[b], (math.cos(turn), math.sin(turn))))
    return found


def figures_of(trials: Trials, words: Words, cut: Cut) -> list[Figure]:
    """Return of each letter the lines of what will be there: its grooves, or the edges it is cut by."""
    edges = words.marks.lettering.cut != "middle"
    shown = {stroke.number: stroke for stroke in (trials.layout.strokes if edges else cut.strokes)}
    half = {number: 0.0 if edges else cut.groove[number].width / 2 for number in shown}
    return [_figure([shown[n] for n in numbers if n in shown], half) for numbers in words.numbers]


def _figure(strokes: Sequence[Stroke], half: dict[int, float]) -> Figure:
    """Return the lines of a letter, those with grooves alike together."""
    import shapely

    kinds: dict[float, list[Any]] = {}
    for stroke in strokes:
        points = stroke.points(_FLAT)
        points = points if len(points) > 1 else np.repeat(points, 2, axis=0)
        kinds.setdefault(half[stroke.number], []).append(shapely.linestrings(points))
    return tuple((shapely.multilinestrings(lines), width) for width, lines in kinds.items())


def _said(
    trials: Trials,
    words: Words,
    found: list[tuple[float, Pair]],
    letters: Sequence[Pair],
    *,
    check: str,
    too: str = "",
) -> Finding:
    """Say which letters stand too close or too far apart, the worst first, and then `too`."""
    (gap, worst), units, close = found[0], trials.job.units, "close" in check
    names = [f"{words.names[pair.a]} and {words.names[pair.b]}" for _, pair in found[:_MOST_NAMED]]
    more = f", and {len(found) - len(names)} more pairs" if len(found) > len(names) else ""
    left = f"{both(gap * words.height, units)}" if gap > 0 else "nothing"
    return Finding(
        check=check,
        severity="note",
        message=(
            f"{'; '.join(names)}{more} stand {'close together' if close else 'far apart'}: between "
            f"{names[0]} {left} is left, {max(gap, 0):.0%} of the capitals' height. Gaps of 10% to 35% "
            f"read as one word (2010 ADA Standards 703.5.8).{too}"
        ),
        strokes=tuple(sorted({n for _, pair in found for k in (pair.a, pair.b) for n in words.numbers[k]})),
        where=words.origin(words.marks.letters[worst.b]),
        measured=gap * words.height,
        limit=(CLOSE if close else WIDE) * words.height,
        remedy=_tracking(words, letters, close=close),
        cost=0.0,
    )


def _tracking(words: Words, pairs: Sequence[Pair], *, close: bool) -> str:
    """Return which tracking puts all gaps within the band, else which mends those that were found."""
    for tracking, further in trackings(words, 1 if close else -1):
        gaps = [pair.gap(further) / words.height for pair in pairs]
        if all(gap >= CLOSE if close else gap <= WIDE for gap in gaps):
            also = all(CLOSE <= gap <= WIDE for gap in gaps)
            others = "" if also else f", and others then stand {'far apart' if close else 'close together'}"
            none = f"no gap is {'less than 10%' if close else 'more than 35%'}{others}"
            return f"With a tracking of {tracking:.2f} {none}."
    return ""


def trackings(words: Words, way: int) -> Iterator[tuple[float, float]]:
    """Yield trackings beyond that of the words, or below it where `way` is -1, in capital heights.

    Each comes with how much further apart, mm, its letters stand.
    """
    now = words.marks.lettering.tracking
    first = round(now / STEP, 6)
    first = math.floor(first) if way > 0 else math.ceil(first)
    for steps in range(1, MOST_STEPS + 1):
        tracking = (first + way * steps) * STEP
        yield tracking, (tracking - now) * words.height


def _words_as_one(trials: Trials, words: Words, found: list[tuple[float, Pair]]) -> Finding:
    gap, pair = found[0]
    return Finding(
        check="words close together",
        severity="note",
        message=(
            f"The words run into one: between {words.names[pair.a]} and {words.names[pair.b]}, with a space, "
            f"{both(max(gap * words.height, 0.0), trials.job.units)} is left, {max(gap, 0):.0%} of the "
            "capitals' height; up to 35% a gap reads as one between letters (2010 ADA Standards 703.5.8)."
        ),
        where=words.origin(words.marks.letters[pair.b]),
        measured=gap * words.height,
        limit=WIDE * words.height,
        remedy="Type two spaces there, or set the letters themselves closer.",
    )


def _pitch(trials: Trials, words: Words) -> Iterator[Finding]:
    """Compare the way from baseline to baseline with the band."""
    found = [(pitch / words.height, line) for line, pitch in pitches(words)]
    off = [one for one in found if not LOW_PITCH - _NOISE <= one[0] <= HIGH_PITCH + _NOISE]
    if not off:
        return
    share, line = max(off, key=lambda one: abs(one[0] - (LOW_PITCH + HIGH_PITCH) / 2))
    close = share < LOW_PITCH
    low, high = LOW_PITCH * words.height, HIGH_PITCH * words.height
    yield Finding(
        check="lines close together" if close else "lines far apart",
        severity="note",
        message=(
            f"Lines {line + 1} and {line + 2} stand {'close together' if close else 'far apart'}: "
            f"{said(share * words.height, trials.job.units)} from baseline to baseline, {share:.0%} of the "
            "capitals' height. 135% to 170% read best (2010 ADA Standards 703.5.9)."
        ),
        measured=share * words.height,
        limit=low if close else high,
        remedy=(
            f"Set them {both(low, trials.job.units)} to {both(high, trials.job.units)} apart, "
            f"a pitch of {LOW_PITCH:g} to {HIGH_PITCH:g}."
        ),
    )


def pitches(words: Words) -> list[tuple[int, float]]:
    """Return each line that has a next one, from 0, and how far off that one's baseline is, mm.

    Measured square to the line at the letter that is least beside one of the next line.
    """
    lines: dict[int, list[int]] = {}
    for k, letter in enumerate(words.marks.letters):
        lines.setdefault(letter.line, []).append(k)
    found = []
    for line, own in lines.items():
        beside = []
        for a in own:
            turn, origin = words.turn(words.marks.letters[a]), np.array(words.origin(words.marks.letters[a]))
            for b in lines.get(line + 1, ()):
                dx, dy = np.array(words.origin(words.marks.letters[b])) - origin
                along = dx * math.cos(turn) + dy * math.sin(turn)
                beside.append((abs(along), abs(dy * math.cos(turn) - dx * math.sin(turn))))
        if beside:
            found.append((line, float(min(beside)[1])))
    return found
