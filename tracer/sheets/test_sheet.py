"""The test sheet: what tells the printer's, the linkage's and the bit's true measures, before any carving."""

from pathlib import Path

from tracer.errors import JobError
from tracer.job import Job
from tracer.sheets.pdf import Pdf
from tracer.sheets.test_sheet_bit import draw_bit_page
from tracer.sheets.test_sheet_linkage import draw_linkage_halves, draw_linkage_page
from tracer.sheets.test_sheet_printer import draw_printer_page
from tracer.sheets.test_sheet_square import square_of

LEAST = (200.0, 270.0)
"""mm: the smallest paper on which the pages find room: A4 and Letter have it."""


def write_test_sheet(job: Job, path: Path, *, bit: str, again: str, side: float | None = None) -> None:
    """Write the test sheet for the job's printer, linkage and bit; the same job gives the same bytes.

    Parameters
    ----------
    job : paper, printer, linkage, bit, units and date are heeded.
    path : the PDF.
    bit : what the job's bit is called at the command line.
    again : the command that makes this sheet again.
    side : of the square to trace, mm; None for a usual one that a page holds. A larger one takes two.

    Raises
    ------
    JobError
        Where the paper is too small, for the words or for the square.
    """
    paper = job.paper
    if paper.width < LEAST[0] or paper.height < LEAST[1]:
        raise JobError(
            f"{paper.name} paper is {paper.width:g} x {paper.height:g} mm; the test sheet needs "
            f"{LEAST[0]:g} x {LEAST[1]:g} mm: use larger paper."
        )
    square = square_of(job, side)
    halves = [f"the linkage, {side} half" for side in ("left", "right")]
    subjects = ["the printer", *(halves if square.joined else ["the linkage"]), "the bit"]
    titles = [f"Test sheet {n} of {len(subjects)}: {subject}" for n, subject in enumerate(subjects, 1)]
    pdf = Pdf(path, title="Test sheet", date=job.date)
    draw_printer_page(pdf, job, titles[0], again=again)
    if square.joined:
        draw_linkage_halves(pdf, job, (titles[1], titles[2]), square)
    else:
        draw_linkage_page(pdf, job, titles[1], square)
    draw_bit_page(pdf, job, titles[-1], name=bit)
    pdf.save()
