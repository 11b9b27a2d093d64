"""Test sheet, first page: bars on both axes, and stairs of lines at the paper's edges. Never corrected."""

import numpy as np
from numpy.typing import NDArray

from tracer.job import Job
from tracer.lengths import MM_PER_INCH, Units
from tracer.sheets.marks import draw_bar
from tracer.sheets.pdf import GREY, Pdf
from tracer.sheets.test_sheet_page import BLANK, DARK, Leaf
from tracer.shop.printer import BAR, FITTED, UNEQUAL

Array = NDArray[np.float64]

_CARE = (
    "On the next pages the router runs: the bit's marking, the router's manual and your local rules come "
    "first."
)

INSET = 24.0
"""mm that this page's words keep from every edge: past the stairs."""

_STEP: dict[Units, tuple[float, int]] = {"mm": (1.0, 16), "in": (MM_PER_INCH / 16, 10)}
"""mm from one line of a stair to the next, and how many: printers leave less than 16 mm free."""

_PITCH, _HALF = 4.4, 1.7  # mm along the edge from line to line, and half a line's length
_NUMBERS = 19.2  # mm from the edge to the numbers' middles


def draw_printer_page(pdf: Pdf, job: Job, title: str, *, again: str) -> None:
    """Draw the page, uncorrected: it shows the printer's own doing. `again` makes the whole sheet anew."""
    leaf = Leaf(pdf, job, title, inset=INSET, true=False)
    for side in range(4):
        _draw_stair(leaf, side)
    leaf.note(
        "Print all pages at actual size (100 %), “fit to page” off, on the printer and the paper that you "
        f"will use for templates. This page is never corrected; the others are{_by(job)}."
    )
    _draw_bars(leaf)
    _tell_margins(leaf)
    leaf.step(3, "Make this sheet again: its other pages then print true.")
    leaf.command(again)
    leaf.foot(_CARE)
    leaf.check()


def _by(job: Job) -> str:
    """Say by what the other pages are corrected."""
    bar = job.printer
    if not bar.measured:
        return ", once you have told what you find here"
    return f", now by a bar of {bar.bar_x:g} mm across and {bar.bar_y:g} mm down"


def _draw_bars(leaf: Leaf) -> None:
    """Draw both bars and ask for their lengths."""
    inches = " (3 15/16 in)" if leaf.job.units == "in" else ""
    leaf.step(
        1,
        f"Measure both bars from end tick to end tick, as near as you can read: {BAR:g} mm{inches} where the "
        "printer is true. 0.5 mm too little here is 3 mm too little on a template 600 mm wide.",
    )
    top = leaf.y + 2.0
    draw_bar(leaf.pdf, leaf.left + 12.0, top, length=BAR, upright=True)
    draw_bar(leaf.pdf, leaf.left + 20.0, top + 4.0, length=BAR, upright=False)
    leaf.pdf.text(leaf.left + 8.0, top + BAR / 2, "down", 9.0, anchor="middle", angle_deg=90.0)
    leaf.pdf.text(leaf.left + 20.0 + BAR / 2, top + 8.5, "across", 9.0, anchor="middle")
    with leaf.column(leaf.left + 15.0, top + 12.0):
        leaf.blanks("across", "down", unit="mm")
        leaf.command(f'tracer shop set printer.bar "{BLANK} mm x {BLANK} mm"')
        leaf.note(
            f"Less than {BAR * (1 - FITTED):g} mm: the page was shrunk to fit. Print at 100 %.", indent=5.5
        )
        leaf.note(
            f"More than {BAR * UNEQUAL:.1f} mm between across and down: the paper slips in the printer. "
            "Clean its rollers and print again.",
            indent=5.5,
        )
    leaf.y = max(leaf.y, top + BAR + 4.0)


def _tell_margins(leaf: Leaf) -> None:
    """Ask for the first line that shows on each side."""
    units = leaf.job.units
    step = "1 mm" if units == "mm" else "1/16 in"
    leaf.step(
        2,
        "In the middle of each edge stands a stair of numbered lines, each as far from the paper's edge as "
        f"its number says{'' if units == 'mm' else ', in sixteenths of an inch'}. On each side write the "
        "number of the last line that you see whole, going outwards.",
    )
    leaf.blanks("left", "right", "top", "bottom", unit="mm" if units == "mm" else "/16 in")
    leaf.note(
        f"The largest of the four, and {step} more, is the margin that nothing is drawn in:", indent=5.5
    )
    leaf.command(f'tracer shop set printer.margin "{BLANK} {units}"')


def _draw_stair(leaf: Leaf, side: int) -> None:
    """Draw lines along one edge (0 top, 1 right, 2 bottom, 3 left), each a step further from it."""
    step, count = _STEP[leaf.job.units]
    for k in range(count):
        along = (k - (count - 1) / 2) * _PITCH
        out = (k + 1) * step
        ends = [_at(leaf, side, along + end, out) for end in (-_HALF, _HALF)]
        leaf.pdf.line(ends, width=0.25)
        foot = [_at(leaf, side, along, out), _at(leaf, side, along, _NUMBERS - 1.4)]
        leaf.pdf.line(foot, width=0.1, colour=GREY, dash=(0.3, 0.9))
        x, y = _at(leaf, side, along, _NUMBERS)
        leaf.pdf.text(x, y + 0.85, f"{k + 1}", 6.5, anchor="middle", colour=DARK)


def _at(leaf: Leaf, side: int, along: float, out: float) -> tuple[float, float]:
    """Return the place so far from an edge, and so far along it from its middle."""
    across, down = leaf.width / 2 + along, leaf.height / 2 + along
    return ((across, out), (leaf.width - out, down), (across, leaf.height - out), (out, down))[side]
