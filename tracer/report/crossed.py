"""Letters whose lines or edges cut through one another, and how they would have to be set."""

import math
from collections.abc import Iterator, Sequence

from tracer.lengths import both
from tracer.model.finding import Finding
from tracer.report.anew import Anew, Setting
from tracer.report.change import SIZE_STEPS
from tracer.report.letter_order import word_breaks
from tracer.report.remedy import either
from tracer.report.trial import Trials

STEP = 0.01
"""Of trackings and pitches that are tried, in capital heights."""

MOST_FURTHER = 0.5
"""Capital heights of tracking, or of pitch, over the face's own or the usual; more is another job."""

MOST_ARC = 10.0
"""Times the radius; an arc so much flatter is as good as none (our own choice)."""

_MOST_NAMED = 3


def about_crossed(trials: Trials, anew: Anew) -> Iterator[Finding]:
    """Say which letters of a face that does not join them cut through one another.

    Two that touch as the face itself sets them are as they were drawn, and no fault.
    """
    pairs = crossed(anew)
    if not pairs:
        return
    words = anew.words
    names = [f"the {words.names[a]} and the {words.names[b]}" for a, b in pairs[:_MOST_NAMED]]
    more = f", and {len(pairs) - len(names)} more pairs" if len(pairs) > len(names) else ""
    joined = f"{'; '.join(names)}{more}"
    yield Finding(
        check="letters cut through each other",
        severity="loss",
        message=f"{joined[:1].upper()}{joined[1:]} cut through each other, and will not read as they should.",
        strokes=tuple(sorted({n for pair in pairs for k in pair for n in words.numbers[k]})),
        where=words.origin(words.marks.letters[pairs[0][1]]),
        measured=0.0,
        limit=_wood(trials),
        remedy=_remedy(trials, anew, pairs),
        cost=sum(_extent(anew, pair) for pair in pairs),
    )


def crossed(anew: Anew) -> list[tuple[int, int]]:
    """Return the places of the letters, two and two, whose lines or edges cross or touch."""
    import shapely

    own = [k for k, figure in enumerate(anew.figures) if figure]
    whole = [shapely.union_all([line for line, _ in anew.figures[k]]) for k in own]
    found = shapely.STRtree(whole).query(whole, predicate="intersects").T.tolist()
    pairs = sorted((own[i], own[j]) for i, j in found if i < j)
    if not pairs or anew.joins():
        return []
    return [pair for pair in pairs if not (_in_line(anew, pair) and _meant(anew, pair))]


def _meant(anew: Anew, pair: tuple[int, int]) -> bool:
    """Say whether the face itself has two letters of a line touch."""
    run_on = pair[1] == pair[0] + 1 and anew.words.marks.letters[pair[0]].joined
    return run_on or anew.touch(pair, anew.as_set_plainly())


def _in_line(anew: Anew, pair: tuple[int, int]) -> bool:
    """Say whether two letters stand in one line."""
    return len({anew.words.marks.letters[k].line for k in pair}) == 1


def _wood(trials: Trials) -> float:
    """Return how much wood is to stand between two letters, mm."""
    import numpy as np

    return float(trials.now.least_land(np.ones(1))[0])


def _extent(anew: Anew, pair: Sequence[int]) -> float:
    """Return how much of the two letters it spoils at most, mm: the smaller one's extent."""
    boxes = [line.bounds for k in pair for line, _ in anew.figures[k][:1]]
    return min(math.hypot(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes)


def _remedy(trials: Trials, anew: Anew, pairs: Sequence[tuple[int, int]]) -> str:
    """Return with which tracking, arc or pitch the letters stand clear."""
    rows = [pair for pair in pairs if _in_line(anew, pair)]
    lines = [pair for pair in pairs if not _in_line(anew, pair)]
    said = []
    if rows:
        ways = list(_ways(trials, anew, rows))
        none = "Nothing that was tried keeps them apart: give them less tracking to make up, or no arc."
        said.append(f"They stand clear {either(ways)}." if ways else none)
    if lines:
        pitch = _pitch(trials, anew, lines)
        if not said or pitch:
            none = "Set the lines as pieces of their own, further apart."
            said.append(f"The lines stand clear with a pitch of {pitch:.2f}." if pitch else none)
    return " ".join(said)


def _ways(trials: Trials, anew: Anew, pairs: Sequence[tuple[int, int]]) -> Iterator[str]:
    """Yield the least tracking, and the tightest arc, with which letters of one line stand clear.

    Wood enough is then left between them, and no other neighbours' grooves meet.
    """
    now, least = anew.now, _wood(trials)
    crossing = frozenset(pairs)
    every = [*pairs, *(pair for pair in _neighbours(anew) if pair not in crossing)]

    def holds(setting: Setting) -> bool:
        return all(anew.gap(pair, setting) >= (least if pair in crossing else 0.0) for pair in every)

    last = max(now.tracking, 0.0) + MOST_FURTHER
    first = math.floor(now.tracking / STEP + 1e-6)
    trackings = (k * STEP for k in range(first + 1, math.floor(last / STEP + 1e-6) + 1))
    tracking = next((t for t in trackings if holds(Setting(t, now.pitch, now.arc))), None)
    if tracking is not None:
        yield f"with a tracking of {tracking:.2f}"
    if now.arc is not None:
        step = 5 * SIZE_STEPS["mm"] if trials.job.units == "mm" else 2 * SIZE_STEPS["in"]
        first, most = math.floor(abs(now.arc) / step), math.floor(MOST_ARC * abs(now.arc) / step)
        radii = (math.copysign(k * step, now.arc) for k in range(first + 1, most + 1))
        radius = next((r for r in radii if holds(Setting(now.tracking, now.pitch, r))), None)
        if radius is not None:
            bowl = "-" if radius < 0 else ""
            yield f"on an arc of radius {bowl}{both(abs(radius), trials.job.units)}"


def _neighbours(anew: Anew) -> Iterator[tuple[int, int]]:
    """Yield next neighbours in the lines that no space parts and that the face does not mean to touch."""
    breaks = word_breaks(anew.words.marks) or set()
    letters = anew.words.marks.letters
    for b in range(1, len(letters)):
        pair = (b - 1, b)
        there = all(anew.figures[k] for k in pair) and _in_line(anew, pair)
        if there and b not in breaks and not _meant(anew, pair):
            yield pair


def _pitch(trials: Trials, anew: Anew, pairs: Sequence[tuple[int, int]]) -> float | None:
    """Return the least pitch with which letters of different lines stand clear."""
    now, least = anew.now, _wood(trials)
    first = math.floor(now.pitch / STEP + 1e-6)
    pitches = (
        (first + k) * STEP for k in range(1, round((max(1.7, now.pitch) - now.pitch + MOST_FURTHER) / STEP))
    )
    settings = ((pitch, Setting(now.tracking, pitch, now.arc)) for pitch in pitches)
    return next((p for p, s in settings if all(anew.gap(pair, s) >= least for pair in pairs)), None)
