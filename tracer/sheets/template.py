"""The template: true-scale sheets to lay under the stylus."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tracer.model.plan import Plan
from tracer.sheets import joins, marks
from tracer.sheets.assembly import Assembly, assemblies
from tracer.sheets.board_marks import draw_board, line_points
from tracer.sheets.clamps import CLAMPS
from tracer.sheets.diagonals import Diagonal, diagonal_words, diagonals_of, draw_corners
from tracer.sheets.letter_marks import draw_letter_marks
from tracer.sheets.pdf import Pdf
from tracer.sheets.run_marks import draw_ways, marks_taken, meet
from tracer.sheets.said_names import title_of
from tracer.sheets.sheet_labels import Labels, draw_labels, labels_of, legend_here
from tracer.sheets.strip import draw_strip, words_of
from tracer.sheets.tiling import Cell
from tracer.sheets.track import Box

Array = NDArray[np.float64]

TRACK, BANDS, RUNS, BOARD, SHEET = (
    "Lines to follow",
    "Width of the grooves",
    "Runs: numbers, starts, arrows, lifts",
    "Board and baselines",
    "Joins, bars and words of the sheet",
)
"""Names of the layers that a viewer can hide, such as the runs while a line is looked at."""

_SHUNNED = 40
"""As how many points of a line the words of a seam shun a start, a lift or an arrow."""


def write_template(plan: Plan, path: Path) -> None:
    """Write template.pdf: wood / ratio on the job's paper, corrected by the measured bar.

    The sheets of each set-up follow those of the one before. The same plan gives the
    same bytes. JobError where the paper is too small.
    """
    pdf = Pdf(path, title=f"{title_of(plan)}: template", date=plan.job.date)
    words = words_of(plan)
    for assembly, labels in zip(assemblies(plan), _all_labels(plan), strict=True):
        diagonals = diagonals_of(assembly)
        busy = np.concatenate([assembly.track.points, np.repeat(_signs(assembly), _SHUNNED, axis=0)])
        whole = diagonal_words(diagonals, plan.job.units)
        for cell in assembly.used:
            width, height = np.array(assembly.tiling.sheet) * assembly.stretch
            pdf.page(float(width), float(height), stretch=assembly.stretch)
            _draw_sheet(pdf, assembly, cell, labels, diagonals=diagonals, busy=busy)
            with pdf.layer(SHEET):
                legend = legend_here(words.legend, labels, assembly.track, _view(assembly, cell))
                draw_strip(pdf, assembly, cell, replace(words, legend=legend), whole=whole)
    pdf.save()


@lru_cache(maxsize=1)
def _all_labels(plan: Plan) -> tuple[Labels, ...]:
    """Return the labels of each assembly."""
    unwritten = Pdf(Path("labels.pdf"), title="", date=plan.job.date)
    return tuple(labels_of(unwritten, plan, one, diagonals_of(one)) for one in assemblies(plan))


def unsaid_of_board(plan: Plan) -> tuple[str, ...]:
    """Return what should be said of the board, and of clamps, and found no room on any sheet of the template.

    How the board comes to its place in a set-up is none of it: the job sheet tells all moves.
    """
    left = dict.fromkeys(words for labels in _all_labels(plan) for words in labels.board.unsaid)
    return tuple(words for words in left if not plan.set_ups or words.startswith(CLAMPS))


def _draw_sheet(
    pdf: Pdf,
    assembly: Assembly,
    cell: Cell,
    labels: Labels,
    *,
    diagonals: tuple[Diagonal, ...],
    busy: Array,
) -> None:
    """Draw what one sheet shows of the template; words along its seams avoid the points `busy` (m, 2)."""
    margin, view = assembly.tiling.margin, _view(assembly, cell)
    shows, track = view[:2], assembly.track
    lines = [line for line in track.lines if meet(line.box, view)]
    with pdf.window(margin, margin, (cell.width, cell.height), shows):
        paths = marks.paths_of(pdf, lines)
        with pdf.layer(BANDS):
            marks.draw_bands(pdf, lines, paths)
        with pdf.layer(BOARD):
            draw_board(pdf, labels.board, view)
            draw_letter_marks(pdf, labels.letters, labels.letter_names)
        with pdf.layer(RUNS):
            draw_labels(pdf, assembly, labels, view)
        with pdf.layer(TRACK):  # over the numbers: no line is hidden
            marks.draw_lines(pdf, lines, paths)
        with pdf.layer(RUNS):
            draw_ways(pdf, track, view)
        with pdf.layer(SHEET):
            x, y = busy.T
            here = busy[(x > view[0]) & (x < view[2]) & (y > view[1]) & (y < view[3])]
            joins.draw_seams(pdf, assembly, cell, here, line_points(labels.board))
            draw_corners(pdf, diagonals, cell)
            if said := _of_empty(assembly, here):
                pdf.text(shows[0] + 14, shows[1] + 24, said, 14.0, bold=True)


def _view(assembly: Assembly, cell: Cell) -> Box:
    """Return what a sheet shows (x0, y0, x1, y1), template mm."""
    x, y = assembly.origin[0] + cell.x, assembly.origin[1] + cell.y
    return x, y, x + cell.width, y + cell.height


def _of_empty(assembly: Assembly, here: Array) -> str:
    """Return what a sheet says on which no points are `here` to be followed, "" where there are."""
    if not assembly.track.lines:
        return "No line holds this bit: nothing to follow."
    return "" if len(here) else "Nothing to follow on this sheet: tape it in all the same."


def _signs(assembly: Assembly) -> Array:
    """Return the middles (n, 2) of starts, lifts and arrows."""
    boxes = marks_taken(assembly.track)
    middles: Array = (boxes[:, :2] + boxes[:, 2:]) / 2
    return middles
