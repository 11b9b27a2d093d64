"""Test sheet, second page: the square to trace for the linkage's ratio."""

import math

from tracer.job import Job
from tracer.lengths import MM_PER_INCH, both
from tracer.sheets.marks import HAIRLINE, TRACK, draw_cross
from tracer.sheets.pdf import Pdf
from tracer.sheets.test_sheet_page import BLANK, DARK, Leaf

_ARM = 4.0
"""mm that the crosses at the corners reach out."""

_WORDS = 84.0
"""mm of height that the words below the square take at least."""

_CORNER = 1 / 6
"""Of the square's side: how far the line across its corner begins from that."""


def square_side(job: Job, wanted: float | None = None) -> float:
    """Return the side of the square that fits the paper, mm: 200 mm or 8 in, or the longest round one."""
    inset = job.printer.margin
    across, down = job.printer.correction
    room = min(job.paper.width / across - 2 * inset, job.paper.height / down - 2 * inset - _WORDS) - 2 * _ARM
    step = MM_PER_INCH / 2 if job.units == "in" else 10.0
    usual = 8 * MM_PER_INCH if job.units == "in" else 200.0
    return min(wanted or usual, math.floor(room / step + 1e-9) * step)


def draw_linkage_page(pdf: Pdf, job: Job, title: str) -> None:
    """Draw the page."""
    leaf = Leaf(pdf, job, title, inset=job.printer.margin, true=True, size=10.0)
    side = square_side(job)
    _draw_square(leaf, (leaf.width - side) / 2, leaf.y + _ARM, side)
    leaf.y += side + 2 * _ARM + 1.0
    _tell(leaf)
    leaf.check()


def _draw_square(leaf: Leaf, x: float, y: float, side: float) -> None:
    """Draw the square, the line across its corner, and what is to be measured on it."""
    pdf, units = leaf.pdf, leaf.job.units
    corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    cut = _CORNER * side
    pdf.polygon(corners, width=HAIRLINE, colour=TRACK)
    pdf.line([(x, y + cut), (x + cut, y)], width=HAIRLINE, colour=TRACK)
    for corner in corners:
        draw_cross(pdf, corner, arm=_ARM)
    pdf.text(x + 2.0, y + 5.0, "top left", 9.0, bold=True)
    said = f"{both(side, units)} if printed true"
    pdf.text(x + side / 2, y + side - 2.5, said, 9.0, anchor="middle", colour=DARK)
    pdf.text(x + side - 2.5, y + side / 2, said, 9.0, anchor="middle", angle_deg=90.0, colour=DARK)
    diagonal = f"from corner to corner {both(side * math.sqrt(2), units)}, both ways"
    pdf.text(x + side / 2, y + side / 2, diagonal, 9.0, anchor="middle", colour=DARK)


def _tell(leaf: Leaf) -> None:
    """Say how the square is traced and measured, and what to type."""
    units = leaf.job.units
    leaf.step(
        1,
        "Tape this page flat under the stylus and fix flat scrap under the router. Set the bit about "
        f"{'1 mm' if units == 'mm' else '1/32 in'} deep. Trace the square, then the line across its corner.",
    )
    leaf.step(2, "Measure the square on this page, from cross to cross:")
    leaf.blanks("across", "down", unit=units)
    leaf.step(
        3,
        "Measure the square in the wood, from the left wall of one groove to the left wall of the other (and "
        "from upper wall to upper wall): so the groove's width drops out.",
    )
    leaf.blanks("across", "down", unit=units)
    leaf.command(
        f'tracer ratio --traced "{BLANK} x {BLANK} {units}" --cut "{BLANK} x {BLANK} {units}" --save'
    )
    leaf.step(4, "Is the corner with the line across it at the lower right in the wood? Then yes, else no:")
    leaf.command(f"tracer shop set linkage.turned {BLANK}")
    leaf.step(
        5,
        "Corner to corner in the wood must measure the same both ways; if not, set the linkage square first.",
    )
