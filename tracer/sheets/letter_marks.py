"""Baselines and origins of letters, drawn lightly on the template. Template mm."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.model.plan import Plan
from tracer.sheets.labels import Spot, place_clear
from tracer.sheets.marks import WORK_SIZE
from tracer.sheets.pdf import GREY, POINT, Pdf
from tracer.sheets.placement import Arc, PlacedLetter, placed_lines
from tracer.sheets.spread import around
from tracer.sheets.track import Track

Array = NDArray[np.float64]

WIDTH = 0.12
"""mm: thickness of a baseline and of an origin's tick."""

_UP, _DOWN = 3.0, 5.0  # mm of an origin's tick above and under its baseline
_AWAY = (6.6, 8.0, 10.0)  # mm from an origin to its letter's name
_PIECES = 33  # points of a letter's stretch of arc: within 0.01 mm of it up to a quarter turn of 100 mm
_BEYOND = 4.0  # mm of baseline before an origin


@dataclass(frozen=True, eq=False)
class LetterMark:
    """A letter's origin (2,), the directions (2,) along and up there, and its `baseline` (n, 2)."""

    name: str
    origin: Array
    way: Array
    up: Array
    baseline: Array

    def at(self, along: float, up: float = 0.0) -> Array:
        """Return the point (2,) that far along the baseline and above it."""
        point: Array = self.origin + along * self.way + up * self.up
        return point


def letter_marks(plan: Plan) -> tuple[LetterMark, ...]:
    """Return the marks of all letters, also of those whose strokes are left out."""
    return tuple(_mark(plan, one, line.arc) for line in placed_lines(plan) for one in line.letters)


def letter_names(
    pdf: Pdf, marks: Sequence[LetterMark], track: Track, taken: Array
) -> tuple[Spot | None, ...]:
    """Return places for the letters' names, by their origins, clear of lines and the boxes `taken` (n, 4)."""
    sizes = [(pdf.measure(mark.name, WORK_SIZE) + 0.8, WORK_SIZE * POINT * 0.73 + 0.8) for mark in marks]
    choices = [np.vstack([mark.at(0.0, -_AWAY[0]), around(mark.origin, _AWAY, 12)]) for mark in marks]
    return place_clear(choices, sizes, taken=taken, lines=track.busy, clear=track.band / 2)


def draw_letter_marks(pdf: Pdf, marks: Sequence[LetterMark], names: Sequence[Spot | None]) -> None:
    """Draw each letter's stretch of baseline, its origin's tick, and its name where there is room."""
    for mark, spot in zip(marks, names, strict=True):
        pdf.line(mark.baseline, width=WIDTH, colour=GREY)
        pdf.line([mark.at(0.0, _UP), mark.at(0.0, -_DOWN)], width=WIDTH, colour=GREY)
        if spot is not None:
            pdf.text(spot.x, spot.box[3] - 0.4, mark.name, WORK_SIZE, anchor="middle", colour=GREY)


def _mark(plan: Plan, one: PlacedLetter, arc: Arc | None) -> LetterMark:
    matrix = plan.to_template
    along, down = (matrix[:, :2] @ affine.rotation(one.turn)[:, :2] * plan.job.ratio).T
    baseline = affine.apply(matrix, _baseline(one, arc, _BEYOND * plan.job.ratio))
    return LetterMark(one.name, affine.apply(matrix, np.array(one.origin)), along, -down, baseline)


def _baseline(one: PlacedLetter, arc: Arc | None, beyond: float) -> Array:
    """Return the points (n, 2) of a letter's stretch of baseline, wood mm: straight, or along its arc."""
    origin = np.array(one.origin)
    if arc is None:
        way = np.array([np.cos(one.turn), np.sin(one.turn)])
        ends: Array = origin + np.array([[-beyond], [one.advance]]) * way
        return ends
    centre = np.array(arc.centre)
    turns = np.linspace(-beyond, one.advance, _PIECES) / arc.radius
    return np.array([centre + affine.rotation(turn)[:, :2] @ (origin - centre) for turn in turns])
