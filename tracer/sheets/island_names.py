"""The islands' numbers on the template, where there is room for them. Template mm."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.model.plan import Island, Plan
from tracer.sheets.bench_words import island_name
from tracer.sheets.labels import Spot, place_clear
from tracer.sheets.pdf import GREY, POINT, WHITE, Colour, Pdf
from tracer.sheets.spread import around
from tracer.sheets.track import DOT, RING, Track

Array = NDArray[np.float64]

SIZE = 7.0
"""Points."""

_DARK: Colour = (0.25, 0.25, 0.25)
_IN_WOOD = (0.0, 1.0, 2.0, 3.5)  # mm from an island's place to its number's middle: standing wood
_BESIDE = (3.0, 4.5, 6.0)  # and the same for strokes, whose place is in their groove
_TURNS = 8


@dataclass(frozen=True)
class Name:
    """An island's number in its place; `breaks` where the wood will break out."""

    words: str
    spot: Spot
    breaks: bool


def island_names(pdf: Pdf, plan: Plan, track: Track, numbers: Sequence[Spot | None]) -> tuple[Name, ...]:
    """Return the names that find room clear of grooves, of the runs' `numbers` and marks, and of one another.

    What breaks out comes first, then parts of the drawing, then the largest standing wood.
    """
    islands = sorted(plan.islands, key=_rank)
    words = [island_name(island) for island in islands]
    sizes = [
        (pdf.measure(said, SIZE, bold=island.breaks) + 0.8, SIZE * POINT * 0.73 + 0.8)
        for said, island in zip(words, islands, strict=True)
    ]
    places = affine.apply(plan.to_template, np.array([island.where for island in islands]).reshape(-1, 2))
    choices = [
        around(place, _IN_WOOD if island.kind == "standing wood" else _BESIDE, _TURNS)
        for place, island in zip(places, islands, strict=True)
    ]
    spots = place_clear(
        choices, sizes, taken=taken_by_marks(track, numbers), lines=track.points, clear=track.band / 2
    )
    return tuple(
        Name(said, spot, island.breaks)
        for said, spot, island in zip(words, spots, islands, strict=True)
        if spot is not None
    )


def draw_name(pdf: Pdf, name: Name) -> None:
    """Write an island's number: in a frame where it will break out."""
    x0, y0, x1, y1 = name.spot.box
    if name.breaks:
        pdf.box(x0, y0, x1 - x0, y1 - y0, fill=WHITE, line=0.15, colour=GREY)
    colour = (0.0, 0.0, 0.0) if name.breaks else _DARK
    pdf.text((x0 + x1) / 2, y1 - 0.4, name.words, SIZE, bold=name.breaks, anchor="middle", colour=colour)


def _rank(island: Island) -> tuple[bool, bool, float, int]:
    return not island.breaks, island.kind == "standing wood", -island.area, island.number


def taken_by_marks(track: Track, numbers: Sequence[Spot | None]) -> Array:
    """Return the boxes (n, 4) of numbers, starts, lifts, arrows, and dashes beside lines."""
    marks = [(np.array([way.start, way.end]), max(RING, DOT)) for way in track.ways]
    marks += [(way.arrows[:, :2], 2.0) for way in track.ways]
    marks += [(points, 0.6) for way in track.ways for points in (*way.again, *way.hops)]
    boxes = [np.array([spot.box for spot in numbers if spot]).reshape(-1, 4)]
    boxes += [np.hstack([places - reach, places + reach]) for places, reach in marks if len(places)]
    return np.concatenate(boxes)
