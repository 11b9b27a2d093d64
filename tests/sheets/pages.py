"""Pages of a PDF rendered to pixels, and distances measured on them. Used by the tests of the sheets."""

from pathlib import Path

import numpy as np
import pypdfium2

Box = tuple[float, float, float, float]

DPI = 600
MM_PER_PX = 25.4 / DPI


def rendered(path: Path, page: int = 0, *, dpi: float = DPI, part: Box | None = None) -> np.ndarray:
    """Return one page, or the part (x0, y0, x1, y1) of it in mm, as (H, W, 3) uint8."""
    document = pypdfium2.PdfDocument(path)
    try:
        sheet = document[page]
        width, height = sheet.get_size()
        x0, y0, x1, y1 = (side * 72 / 25.4 for side in part) if part else (0, 0, width, height)
        crop = (x0, height - y1, width - x1, y0)
        return sheet.render(scale=dpi / 72, crop=crop, rev_byteorder=True).to_numpy()[..., :3].copy()
    finally:
        document.close()


def texts(path: Path) -> list[str]:
    """Return the words on each page."""
    document = pypdfium2.PdfDocument(path)
    try:
        return [page.get_textpage().get_text_range() for page in document]
    finally:
        document.close()


def text_under(path: Path, heading: str) -> str:
    """Return the words on the first page from a heading down to the foot."""
    document = pypdfium2.PdfDocument(path)
    try:
        words = document[0].get_textpage()
        start, _ = words.search(heading).get_next()
        return words.get_text_bounded(bottom=0.0, top=words.get_charbox(start)[3])
    finally:
        document.close()


def place(path: Path, words: str) -> tuple[float, float]:
    """Return where words begin on the first page: (left, bottom), points from the page's lower left."""
    document = pypdfium2.PdfDocument(path)
    try:
        page = document[0].get_textpage()
        start, _ = page.search(words).get_next()
        left, bottom, _, _ = page.get_charbox(start)
        return left, bottom
    finally:
        document.close()


def letter_height_mm(path: Path, words: str) -> float:
    """Return how high the first letter of words on the first page stands, the last place where they are."""
    document = pypdfium2.PdfDocument(path)
    try:
        page = document[0].get_textpage()
        found = page.search(words)
        start, last = found.get_next(), None
        while start:
            start, last = found.get_next(), start
        _, bottom, _, top = page.get_charbox(last[0])
        return (top - bottom) * 25.4 / 72
    finally:
        document.close()


def sizes(path: Path) -> list[tuple[float, float]]:
    """Return (width, height) of each page in points."""
    document = pypdfium2.PdfDocument(path)
    try:
        return [page.get_size() for page in document]
    finally:
        document.close()


def red(image: np.ndarray) -> np.ndarray:
    """Return where the track's dark red shows (H, W) bool."""
    r, g, b = (image[..., i].astype(int) for i in range(3))
    return (r - g > 60) & (r - b > 60)


def dark(image: np.ndarray) -> np.ndarray:
    """Return where it is nearly black (H, W) bool."""
    return image.max(axis=2) < 90


def extent_mm(mask: np.ndarray, *, dpi: float = DPI) -> tuple[float, float, float, float]:
    """Return (x0, y0, x1, y1) of the outermost True pixels' outer edges, mm from the page's top left."""
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    px = 25.4 / dpi
    return columns[0] * px, rows[0] * px, (columns[-1] + 1) * px, (rows[-1] + 1) * px
