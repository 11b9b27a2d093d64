"""One page of a PDF as pixels, at its true size.

PDFium draws it, which may be used by one thread at a time: hence the lock.
"""

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock
from time import monotonic
from typing import TYPE_CHECKING, Any, BinaryIO

from tracer.art.admit import LARGEST_SHRUNK, check_page, check_size
from tracer.art.modes import BAND, collected
from tracer.art.pdf_contents import Contents, contents_of
from tracer.art.pdf_forms import check_forms
from tracer.art.pdf_grid import Grid, plain_grid, scan_grid
from tracer.art.resolution import believable
from tracer.art.sheet import Entry, Sheet
from tracer.errors import ArtError

if TYPE_CHECKING:
    from PIL.Image import Image

POINTS = 72.0
"""Units of a PDF page in an inch, where its UserUnit does not say otherwise (ISO 32000-1, 8.3.2.3)."""

LONGEST = 15.0
"""Seconds that drawing a page may take: maps of many layers take minutes."""

LARGEST_PAGE = 800.0
"""Inches: no sheet is 20 m long, but a broken UserUnit makes one so."""

_PDFIUM = Lock()


def pdf_page(file: BinaryIO, name: str, page: int, dpi: float | None) -> Sheet:
    """Return one page, counted from 1, drawn at `dpi`, or as densely as what is on it needs.

    A page that holds one scanned picture comes at that picture's own resolution.

    Raises
    ------
    ArtError
        Where the file is encrypted or broken, or has no such page.
    """
    file.seek(0)
    with _PDFIUM, _document(file.read(), name) as document:
        notes = check_page(page, len(document), name)
        return _sheet(document, page - 1, name, dpi, notes)


@contextmanager
def _document(data: bytes, name: str) -> Iterator[Any]:
    """Open a PDF, and say in one sentence whatever is wrong with it."""
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError:
        if b"/Encrypt" in data:  # what PDFium says may be what it said of the file before
            raise ArtError(f"{name} is locked with a password: save a copy without one.") from None
        raise _broken(name) from None
    try:
        yield document
    except ArtError:
        raise
    except Exception:  # noqa: BLE001 - broken pages fail in whatever way
        raise _broken(name) from None
    finally:
        document.close()


def _broken(name: str) -> ArtError:
    return ArtError(f"{name} is a PDF that cannot be read, without pages or damaged: save or copy it again.")


def _sheet(document: Any, index: int, name: str, dpi: float | None, notes: list[str]) -> Sheet:
    """Draw one page, counted from 0."""
    copy = _alone(document, index)
    check_forms(copy, name)
    unit = _user_unit(copy) / POINTS  # inches
    page = document[index]
    width, height = (side * unit for side in page.get_size())
    if not 0 < min(width, height) <= max(width, height) <= LARGEST_PAGE:
        size = f"{width * 25.4:.3g} x {height * 25.4:.3g} mm"
        raise ArtError(f"Page {index + 1} of {name} is {size}: up to {LARGEST_PAGE * 0.0254:.0f} m are read.")
    contents = contents_of(page, unit)
    if contents.pixels > LARGEST_SHRUNK:
        raise ArtError(
            f"Page {index + 1} of {name} holds a picture of {contents.pixels / 1e6:.0f} million pixels; "
            f"up to {LARGEST_SHRUNK // 1_000_000} million are read: save it smaller (300 dpi is plenty)."
        )
    density = contents.density(width, height, dpi)
    grid = scan_grid(page, unit, contents.placed) if contents.placed and density == contents.scanned else None
    grid = grid or plain_grid(page, unit, density)
    check_size(grid.width, grid.height, name)
    pixels = collected(_bands(_drawn(page, grid, name)), (grid.width, grid.height))
    shrunk = 1.0 if contents.scanned is None else max(1.0, contents.scanned / density)
    entry = _entry(contents, width, height, grid)
    return Sheet(*pixels, entry, shrunk, (*notes, *contents.words(density)))


def _drawn(page: Any, grid: Grid, name: str) -> Any:
    """Return a page drawn on white, (H, W, 3) red, green, blue."""
    import pypdfium2
    import pypdfium2.raw as pdfium

    size = (grid.width, grid.height)
    bitmap = pypdfium2.PdfBitmap.new_native(*size, pdfium.FPDFBitmap_BGR, rev_byteorder=True)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, *size)
    how = pdfium.FPDF_ANNOT | pdfium.FPDF_REVERSE_BYTE_ORDER
    end = monotonic() + LONGEST
    pause = pdfium.IFSDK_PAUSE(version=1)
    pause.NeedToPauseNow = type(pause.NeedToPauseNow)(lambda _: monotonic() > end)
    state = pdfium.FPDF_RenderPageBitmap_Start(bitmap, page, 0, 0, *size, 0, how, pause)
    pdfium.FPDF_RenderPage_Close(page)
    if state == pdfium.FPDF_RENDER_TOBECONTINUED:
        raise ArtError(
            f"The page of {name} takes over {LONGEST:.0f} s to draw: say a smaller dpi, or save it as PNG."
        )
    return bitmap.to_numpy()


def _bands(pixels: Any) -> Iterator["Image"]:
    """Cut what was drawn, (H, W, 3), into bands of rows."""
    import numpy as np
    import PIL.Image

    for top in range(0, pixels.shape[0], BAND):
        yield PIL.Image.fromarray(np.ascontiguousarray(pixels[top : top + BAND]))


def _entry(contents: Contents, width: float, height: float, grid: Grid) -> Entry:
    """Return the size of a pixel of a page of `width` x `height` inches."""
    scan = contents.scanned
    if scan is not None and not believable(scan):
        words = f"unknown: the {scan:.0f} dpi of the picture on the PDF's page are not believable"
        return Entry(None, words)
    words = f"the PDF's page, {width * 25.4:.0f} x {height * 25.4:.0f} mm"
    return Entry(grid.inches * 25.4, words, of_page=scan is None)


def _alone(document: Any, index: int) -> bytes:
    """Return a PDF of one page alone, as PDFium writes it: all dictionaries are in plain text there."""
    import pypdfium2

    with io.BytesIO() as copy:
        alone = pypdfium2.PdfDocument.new()
        try:
            alone.import_pages(document, [index])
            alone.save(copy)
        finally:
            alone.close()
        return copy.getvalue()


def _user_unit(copy: bytes) -> float:
    """Return how many points a unit of a page is (UserUnit; ISO 32000-1, table 30): PDFium does not tell."""
    found = re.search(rb"/UserUnit[ \r\n]*([0-9.]+)", copy)
    unit = float(found[1]) if found and found[1].strip(b".") else 1.0
    return unit if unit > 0 else 1.0
