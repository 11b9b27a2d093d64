"""How a plan's template is spread over sheets of paper."""

from dataclasses import dataclass, replace

import numpy as np

from tracer.errors import JobError
from tracer.geometry import affine
from tracer.model.plan import Plan
from tracer.sheets.placement import placed_letters
from tracer.sheets.tiling import Cell, Tiling, tile
from tracer.sheets.track import Box, Track, track_of

STRIP, SIDE = 30.0, 8.0
"""mm kept at the bottom and at the right of each sheet for words, map and bars."""

OVERLAP = 10.0
"""mm that neighbouring sheets both show (common practice, no source)."""

_CLEAR = 2.0
"""mm round the figure, so that dots at its edge are whole."""

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
    """

    track: Track
    tiling: Tiling
    origin: tuple[float, float]
    used: tuple[Cell, ...]
    stretch: tuple[float, float]

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
    """Return the sheets for the plan's template on the job's paper.

    The bar is measured across and down paper held upright; the sheets may be held
    either way, and the correction goes with the paper. JobError where the paper is too small.
    """
    paper, printer = plan.job.paper, plan.job.printer
    if min(paper.width, paper.height) < _LEAST:
        raise JobError(
            f"{paper.name} paper is {paper.width:g} x {paper.height:g} mm; the template's marks need "
            f"{_LEAST:g} mm each way: use larger paper."
        )
    track = track_of(plan)
    x0, y0, x1, y1 = _with_origins(plan, track)
    across, down = printer.correction
    true = replace(paper, width=paper.width / across, height=paper.height / down)
    size = (x1 - x0 + 2 * _CLEAR, y1 - y0 + 2 * _CLEAR)
    tiling = tile(*size, true, margin=printer.margin, overlap=OVERLAP, strip=STRIP, side=SIDE)
    origin = (x0 - _CLEAR, y0 - _CLEAR)
    used = tiling.used(track.points - np.array(origin), track.band / 2) or tiling.cells[:1]
    return Assembly(track, tiling, origin, used, (down, across) if tiling.landscape else (across, down))


def _with_origins(plan: Plan, track: Track) -> Box:
    """Return the extent of the track and of the letters' origins."""
    x0, y0, x1, y1 = track.extent
    origins = np.array([one.origin for one in placed_letters(plan)])
    if not len(origins) or not track.lines:
        return track.extent
    marks = affine.apply(plan.to_template, origins)
    (left, top), (right, bottom) = marks.min(axis=0), marks.max(axis=0)
    return min(x0, float(left)), min(y0, float(top)), max(x1, float(right)), max(y1, float(bottom))
