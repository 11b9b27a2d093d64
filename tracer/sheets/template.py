"""The template: true-scale sheets to lay under the stylus."""

from pathlib import Path

import numpy as np

from tracer.model.plan import Plan
from tracer.sheets import joins, marks
from tracer.sheets.assembly import Assembly, assemblies
from tracer.sheets.board_marks import draw_board
from tracer.sheets.letter_marks import draw_letter_marks
from tracer.sheets.pdf import Pdf
from tracer.sheets.run_marks import draw_ways, meet
from tracer.sheets.said_names import title_of
from tracer.sheets.sheet_labels import Labels, draw_labels, labels_of
from tracer.sheets.strip import draw_strip, words_of
from tracer.sheets.tiling import Cell


def write_template(plan: Plan, path: Path) -> None:
    """Write template.pdf: wood / ratio on the job's paper, corrected by the measured bar.

    The sheets of each set-up follow those of the one before. The same plan gives the
    same bytes. JobError where the paper is too small.
    """
    pdf = Pdf(path, title=f"{title_of(plan)}: template", date=plan.job.date)
    words = words_of(plan)
    for assembly in assemblies(plan):
        labels = labels_of(pdf, plan, assembly)
        for cell in assembly.used:
            width, height = np.array(assembly.tiling.sheet) * assembly.stretch
            pdf.page(float(width), float(height), stretch=assembly.stretch)
            _draw_sheet(pdf, plan, assembly, cell, labels)
            draw_strip(pdf, assembly, cell, words)
    pdf.save()


def _draw_sheet(pdf: Pdf, plan: Plan, assembly: Assembly, cell: Cell, labels: Labels) -> None:
    """Draw what one sheet shows of the template."""
    margin, origin = assembly.tiling.margin, assembly.origin
    shows = (origin[0] + cell.x, origin[1] + cell.y)
    view = (*shows, shows[0] + cell.width, shows[1] + cell.height)
    track = assembly.track
    with pdf.window(margin, margin, (cell.width, cell.height), shows):
        lines = [line for line in track.lines if meet(line.box, view)]
        for line in lines:
            marks.draw_band(pdf, line)
        draw_board(pdf, plan, view)
        draw_letter_marks(pdf, labels.letters, labels.letter_names)
        for line in lines:
            marks.draw_line(pdf, line)
        draw_ways(pdf, track.ways, view)
        draw_labels(pdf, assembly, labels, view)
        for seam in joins.seams_of(assembly, cell):
            joins.draw_seam(pdf, seam, track.points)
        if not lines:
            pdf.text(
                shows[0] + 10, shows[1] + 20, "No line holds this bit: nothing to follow.", 14.0, bold=True
            )
