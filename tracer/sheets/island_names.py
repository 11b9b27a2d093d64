"""Islands on the template: numbers of those that a woodworker must know of, without clutter. Template mm."""

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.model.plan import Island, Plan
from tracer.sheets.assembly import Assembly
from tracer.sheets.bench_words import island_name
from tracer.sheets.labels import Spot, place, place_clear
from tracer.sheets.marks import WORK_SIZE, draw_leader
from tracer.sheets.pdf import BLACK, GREY, POINT, WHITE, Colour, Pdf
from tracer.sheets.run_marks import marks_taken
from tracer.sheets.spread import around
from tracer.sheets.track import Track

Array = NDArray[np.float64]

CERTAIN = 8
"""The largest islands that break out, named wherever there is room at all: as many as the job sheet names."""

FEW = 12
"""Islands that hold are named where there are at most so many: dozens of names are noise (our own choice)."""

_OPEN = 2 * np.pi / 3
"""Radians seen from an island's place: without a line in more, no ring goes round it (our own choice)."""

_DARK: Colour = (0.25, 0.25, 0.25)
_IN_WOOD = (0.0, 1.0, 2.0, 3.5, 4.5)  # mm from an island's place to its number's middle: standing wood
_BESIDE = (3.0, 4.5, 6.0)  # and the same for strokes, whose place is in their groove
_TURNS = 8
_ARM, _SIGN = 0.8, 0.3  # mm from the middle to the ends of the sign on wood that breaks out, and its line
_SIGN_OFF = 0.4  # mm that it keeps off the middles of lines


@dataclass(frozen=True)
class Name:
    """An island's number in its place; `breaks` where the wood will break out.

    `tied` is the island's place (x, y) where the number found no room by it and a leader is due.
    """

    words: str
    spot: Spot
    breaks: bool
    tied: tuple[float, float] | None = None


@dataclass(frozen=True)
class IslandMarks:
    """The numbers of islands, and the places (x, y) of wood that breaks out and has no number by it."""

    names: tuple[Name, ...] = ()
    signs: tuple[tuple[float, float], ...] = ()


def named_islands(plan: Plan) -> tuple[list[Island], list[Island]]:
    """Return the islands that break out, the largest first, and those that hold and are named.

    The latter are none where there are more than FEW of them.
    """
    breaking = sorted((one for one in plan.islands if one.breaks), key=_rank)
    holding = sorted((one for one in plan.islands if not one.breaks), key=_rank)
    return breaking, holding if len(holding) <= FEW else []


def island_marks(
    pdf: Pdf, plan: Plan, assembly: Assembly, numbers: Sequence[Spot | None], closed: Array
) -> IslandMarks:
    """Return the numbers and signs of the islands that the sheets show.

    They are clear of grooves, of the runs' `numbers` and marks, of the boxes `closed` (n, 4)
    and of one another. The largest that break out have their numbers for certain, if need be
    on a leader and over lines; the others where there is room by them.
    """
    placing = _Placing(pdf, plan, assembly, np.vstack([taken_by_marks(assembly.track, numbers), closed]))
    breaking, holding = named_islands(plan)
    names = placing.near(breaking)
    without = [island for island in breaking if island.number not in names]
    names |= placing.tied([island for island in without if island in breaking[:CERTAIN]])
    without = [island for island in without if island.number not in names]
    names |= placing.near(holding)
    return IslandMarks(tuple(names.values()), placing.signs(without))


class _Placing:
    """Places for the islands' numbers, one kind after another, each clear of those before."""

    def __init__(self, pdf: Pdf, plan: Plan, assembly: Assembly, taken: Array) -> None:
        self._pdf, self._plan, self._taken = pdf, plan, taken
        self._track, self._room = assembly.track, assembly.room
        trimmed = np.array([assembly.tiling.trimmed(cell) for cell in assembly.used])
        self._sheets = trimmed + np.array(assembly.origin * 2)
        self._lines: dict[int, list[Array]] = {}
        for line in assembly.track.lines:
            self._lines.setdefault(line.number, []).append(line.points)

    def near(self, islands: Iterable[Island]) -> dict[int, Name]:
        """Return the names, by the islands' numbers, that find room in or right beside their islands."""
        shown = list(self._shown(islands))
        choices = [
            around(at, _IN_WOOD if island.kind == "standing wood" else _BESIDE, _TURNS)
            for island, at in shown
        ]
        band, lines = self._track.band / 2, self._track.busy
        spots = place_clear(choices, self._sizes(shown), taken=self._taken, lines=lines, clear=band)
        return self._named(shown, spots, tied=False)

    def tied(self, islands: Iterable[Island]) -> dict[int, Name]:
        """Return names that stand where there is room, with leaders to their islands."""
        shown = list(self._shown(islands))
        places = np.array([at for _, at in shown]).reshape(-1, 2)
        spots = place(
            places,
            self._sizes(shown),
            lines=self._track.busy,
            clear=2 * _ARM,
            room=self._room,
            taken=self._taken,
        )
        return self._named(shown, spots, tied=True)

    def signs(self, islands: Iterable[Island]) -> tuple[tuple[float, float], ...]:
        """Return the places of islands on which a sign covers nothing else."""
        places = [at for _, at in self._shown(islands)]
        size, lines = (2 * _ARM, 2 * _ARM), self._track.busy
        spots = place_clear(
            [at[None] for at in places],
            [size] * len(places),
            taken=self._taken,
            lines=lines,
            clear=_SIGN_OFF,
        )
        return tuple((spot.x, spot.y) for spot in spots if spot is not None)

    def _shown(self, islands: Iterable[Island]) -> Iterable[tuple[Island, Array]]:
        """Yield islands with their places (2,), each on a sheet that shows lines round it."""
        for island in islands:
            at = affine.apply(self._plan.to_template, np.array(island.where))
            on = ((self._sheets[:, :2] <= at) & (self._sheets[:, 2:] >= at)).all(axis=1)
            if any(self._ringed(island, at, sheet) for sheet in self._sheets[on]):
                yield island, at

    def _ringed(self, island: Island, at: Array, sheet: Array) -> bool:
        """Say whether lines of an island, or those that close it in, go round its place, some on the sheet.

        Of a set-up that cuts but one side of it the place stands in blank paper.
        """
        lines = [self._lines[number] for number in {*island.strokes, *island.enclosed_by} & set(self._lines)]
        points = np.concatenate([np.empty((0, 2)), *itertools.chain(*lines)])
        shown = ((points >= sheet[:2]) & (points <= sheet[2:])).all(axis=1)
        if not shown.any():
            return False
        seen = np.sort(np.arctan2(*(points - at).T))
        return bool(np.diff(seen, append=seen[0] + 2 * np.pi).max() <= _OPEN)

    def _sizes(self, shown: Sequence[tuple[Island, Array]]) -> list[tuple[float, float]]:
        high = WORK_SIZE * POINT * 0.73 + 0.8
        names = [(island_name(one), one.breaks) for one, _ in shown]
        return [(self._pdf.measure(name, WORK_SIZE, bold=bold) + 0.8, high) for name, bold in names]

    def _named(
        self, shown: Sequence[tuple[Island, Array]], spots: Sequence[Spot | None], *, tied: bool
    ) -> dict[int, Name]:
        """Return the names of islands that have a place, and take these places."""
        names = {
            one.number: Name(island_name(one), spot, one.breaks, (*at.tolist(),) if tied else None)
            for (one, at), spot in zip(shown, spots, strict=True)
            if spot is not None
        }
        boxes = np.array([name.spot.box for name in names.values()]).reshape(-1, 4)
        self._taken = np.vstack([self._taken, boxes])
        return names


def draw_tie(pdf: Pdf, name: Name) -> None:
    """Tie an island's number that stands off its place to it."""
    if name.tied is not None:
        draw_leader(pdf, name.tied, (name.spot.x, name.spot.y))
        draw_break(pdf, name.tied)


def draw_name(pdf: Pdf, name: Name) -> None:
    """Write an island's number: in a frame where it will break out."""
    x0, y0, x1, y1 = name.spot.box
    if name.breaks:
        pdf.box(x0, y0, x1 - x0, y1 - y0, fill=WHITE, line=0.15, colour=GREY)
    colour = BLACK if name.breaks else _DARK
    pdf.text((x0 + x1) / 2, y1 - 0.4, name.words, WORK_SIZE, bold=name.breaks, anchor="middle", colour=colour)


def draw_break(pdf: Pdf, at: tuple[float, float]) -> None:
    """Cross out a piece of wood that breaks out."""
    x, y = at
    ends = [[(x - _ARM, y - slope * _ARM), (x + _ARM, y + slope * _ARM)] for slope in (1, -1)]
    pdf.line(ends, width=_SIGN)


def _away(island: Island) -> tuple[float, ...]:
    return _IN_WOOD if island.kind == "standing wood" else _BESIDE


def _rank(island: Island) -> tuple[bool, float, int]:
    return island.kind == "standing wood", -island.area, island.number


def taken_by_marks(track: Track, numbers: Sequence[Spot | None]) -> Array:
    """Return the boxes (n, 4) of numbers, starts, lifts and arrows."""
    boxes = np.array([spot.box for spot in numbers if spot]).reshape(-1, 4)
    return np.concatenate([boxes, marks_taken(track)])
