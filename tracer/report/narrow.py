"""Where a solid, or the gap outside it, is narrower than the groove, and what is said of that."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tracer.lengths import both
from tracer.model.finding import Finding
from tracer.report.beside import Edges
from tracer.report.lettered import Words, together
from tracer.report.places import place_words
from tracer.report.remedy import cure
from tracer.report.remedy import cures as ways_to
from tracer.report.trial import Mask, Trial, Trials
from tracer.report.words import listed

WITHIN = 0.01
"""mm; how near the tracks are to the true distance."""

CORNER = 2.5
"""Half grooves from the track up to which what the bit does not reach is a corner: one of 47 deg.

A corner of angle a lies 1 / sin(a / 2) half grooves from it; beyond, the solid itself is too narrow.
"""


Missed = list[tuple[Any, float]]
"""Parts that the bit does not reach, each with how far from its track it goes, the farthest first."""


@dataclass(frozen=True, eq=False)
class Narrow:
    """Where edges are too near one another for the groove.

    Attributes
    ----------
    edges : that are.
    strokes : numbers of all that lies beside them.
    width : of the widest circle in the largest place that the bit does not reach, mm.
    where : its middle, wood mm.
    places : how many such places there are.
    outcome : what becomes of the tracks, a sentence.
    """

    edges: Edges
    strokes: tuple[int, ...]
    width: float
    where: tuple[float, float]
    places: int
    outcome: str

    @property
    def groove(self) -> float:
        """Width of the groove, mm."""
        return 2 * self.edges.half


LETTER_CORNER = 5.8
"""The same for letters: one of 20 deg. Their points are as sharp, and all come out round."""


def narrow_part(
    edges: Edges, missed: Missed, *, corner: float, fallen_apart: bool, outcome: str
) -> Narrow | None:
    """Return where the bit does not fit, None where it fits but in corners; `missed` is what it misses."""
    found = _narrow(missed, corner * edges.half, fallen_apart=fallen_apart)
    if not found:
        return None
    width, where = _widest(max(found, key=lambda part: part.area))
    numbers = tuple(stroke.number for stroke in edges.strokes)
    return Narrow(edges, numbers, min(width, 2 * edges.half), where, len(found), outcome)


def fits(edges: Edges, half: float, corner: float, within: float = WITHIN) -> bool:
    """Say whether a groove of another half width, mm, gets everywhere but into corners, to `within` mm."""
    track = edges.area.buffer(-half if edges.within else half)
    apart = _rings(track) != _rings(edges.area)
    missed = missed_by(replace(edges, half=half), within)
    return not _narrow(missed, corner * half, fallen_apart=apart)


def _rings(area: Any) -> tuple[int, int]:
    """Return how many parts and holes an area has."""
    import shapely

    parts = [part for part in shapely.get_parts(area) if not part.is_empty]
    return len(parts), sum(len(part.interiors) for part in parts)


def about_narrow(trials: Trials, found: Sequence[Narrow]) -> Iterator[Finding]:
    """Say where the bit does not fit: of each solid, and of all letters of one piece at once."""
    letters: dict[Words, list[Narrow]] = {}
    for one in found:
        words = trials.letters.words_at(one.strokes)
        if words is None:
            yield _of_solid(trials, one)
        else:
            letters.setdefault(words, []).append(one)
    for words, own in letters.items():
        yield _of_letters(trials, words, own)


def _of_solid(trials: Trials, one: Narrow) -> Finding:
    layout, job = trials.layout, trials.job
    what = "solid" if one.edges.side == "inside" else "gap"
    places = "" if one.places < 2 else f" in {one.places} places, the largest"
    factor = one.groove / one.width if one.width > 0 else float("inf")
    ways = ways_to(layout, job, widest=one.width, factor=factor)
    numbers = tuple(stroke.number for stroke in one.edges.strokes)
    return Finding(
        check=f"{what} narrower than the groove",
        severity="loss",
        message=(
            f"The {what} {one.edges.side} {listed(numbers)} is narrower than the groove{places} "
            f"{place_words(layout, one.where)}: {both(one.width, job.units)}, and the groove is "
            f"{both(one.groove, job.units)}. {one.outcome}"
        ),
        strokes=one.strokes,
        where=one.where,
        measured=one.width,
        limit=one.groove,
        remedy=f"{ways} Or follow the edge itself: side “on”.".lstrip(),
    )


def _of_letters(trials: Trials, words: Words, found: Sequence[Narrow]) -> Finding:
    """Say in which letters the bit does not fit, and what height or groove would do."""
    job, worst = trials.job, min(found, key=lambda one: one.width)
    raised = worst.edges.side == "outside"
    names = trials.letters.of(number for one in found for number in one.strokes)
    alike = {tuple(n.split()[-1] for n in trials.letters.of(one.strokes)): one.edges for one in found}

    def check(trial: Trial) -> Mask:
        half, within = trial.groove / 2 / trial.larger, WITHIN / trial.larger
        return np.array([fits(edges, half, LETTER_CORNER, within) for edges in alike.values()])

    one, many = len(names) == 1, len(words.numbers)
    what = (
        f"does not get into the gaps of {together(names)}"
        if raised
        else f"is wider than {'a stroke' if one else 'strokes'} of {together(names)}"
    )
    of = f", {len(names)} of the {many} letters" if 1 < len(names) < many else ""
    in_words = trials.letters.of(worst.strokes)
    ways = [cure(trials, check, who="It holds" if one else "All hold")]
    if not raised:
        ways.append("Or cut them with one track down the middle, or in a single-line face.")
    return Finding(
        check="gaps of letters narrower than the groove" if raised else "letters narrower than the groove",
        severity="loss",
        message=(
            f"The groove, {both(worst.groove, job.units)} wide, {what}{of}: where "
            f"{together(in_words)} {'is' if len(in_words) == 1 else 'are'} narrow, "
            f"{place_words(trials.layout, worst.where)}, there is {both(worst.width, job.units)}. "
            "What the bit does not fit into is not cut."
        ),
        strokes=tuple(sorted({number for one in found for number in one.strokes})),
        where=worst.where,
        measured=worst.width,
        limit=worst.groove,
        remedy=" ".join(ways).strip(),
    )


def _narrow(missed: Missed, corner: float, *, fallen_apart: bool) -> list[Any]:
    """Return the parts that the bit does not reach and that are no corners."""
    narrow = [part for part, far in missed if far > corner]
    return narrow or ([missed[0][0]] if missed and fallen_apart else [])


def missed_by(edges: Edges, within: float = WITHIN) -> Missed:
    """Return the parts of the solid, or of the gap outside it, that the bit does not reach.

    With each how far from the track it reaches; the farthest first.
    """
    import shapely

    sign = 1 if edges.within else -1
    track = edges.area.buffer(-sign * edges.half)
    reached = track.buffer(sign * (edges.half + within))
    missed = edges.area.difference(reached) if edges.within else reached.difference(edges.area)
    parts = [part for part in shapely.get_parts(missed) if part.area > within**2]
    far = [shapely.points(shapely.get_coordinates(part)) for part in parts]
    reaches = [
        float("inf") if track.is_empty else float(shapely.distance(p, track.boundary).max()) for p in far
    ]
    return sorted(zip(parts, reaches, strict=True), key=lambda one: -one[1])


def _widest(part: Any) -> tuple[float, tuple[float, float]]:
    """Return the width of the widest circle in a part, and its middle."""
    import shapely

    line = shapely.maximum_inscribed_circle(part, tolerance=WITHIN)
    (x, y), _ = shapely.get_coordinates(line).tolist()
    return 2 * float(line.length), (x, y)
