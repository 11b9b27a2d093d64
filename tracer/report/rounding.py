"""Corners of letters cut by their edges: how far each stays short of its point, and what is said of that.

Measured on the area itself, as what no disc of the groove's width reaches.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tracer.model.finding import Finding
from tracer.report.beside import Edges
from tracer.report.corners import VISIBLE
from tracer.report.lettered import Words, together
from tracer.report.narrow import LETTER_CORNER, WITHIN, missed_by
from tracer.report.places import place_words
from tracer.report.remedy import cure
from tracer.report.trial import Mask, Trial, Trials
from tracer.report.words import said


@dataclass(frozen=True, eq=False)
class Rounded:
    """A corner of a letter that comes out round: its edges, its point on the wood, mm that are missing."""

    edges: Edges
    where: tuple[float, float]
    lost: float


def rounded_corners(edges: Edges, missed: Sequence[tuple[Any, float]]) -> list[Rounded]:
    """Return the corners among what the bit misses; what lies farther off is no corner but too narrow."""
    import shapely

    found = []
    track = edges.area.buffer(-edges.half if edges.within else edges.half)
    for part, far in missed:
        if far - edges.half > VISIBLE and far <= LETTER_CORNER * edges.half:
            points = shapely.get_coordinates(part)
            away = shapely.distance(shapely.points(points), track.boundary)
            x, y = points[int(away.argmax())].tolist()
            found.append(Rounded(edges, (x, y), far - edges.half))
    return found


def about_rounded(trials: Trials, found: Sequence[Rounded]) -> Iterator[Finding]:
    """Say once for each piece of words that sharp corners come out round."""
    owners: dict[Words | None, list[Rounded]] = {}
    for one in found:
        owners.setdefault(trials.letters.words_at(one.edges.numbers), []).append(one)
    for own in owners.values():
        yield _finding(trials, sorted(own, key=lambda one: -one.lost))


def _finding(trials: Trials, found: Sequence[Rounded]) -> Finding:
    units, worst, one = trials.job.units, found[0], len(found) == 1
    names = trials.letters.of(worst.edges.numbers)
    alike = {tuple(trials.letters.of(r.edges.numbers)[0].split()[-1:]): r.edges for r in found}

    def sharp(trial: Trial) -> Mask:
        return np.array([_lost(edges, trial) <= VISIBLE for edges in alike.values()])

    what = "A sharp corner of the letters comes" if one else f"{len(found)} sharp corners of the letters come"
    return Finding(
        check="corner blunt",
        severity="note",
        message=(
            f"{what} out round{'' if one else ', serifs too'}: {'it' if one else 'the worst'}, "
            f"{place_words(trials.layout, worst.where)} in {together(names)}, ends "
            f"{said(worst.lost, units)} short of its point."
        ),
        strokes=tuple(sorted({number for r in found for number in r.edges.numbers})),
        where=worst.where,
        measured=worst.lost,
        limit=VISIBLE,
        remedy=cure(trials, sharp, who="It comes out sharp enough" if one else "All come out sharp enough"),
        cost=0.0,
    )


def _lost(edges: Edges, trial: Trial) -> float:
    """Return how far short the worst corner is in a trial, mm."""
    half = trial.groove / 2 / trial.larger
    missed = missed_by(replace(edges, half=half), WITHIN / trial.larger)
    return max((far - half for _, far in missed), default=0.0) * trial.larger
