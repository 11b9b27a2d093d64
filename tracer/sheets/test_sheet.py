"""The test sheet: what tells the printer's, the linkage's and the bit's true measures, before any carving."""

from pathlib import Path

from tracer.errors import JobError
from tracer.job import Job
from tracer.sheets.pdf import Pdf
from tracer.sheets.test_sheet_bit import draw_bit_page
from tracer.sheets.test_sheet_linkage import draw_linkage_page
from tracer.sheets.test_sheet_printer import draw_printer_page

LEAST = (200.0, 270.0)
"""mm: the smallest paper on which the pages find room: A4 and Letter have it."""


def write_test_sheet(job: Job, path: Path, *, bit: str, again: str) -> None:
    """Write the test sheet for the job's printer, linkage and bit; the same job gives the same bytes.

    Parameters
    ----------
    job : paper, printer, linkage, bit, units and date are heeded.
    path : the PDF.
    bit : what the job's bit is called at the command line.
    again : the command that makes this sheet again.

    Raises
    ------
    JobError
        Where the paper is too small.
    """
    paper = job.paper
    if paper.width < LEAST[0] or paper.height < LEAST[1]:
        raise JobError(
            f"{paper.name} paper is {paper.width:g} x {paper.height:g} mm; the test sheet needs "
            f"{LEAST[0]:g} x {LEAST[1]:g} mm: use larger paper."
        )
    pdf = Pdf(path, title="Test sheet", date=job.date)
    draw_printer_page(pdf, job, "Test sheet 1 of 3: the printer", again=again)
    draw_linkage_page(pdf, job, "Test sheet 2 of 3: the linkage")
    draw_bit_page(pdf, job, "Test sheet 3 of 3: the bit", name=bit)
    pdf.save()
