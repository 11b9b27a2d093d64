"""How a plan's template is spread over sheets of paper."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tracer.errors import JobError
from tracer.geometry import affine
from tracer.model.plan import Plan, SetUp
from tracer.sheets.bridges import joined_up
from tracer.sheets.paper_words import Note, notes_of
from tracer.sheets.placement import placed_letters
from tracer.sheets.set_up_track import track_in
from tracer.sheets.tiling import Cell, Tiling, ways
from tracer.sheets.track import Box, Track, track_of
from tracer.shop.paper import LEAST_PRINTED

Array = NDArray[np.float64]

STRIP, SIDE, NOTE = 30.0, 8.0, 3.8
"""mm kept at the bottom and at the right of each sheet for words, map, bars, and for each line of notes."""

NARROW = 140.0
"""mm: on paper with a shorter side a note takes twice the lines. What is amiss takes two in any case."""

_CLEAR = 2.0
"""mm round the figure, so that dots at its edge are whole."""

_OFF_MIDDLE = 4.0
"""mm that what neighbours share keeps off the board's middle lines where the sheets have the room: the ringed
crossing is whole on one sheet."""

_MARK = 6.0
"""mm round a register mark, so that it is whole on a sheet."""


@dataclass(frozen=True, eq=False)
class Assembly:
    """The sheets of one template.

    Attributes
    ----------
    track : what they show, template mm.
    tiling : how they lie; its frame begins at `origin` in template mm.
    origin : (x, y), template mm.
    used : the sheets that are printed; the others would be empty, and join nothing.
    stretch : by what to multiply lengths across and down each sheet so that they print true.
    notes : what each sheet says of the print and of the whole template, short sentences.
    set_up : the position of the board that they are for, None where all is cut in one.
    """

    track: Track
    tiling: Tiling
    origin: tuple[float, float]
    used: tuple[Cell, ...]
    stretch: tuple[float, float]
    notes: tuple[Note, ...] = ()
    set_up: SetUp | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the printed sheets."""
        return tuple(cell.name for cell in self.used)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of what must lie flat under the stylus: the grooves' bands, mm."""
        return size_of(self.track)

    @property
    def room(self) -> Box:
        """All that the sheets cover (x0, y0, x1, y1), template mm."""
        first, last = self.tiling.cells[0], self.tiling.cells[-1]
        x, y = self.origin
        return x + first.x, y + first.y, x + last.x + last.width, y + last.y + last.height

    def printed(self, row: int, column: int) -> Cell | None:
        """Return the sheet in that place if there is one and it is printed."""
        return next((cell for cell in self.used if (cell.row, cell.column) == (row, column)), None)


def size_of(track: Track) -> tuple[float, float]:
    """Return width and height of a track with its bands, mm."""
    x0, y0, x1, y1 = track.extent
    return x1 - x0, y1 - y0


@lru_cache(maxsize=1)
def assemble(plan: Plan) -> Assembly:
    """Return the sheets for the plan's whole template on the job's paper, set-ups left aside.

    The bar is measured across and down paper held upright; the sheets may be held
    either way, and the correction goes with the paper. JobError where the paper is too small.
    """
    track = track_of(plan)
    return _laid(plan, track, _with_origins(plan, track), None)


@lru_cache(maxsize=1)
def assemblies(plan: Plan) -> tuple[Assembly, ...]:
    """Return the sheets of each set-up in the order of cutting; one Assembly where all lies in one.

    Names of sheets stay unique: "2-B3" is the sheet B3 of set-up 2. JobError as for `assemble`.
    """
    if not plan.set_ups:
        return (assemble(plan),)
    whole = track_of(plan)
    return tuple(_of_set_up(plan, whole, set_up) for set_up in plan.set_ups)


def _of_set_up(plan: Plan, whole: Track, set_up: SetUp) -> Assembly:
    """Return the sheets of one set-up: what is cut in it, and its register marks."""
    track = track_in(plan, whole, set_up)
    marks = affine.apply(plan.to_template, np.array(set_up.marks, float).reshape(-1, 2))
    boxes = [track.extent] if track.lines else []
    boxes += [(x - _MARK, y - _MARK, x + _MARK, y + _MARK) for x, y in marks.tolist()]
    return _laid(plan, track, _around(boxes), set_up, marks)


def _laid(
    plan: Plan, track: Track, extent: Box, set_up: SetUp | None, marks: Array | None = None
) -> Assembly:
    """Lay what is within `extent` on the job's paper; a sheet is printed for a line, or one of `marks`.

    Sheets that are to be joined have a note more than a single one: how to judge the whole.
    """
    paper = plan.job.paper
    if min(paper.width, paper.height) < LEAST_PRINTED:
        raise JobError(
            f"{paper.name} paper is {paper.width:g} x {paper.height:g} mm; the template's marks need "
            f"{LEAST_PRINTED:g} mm each way: use larger paper."
        )
    x0, y0, x1, y1 = extent
    origin = (x0 - _CLEAR, y0 - _CLEAR)
    notes = notes_of(plan, size_of(track))
    shown = [(track.points - origin, track.band / 2)]
    if marks is not None:
        shown.append((marks - origin, _MARK))
    size = (x1 - x0 + 2 * _CLEAR, y1 - y0 + 2 * _CLEAR)
    board, number = plan.layout.board, set_up.number if set_up else 0
    middle = affine.apply(plan.to_template, np.array([board.width, board.height]) / 2) - origin
    lines = 2 if min(paper.width, paper.height) < NARROW else 1
    said = sum(2 if note.bad else 1 for note in notes)
    for count in (said, said + 1):
        tiling, used = _fewest(plan, size, STRIP + NOTE * lines * count, shown, middle)
        if len(used) == 1:
            break
    across, down = plan.job.printer.correction
    stretch = (down, across) if tiling.landscape else (across, down)
    numbered = replace(tiling, set_up=number)
    cells = tuple(replace(cell, set_up=number) for cell in used)
    return Assembly(track, numbered, origin, cells, stretch, notes, set_up)


def _fewest(
    plan: Plan, size: tuple[float, float], strip: float, shown: list[tuple[Array, float]], middle: Array
) -> tuple[Tiling, tuple[Cell, ...]]:
    """Return how the paper is held so that the fewest sheets are printed, and which; upright on a tie.

    `shown` are points and how far round each of them the sheets must show, `middle` (2,) is the board's.
    """
    paper, printer, job = plan.job.paper, plan.job.printer, plan.job
    across, down = printer.correction
    true = replace(paper, width=paper.width / across, height=paper.height / down)
    kept = (printer.margin, job.overlap, strip, SIDE)
    found = []
    for centred in ways(*size, true, kept=kept, hold=job.hold):
        tiling = off_middles(centred, middle, (-centred.offset[0], -centred.offset[1]))
        seen = {cell for points, reach in shown for cell in tiling.used(points, reach)}
        found.append((tiling, joined_up(tiling, seen) or tiling.cells[:1]))
    return min(found, key=lambda one: len(one[1]))


def off_middles(tiling: Tiling, middle: Array, room: tuple[float, float]) -> Tiling:
    """Return a tiling whose seams keep off the middle lines that cross at `middle` (2,), where it can be.

    `room` are mm that it may be moved across and down, either way.
    """
    half = tiling.overlap / 2
    off = half + _OFF_MIDDLE
    sides = zip(middle.tolist(), tiling.offset, tiling.cell, (tiling.columns, tiling.rows), room, strict=True)
    across, down = (
        offset + _move(at - offset - cell + half, cell - tiling.overlap, count, off=off, room=free)
        for at, offset, cell, count, free in sides
    )
    return replace(tiling, offset=(across, down))


def _move(middle: float, pitch: float, count: int, *, off: float, room: float) -> float:
    """Return how far seams at 0, `pitch` .. move to be `off` mm off a middle line, at most `room` mm."""
    seams = pitch * np.arange(count - 1)
    nearest = min((seams - middle).tolist(), key=abs, default=off)
    wanted = max(0.0, off - abs(nearest))
    return float(np.copysign(min(wanted, max(0.0, room)), nearest))


def _with_origins(plan: Plan, track: Track) -> Box:
    """Return the extent of the track and of the letters' origins."""
    origins = np.array([one.origin for one in placed_letters(plan)])
    if not len(origins) or not track.lines:
        return track.extent
    marks = affine.apply(plan.to_template, origins)
    return _around([track.extent, (*marks.min(axis=0).tolist(), *marks.max(axis=0).tolist())])


def _around(boxes: list[Box]) -> Box:
    """Return the extent of several boxes, all zero where there is none."""
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    sides = np.array(boxes)
    (x0, y0), (x1, y1) = sides[:, :2].min(axis=0).tolist(), sides[:, 2:].max(axis=0).tolist()
    return x0, y0, x1, y1
