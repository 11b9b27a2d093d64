"""How a plan's template is spread over sheets of paper."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tracer.errors import JobError
from tracer.geometry import affine
from tracer.model.plan import Plan, SetUp
from tracer.sheets.placement import placed_letters
from tracer.sheets.set_up_track import track_in
from tracer.sheets.tiling import Cell, Tiling, tile
from tracer.sheets.track import Box, Track, track_of

STRIP, SIDE = 30.0, 8.0
"""mm kept at the bottom and at the right of each sheet for words, map and bars."""

OVERLAP = 10.0
"""mm that neighbouring sheets both show (common practice, no source)."""

_CLEAR = 2.0
"""mm round the figure, so that dots at its edge are whole."""

_MARK = 6.0
"""mm round a register mark, so that it is whole on a sheet."""

_LEAST = 100.0
"""mm: shortest side of paper on which marks and words find room."""


@dataclass(frozen=True, eq=False)
class Assembly:
    """The sheets of one template.

    Attributes
    ----------
    track : what they show, template mm.
    tiling : how they lie; its frame begins at `origin` in template mm.
    origin : (x, y), template mm.
    used : the sheets that are printed; the others would be empty.
    stretch : by what to multiply lengths across and down each sheet so that they print true.
    set_up : the position of the board that they are for, None where all is cut in one.
    """

    track: Track
    tiling: Tiling
    origin: tuple[float, float]
    used: tuple[Cell, ...]
    stretch: tuple[float, float]
    set_up: SetUp | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the printed sheets."""
        return tuple(cell.name for cell in self.used)

    @property
    def room(self) -> Box:
        """All that the sheets cover (x0, y0, x1, y1), template mm."""
        first, last = self.tiling.cells[0], self.tiling.cells[-1]
        x, y = self.origin
        return x + first.x, y + first.y, x + last.x + last.width, y + last.y + last.height

    def printed(self, row: int, column: int) -> Cell | None:
        """Return the sheet in that place if there is one and it is printed."""
        return next((cell for cell in self.used if (cell.row, cell.column) == (row, column)), None)


def assemble(plan: Plan) -> Assembly:
    """Return the sheets for the plan's whole template on the job's paper, set-ups left aside.

    The bar is measured across and down paper held upright; the sheets may be held
    either way, and the correction goes with the paper. JobError where the paper is too small.
    """
    track = track_of(plan)
    return _laid(plan, track, _with_origins(plan, track), None)


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
    plan: Plan, track: Track, extent: Box, set_up: SetUp | None, marks: NDArray[np.float64] | None = None
) -> Assembly:
    """Lay what is within `extent` on the job's paper; a sheet is printed for a line, or one of `marks`."""
    paper, printer = plan.job.paper, plan.job.printer
    if min(paper.width, paper.height) < _LEAST:
        raise JobError(
            f"{paper.name} paper is {paper.width:g} x {paper.height:g} mm; the template's marks need "
            f"{_LEAST:g} mm each way: use larger paper."
        )
    x0, y0, x1, y1 = extent
    across, down = printer.correction
    true = replace(paper, width=paper.width / across, height=paper.height / down)
    size = (x1 - x0 + 2 * _CLEAR, y1 - y0 + 2 * _CLEAR)
    tiling = tile(*size, true, margin=printer.margin, overlap=OVERLAP, strip=STRIP, side=SIDE)
    tiling = replace(tiling, set_up=set_up.number if set_up else 0)
    origin = (x0 - _CLEAR, y0 - _CLEAR)
    shown = set(tiling.used(track.points - np.array(origin), track.band / 2))
    if marks is not None:
        shown |= set(tiling.used(marks - np.array(origin), _MARK))
    used = tuple(cell for cell in tiling.cells if cell in shown) or tiling.cells[:1]
    stretch = (down, across) if tiling.landscape else (across, down)
    return Assembly(track, tiling, origin, used, stretch, set_up)


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
