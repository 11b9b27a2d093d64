"""What a PDF's pages draw, read back by pdfium: lines with their colours, and words with their places."""

import ctypes
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pypdfium2
import pypdfium2.raw as raw

MM = 25.4 / 72


@dataclass(frozen=True, eq=False)
class Line:
    """A stroked path: points (n, 2), mm from the page's top left, y down, handles of curves among them."""

    points: np.ndarray
    colour: tuple[int, int, int]
    width: float


@dataclass(frozen=True, eq=False)
class Word:
    """A piece of text and its box (x0, y0, x1, y1), likewise."""

    text: str
    box: tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Shape:
    """A filled path: points (n, 2) likewise, and its colour."""

    points: np.ndarray
    colour: tuple[int, int, int]


def shapes(path: Path, page: int) -> list[Shape]:
    """Return the filled paths of one page."""
    document = pypdfium2.PdfDocument(path)
    try:
        sheet = document[page]
        height = sheet.get_size()[1] * MM
        paths = [thing for thing in sheet.get_objects() if thing.type == raw.FPDF_PAGEOBJ_PATH]
        filled = [thing for thing in paths if _modes(thing)[0]]
        return [Shape(_points(one, height), _colour(one, raw.FPDFPageObj_GetFillColor)) for one in filled]
    finally:
        document.close()


def drawn(path: Path, page: int) -> tuple[list[Line], list[Word]]:
    """Return the lines and words of one page, in the order of drawing."""
    document = pypdfium2.PdfDocument(path)
    try:
        sheet = document[page]
        text, height = sheet.get_textpage(), sheet.get_size()[1] * MM
        lines, words = [], []
        for thing in sheet.get_objects():
            if thing.type == raw.FPDF_PAGEOBJ_PATH:
                lines += _line(thing, height)
            elif thing.type == raw.FPDF_PAGEOBJ_TEXT:
                x0, y0, x1, y1 = (side * MM for side in thing.get_bounds())
                words.append(Word(_text(thing, text), (x0, height - y1, x1, height - y0)))
        return lines, words
    finally:
        document.close()


def _line(thing: pypdfium2.PdfObject, height: float) -> list[Line]:
    if not _modes(thing)[1]:
        return []
    width = ctypes.c_float()
    raw.FPDFPageObj_GetStrokeWidth(thing, width)
    return [Line(_points(thing, height), _colour(thing, raw.FPDFPageObj_GetStrokeColor), width.value * MM)]


def _modes(thing: pypdfium2.PdfObject) -> tuple[bool, bool]:
    """Say whether a path is filled, and whether it is stroked."""
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(thing, fill, stroke)
    return fill.value != raw.FPDF_FILLMODE_NONE, bool(stroke.value)


def _points(thing: pypdfium2.PdfObject, height: float) -> np.ndarray:
    matrix = thing.get_matrix()
    x, y, points = ctypes.c_float(), ctypes.c_float(), []
    for k in range(raw.FPDFPath_CountSegments(thing)):
        raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(thing, k), x, y)
        points.append(matrix.on_point(x.value, y.value))
    placed = np.array(points) * MM
    placed[:, 1] = height - placed[:, 1]
    return placed


def _colour(thing: pypdfium2.PdfObject, ask: Callable[..., int]) -> tuple[int, int, int]:
    r, g, b, a = (ctypes.c_uint() for _ in range(4))
    ask(thing, r, g, b, a)
    return r.value, g.value, b.value


def _text(thing: pypdfium2.PdfObject, text: pypdfium2.PdfTextPage) -> str:
    size = raw.FPDFTextObj_GetText(thing, text, None, 0)
    buffer = (ctypes.c_ushort * size)()
    raw.FPDFTextObj_GetText(thing, text, buffer, size)
    return bytes(buffer).decode("utf-16-le").rstrip("\x00")
