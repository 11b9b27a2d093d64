"""The pixels that a PDF's page is drawn with: those of the scan on it, where it is one."""

from dataclasses import dataclass
from math import sqrt
from typing import Any

from tracer.art.pdf_contents import Placed

INSET = 0.02
"""Pixels by which a scan is kept within its grid: PDFium stretches what reaches out of it by a hair."""

ALIKE = 0.001
"""Difference of a scan's resolutions across and down that is only rounding of its page's size."""


@dataclass(frozen=True)
class Grid:
    """Pixels across and down the page as it is seen, and inches from one to the next."""

    width: int
    height: int
    inches: float


def plain_grid(page: Any, unit: float, density: float) -> Grid:
    """Return the grid of so many pixels an inch, on a page whose unit is `unit` inches."""
    width, height = page.get_size()
    across = max(1, round(width * unit * density))
    return Grid(across, max(1, round(height * unit * density)), width * unit / across)


def scan_grid(page: Any, unit: float, placed: Placed) -> Grid | None:
    """Move a page by less than a pixel so that its pixels are those of the scan on it, and return them.

    None where the scan's resolutions across and down are unlike: its pixels are not square.
    """
    x0, y0, x1, y1 = page.get_cropbox()
    left, bottom, right, top = placed.box
    across = (placed.across - 2 * INSET) / (right - left)
    down = (placed.down - 2 * INSET) / (top - bottom)
    if abs(across / down - 1) > ALIKE:
        return None
    width, height = round((x1 - x0) * across), round((y1 - y0) * down)
    start = left - (round((left - x0) * across) + INSET) / across
    end = top + (round((y1 - top) * down) + INSET) / down
    box = (start, end - height / down, start + width / across, end)
    page.set_mediabox(*box)
    page.set_cropbox(*box)
    if page.get_rotation() in (90, 270):
        width, height = height, width
    area = (right - left) * (top - bottom) / (placed.across * placed.down)
    return Grid(width, height, unit * sqrt(area))
