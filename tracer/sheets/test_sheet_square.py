"""The square to trace on the test sheet: as large as the paper holds, or as said, over two pages joined."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.errors import JobError
from tracer.job import Job
from tracer.lengths import MM_PER_INCH, both
from tracer.sheets.joins import Kept, Seam, draw_seam
from tracer.sheets.marks import HAIRLINE, TRACK, draw_cross
from tracer.sheets.test_sheet_page import DARK, TITLE, Leaf

Array = NDArray[np.float64]

ARM = 4.0
"""mm that the crosses at the corners reach out."""

_OVERLAP = 10.0
"""mm that both pages of a joined square show (common practice, no source)."""

_WORDS, _WORDS_JOINED = 74.0, 56.0
"""mm of height that the words below take: all of them, or half of them on each of two pages."""

_CORNER = 1 / 6
"""Of the square's side: how far the line across its corner begins from that."""

_SHORTEST = 50.0  # mm: a shorter side leaves the ratio in doubt by more than 1 % (derived)


@dataclass(frozen=True)
class Square:
    """Its side, mm, and whether it goes over two pages, with the seam down its middle."""

    side: float
    joined: bool = False


def square_of(job: Job, wanted: float | None = None) -> Square:
    """Return the square for the paper: of the side said, or of 200 mm or 8 in, or the longest round one.

    Raises
    ------
    JobError
        Where the side that was said is too short, or too long for two pages.
    """
    single, double = _room(job)
    if wanted is None:
        step = MM_PER_INCH / 2 if job.units == "in" else 10.0
        usual = 8 * MM_PER_INCH if job.units == "in" else 200.0
        return Square(min(usual, math.floor(single / step + 1e-9) * step))
    if not _SHORTEST <= wanted <= max(single, double):
        raise JobError(
            f"a square of {both(wanted, job.units)} is not drawn on {job.paper.name} paper: "
            f"{both(_SHORTEST, job.units)} to {both(max(single, double), job.units, down=True)} are; "
            "say another with --square, or larger paper with --paper"
        )
    return Square(wanted, joined=wanted > single)


def _room(job: Job) -> tuple[float, float]:
    """Return the longest side on one page, and over two."""
    inset, (across, down) = job.printer.margin, job.printer.correction
    wide, high = job.paper.width / across - 2 * inset, job.paper.height / down - 2 * inset - TITLE - 2 * ARM
    return (
        min(wide - 2 * ARM, high - _WORDS),
        min(2 * (wide - ARM - _OVERLAP / 2), high - _WORDS_JOINED),
    )


def draw_whole(leaf: Leaf, square: Square) -> None:
    """Draw the square on a page of its own, under what stands there."""
    with leaf.pdf.window(
        (leaf.width - square.side) / 2 - ARM, leaf.y, (square.side + 2 * ARM,) * 2, (-ARM, -ARM)
    ):
        _draw(leaf, square)
    leaf.y += square.side + 2 * ARM + 1.0


def draw_half(leaf: Leaf, square: Square, *, right: bool, other: str) -> None:
    """Draw one half of it up to the seam, and the seam; `other` names the page with the other half."""
    pdf, side, middle = leaf.pdf, square.side, square.side / 2
    size = (middle + ARM + _OVERLAP / 2, side + 2 * ARM)
    x = leaf.left if right else leaf.right - size[0]
    with pdf.window(x, leaf.y, size, (middle - _OVERLAP / 2 if right else -ARM, -ARM)):
        _draw(leaf, square)
        ends = np.array([[middle, -ARM], [middle, side + ARM]])
        crosses = np.array([[middle, part * side] for part in (1 / 6, 1 / 2, 5 / 6)])
        lines = np.array([[middle + dx, y] for dx in np.arange(-5.0, 6.0) for y in (0.0, side)])
        draw_seam(pdf, Seam(ends[0], ends[1], crosses, right, other), [Kept(lines, 1.0)])
    leaf.y += side + 2 * ARM + 1.0


def _draw(leaf: Leaf, square: Square) -> None:
    """Draw the square from (0, 0), the line across its corner, and what is to be measured on it."""
    pdf, units, side = leaf.pdf, leaf.job.units, square.side
    corners = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]
    pdf.polygon(corners, width=HAIRLINE, colour=TRACK)
    pdf.line([(0.0, _CORNER * side), (_CORNER * side, 0.0)], width=HAIRLINE, colour=TRACK)
    for corner in corners:
        draw_cross(pdf, corner, arm=ARM)
    middle = side / 4 if square.joined else side / 2
    pdf.text(2.0, 5.0, "top left", 9.0, bold=True)
    said = f"{both(side, units)} if printed true"
    pdf.text(middle, side - 2.5, said, 9.0, anchor="middle", colour=DARK)
    pdf.text(side - 2.5, side / 2, said, 9.0, anchor="middle", angle_deg=90.0, colour=DARK)
    said = f"corner to corner {both(side * math.sqrt(2), units)}, both ways"
    pdf.text(middle, side / 2, said, 9.0, anchor="middle", colour=DARK)
