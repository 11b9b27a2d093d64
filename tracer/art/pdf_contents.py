"""What is on a PDF's page, and how densely it must be drawn for that."""

from collections.abc import Iterator
from ctypes import byref, c_float, c_int
from dataclasses import dataclass
from itertools import islice
from math import hypot, prod, sqrt
from typing import Any

from tracer.art.admit import KEPT, densest

PLAIN = 300.0
"""Dots per inch at which a drawing is made into pixels: a pen of 0.5 mm is 6 pixels wide."""

FINEST = 1200.0
"""Dots per inch for drawings in thin lines."""

DRAWN = 36_000_000
"""Pixels of a page that nobody asked to have drawn more densely: A4 at 600 dpi has 35 million."""

NEEDED = 7.0
"""Pixels across the thin lines of a drawing: 6 are wanted, and half a pixel a side is lost in grey."""

WHOLE = 0.9
"""Part of a page that pictures cover when the page is a scan; scanners leave a margin."""

MOST_LOOKED_AT = 20_000
"""Things on a page that are looked at: maps have many, and the first say enough."""

DEEPEST = 5
"""Drawings within drawings that are looked into."""

ASKEW = 1e-3
"""Part of its size by which a picture leans that is put in straight, but for rounding."""

Matrix = tuple[float, float, float, float, float, float]
_AS_IT_IS: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


@dataclass(frozen=True)
class Placed:
    """Where a picture stands upright, or on its side, on a page.

    Attributes
    ----------
    box : left, bottom, right, top, in the page's units, before the page is turned.
    across, down : its pixels along the page's width and height, before the page is turned.
    """

    box: tuple[float, float, float, float]
    across: int
    down: int


@dataclass(frozen=True)
class Contents:
    """What is on a page.

    Attributes
    ----------
    scanned : dots per inch of the scan that fills the page; None where it is something else.
    placed : where that scan stands, None where it comes in pieces or askew.
    pictured : dots per inch of the finest picture on it, 0 without one.
    pixels : of the largest picture on it, 0 without one.
    thinnest : width in inches of its thin lines, None where no line is drawn as one.
    """

    scanned: float | None
    placed: Placed | None
    pictured: float
    thinnest: float | None
    pixels: int

    def density(self, width: float, height: float, said: float | None) -> float:
        """Return dots per inch at which a page of `width` x `height` inches is drawn."""
        most = densest(width, height)
        if wanted := self.scanned or said:
            return min(wanted, most)
        return min(self._needed(), most, max(PLAIN, densest(width, height, DRAWN)))

    def words(self, density: float) -> tuple[str, ...]:
        """Say how it was drawn, where that is not the scan's own resolution."""
        if self.scanned is None:
            return (f"the PDF's page was drawn at {density:.0f} dpi",)
        if density < self.scanned:
            many = KEPT // 1_000_000
            return (f"made {self.scanned / density:.1f} times smaller: more than {many} million pixels",)
        return ()

    def _needed(self) -> float:
        thin = NEEDED / self.thinnest if self.thinnest else PLAIN
        return min(max(PLAIN, thin, min(self.pictured, 2 * PLAIN)), FINEST)


def contents_of(page: Any, unit: float) -> Contents:
    """Look at what is on a page of PDFium's, whose unit is so many inches."""
    import pypdfium2.raw as pdfium

    covered, finest, pixels, others, placed = 0.0, 0.0, 0, False, []
    widths: list[float] = []
    whole = WHOLE * prod(page.get_size())
    for thing, matrix in islice(_things(page, None, _AS_IT_IS, 0), MOST_LOOKED_AT):
        area = abs(matrix[0] * matrix[3] - matrix[1] * matrix[2])  # of the unit square
        if thing.type == pdfium.FPDF_PAGEOBJ_IMAGE:
            if area >= whole:  # what lies under it is not seen
                others = False
                widths.clear()
            covered += area
            finest = max(finest, _density(thing.get_px_size(), matrix, unit))
            pixels = max(pixels, prod(thing.get_px_size()))
            placed.append(_placed(thing.get_px_size(), matrix))
        elif thing.type == pdfium.FPDF_PAGEOBJ_PATH:
            others = True
            if (width := _stroke_width(thing)) > 0:
                widths.append(width * sqrt(area) * unit)
        elif thing.type == pdfium.FPDF_PAGEOBJ_SHADING or _is_seen(thing):
            others = True
    scan = finest > 0 and not others and covered >= whole
    thin = sorted(widths)[len(widths) // 10] if widths else None
    return Contents(finest if scan else None, placed[0] if len(placed) == 1 else None, finest, thin, pixels)


def _things(page: Any, form: Any, into: Matrix, depth: int) -> Iterator[tuple[Any, Matrix]]:
    """Go through the things on a page, drawings within drawings too, each with what its units become."""
    import pypdfium2.raw as pdfium

    for thing in page.get_objects(max_depth=1, form=form):
        whole = _after(thing.get_matrix().get(), into)
        yield thing, whole
        if thing.type == pdfium.FPDF_PAGEOBJ_FORM and depth < DEEPEST:
            yield from _things(page, thing, whole, depth + 1)


def _after(first: Matrix, then: Matrix) -> Matrix:
    """Return the product of two matrices (ISO 32000-1, 8.3.4)."""
    (a, b, c, d, e, f), (p, q, r, s, x, y) = first, then
    return a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + x, e * q + f * s + y


def _density(pixels: tuple[int, int], matrix: Matrix, unit: float) -> float:
    """Return the dots per inch of a picture that fills the unit square under `matrix`."""
    wide, high = hypot(matrix[0], matrix[1]) * unit, hypot(matrix[2], matrix[3]) * unit
    return max(pixels[0] / wide, pixels[1] / high) if min(wide, high) > 0 else 0.0


def _placed(pixels: tuple[int, int], matrix: Matrix) -> Placed | None:
    """Return where a picture stands that fills the unit square under `matrix`, None where it leans."""
    a, b, c, d, x, y = matrix
    box = (
        x + min(a, 0) + min(c, 0),
        y + min(b, 0) + min(d, 0),
        x + max(a, 0) + max(c, 0),
        y + max(b, 0) + max(d, 0),
    )
    slack = ASKEW * max(map(abs, (a, b, c, d)))
    if max(abs(b), abs(c)) < slack < min(abs(a), abs(d)):
        return Placed(box, *pixels)
    if max(abs(a), abs(d)) < slack < min(abs(b), abs(c)):
        return Placed(box, *pixels[::-1])
    return None


def _is_seen(thing: Any) -> bool:
    """Say whether a thing is words, other than those that were recognised in a scan and are not drawn."""
    import pypdfium2.raw as pdfium

    if thing.type != pdfium.FPDF_PAGEOBJ_TEXT:
        return False
    return bool(pdfium.FPDFTextObj_GetTextRenderMode(thing) != pdfium.FPDF_TEXTRENDERMODE_INVISIBLE)


def _stroke_width(path: Any) -> float:
    """Return the width of a path's line in its own units, 0 where none is drawn."""
    import pypdfium2.raw as pdfium

    fill, stroked, width = c_int(), c_int(), c_float()
    if not pdfium.FPDFPath_GetDrawMode(path, byref(fill), byref(stroked)) or not stroked.value:
        return 0.0
    return width.value if pdfium.FPDFPageObj_GetStrokeWidth(path, byref(width)) else 0.0
