"""Whether the template prints true to scale and its sheets join true: `python -m benchmarks.scale`.

20 points scattered by a seed and the four corners of a template of 600 x 400 mm, each a small cross; bars and
crosses are measured on its sheets as two programs render them at 600 dpi, neither of which wrote them.
"""

import io
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2  # type: ignore[import-untyped]
from numpy.typing import NDArray
from PIL import Image

from tracer.geometry import bezier
from tracer.job import Job, PieceSpec
from tracer.model.drawing import Drawing, Stroke
from tracer.model.plan import Plan
from tracer.pipeline import lay_out, plan
from tracer.sheets import joins
from tracer.sheets.assembly import Assembly, assemble
from tracer.sheets.diagonals import diagonals_of
from tracer.sheets.template import write_template
from tracer.sheets.tiling import Cell
from tracer.shop.paper import paper_named
from tracer.shop.printer import Printer

Array = NDArray[np.float64]
Page = tuple[NDArray[np.uint8], Array]
"""A rendered page (H, W, 3), and its pixels a mm (across, down)."""

DPI = 600
SIZE = (600.0, 400.0)
"""mm: the template between outermost points."""

BAR = 0.05
"""mm: largest error of a bar, of the diagonals, of points, and of the sheets as joined."""

SEED, POINTS = 6, 20
_DOT, _JOIN, _CORNER = (1.3, 1.8, 2.3), (1.0, 1.6, 2.2, 2.8, 3.4), (1.0, 1.4, 1.8, 2.2)
"""mm from a cross's middle to where its arms are measured."""

GRID = 2.0
"""Art pixels for a mm of template."""


def main() -> None:
    """Print for each kind of paper and each program the largest errors."""
    size = " x ".join(f"{side:g}" for side in SIZE)
    print(f"template {size} mm, {POINTS} points and 4 corners, {DPI} dpi; largest errors, mm; bar {BAR:g}")
    columns = (("sheets", 7), ("bars", 8), ("diagonal", 10), ("points", 8), ("joined", 8), ("s", 7))
    print(f"{'paper':9}{'read by':9}" + "".join(f"{name:>{width}}" for name, width in columns))
    slipping = Printer(99.2, 100.4, measured=True)
    for paper, printer in (("A4", Printer()), ("Letter", Printer()), ("A3", slipping)):
        found, truth = points_plan(Job(paper=paper_named(paper), printer=printer))
        for name, pages in renderers().items():
            _row(found, truth, name, pages)


def points_plan(job: Job) -> tuple[Plan, Array]:
    """Return the plan of nothing but dots, and where they are on the template (24, 2), from its top left."""
    corners = [(0.0, 0.0), (SIZE[0], 0.0), SIZE, (0.0, SIZE[1])]
    scattered = np.random.default_rng(SEED).uniform((15.0, 15.0), np.array(SIZE) - 15.0, (POINTS, 2))
    truth = np.vstack([corners, scattered])
    strokes = tuple(
        Stroke(k + 1, bezier.dot(point * GRID), closed=False, kind="dot", widths=np.array([6.0]))
        for k, point in enumerate(truth)
    )
    drawing = Drawing(strokes, (), (int(SIZE[0] * GRID), int(SIZE[1] * GRID)), line_width=6.0)
    job = replace(job, pieces=(PieceSpec("points", width=SIZE[0] * job.ratio),))
    made = plan(lay_out({0: drawing}, job), job)
    return replace(made, runs=(), islands=()), truth  # no numbers and dots on the crosses


def renderers() -> dict[str, Callable[[Path], Iterator[Page]]]:
    """Return the programs at hand that render pages."""
    return {"pdfium": _pdfium} | ({"poppler": _poppler} if shutil.which("pdftocairo") else {})


def _pdfium(path: Path) -> Iterator[Page]:
    document = pypdfium2.PdfDocument(path)
    try:
        for page in document:
            image = page.render(scale=DPI / 72, rev_byteorder=True).to_numpy()[..., :3]
            # it stretches a page to whole pixels, by up to 0.02 mm
            yield image, np.array(image.shape[1::-1]) / page.get_size() * 72 / 25.4
    finally:
        document.close()


def _poppler(path: Path) -> Iterator[Page]:
    for page in range(1, len(pypdfium2.PdfDocument(path)) + 1):
        # by way of cairo: poppler's own drawing moves thin lines on whole pixels
        only = ("-f", str(page), "-l", str(page), "-singlefile")
        command = ["pdftocairo", "-png", "-r", str(DPI), *only, str(path), "-"]
        made = subprocess.run(command, capture_output=True, check=True).stdout
        Image.MAX_IMAGE_PIXELS = None
        yield np.asarray(Image.open(io.BytesIO(made)).convert("RGB")), np.full(2, DPI / 25.4)


def _row(made: Plan, truth: Array, name: str, pages: Callable[[Path], Iterator[Page]]) -> None:
    """Print one program's errors on one paper."""
    began, assembly = time.perf_counter(), assemble(made)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "template.pdf"
        write_template(made, path)
        both = zip(assembly.used, pages(path), strict=True)
        sheets = [Sheet(assembly, cell, image, scale) for cell, (image, scale) in both]
    bars = max(abs(length - 100.0) for sheet in sheets for length in sheet.bars)
    placed, joined = (_whole(sheets, len(truth), shifts(sheets)) for shifts in (_tiled, _taped))
    diagonals = [np.hypot(*(placed[b] - placed[a])) - np.hypot(*SIZE) for a, b in ((0, 2), (1, 3))]
    diagonals += _corners_off(assembly, sheets)
    errors = (bars, max(map(abs, diagonals)), _stray(placed, truth), _stray(joined, truth))
    shown = "".join(f"{error:{width}.3f}" for error, width in zip(errors, (8, 10, 8, 8), strict=True))
    spent = f"{time.perf_counter() - began:7.1f}{'  MISSED' if max(errors) > BAR else ''}"
    print(f"{made.job.paper.name:9}{name:9}{len(sheets):7}{shown}{spent}", flush=True)


class Sheet:
    """What is measured on one rendered sheet, mm from its top left as it prints."""

    def __init__(self, assembly: Assembly, cell: Cell, image: NDArray[np.uint8], scale: Array) -> None:
        self.cell, self._image = cell, image
        self._scale = np.array(assembly.stretch) * scale
        tiling = assembly.tiling
        self._margin = tiling.margin
        self._shift = tiling.margin - np.array(assembly.origin) - (cell.x, cell.y)
        self.bars = self._bars(tiling.sheet, tiling.margin)
        self.seams = {seam.neighbour: self._crosses(seam) for seam in joins.seams_of(assembly, cell)}
        self.dots = {k: self._dot(line.points[0]) for k, line in enumerate(assembly.track.lines)}
        self.corners = {
            (k, end): self._cross(corner.point, red=False, arms=_CORNER)
            for k, one in enumerate(diagonals_of(assembly))
            for end, corner in enumerate((one.start, one.end))
            if corner.cell == cell
        }
        del self._image

    def _crosses(self, seam: joins.Seam) -> Array:
        return np.array([self._cross(point, red=False, arms=_JOIN) for point in seam.crosses])

    def _dot(self, point: Array) -> Array | None:
        """Return a dot's place, None where the sheet does not show all of it."""
        inner = np.array([self.cell.width, self.cell.height])
        at = point + self._shift - self._margin
        whole = bool((at > 3.0).all() and (at < inner - 3.0).all())
        return self._cross(point, red=True, arms=_DOT) if whole else None

    def _cross(self, point: Array, *, red: bool, arms: tuple[float, ...]) -> Array:
        """Return the middle of the cross near a point of the template, by its four arms."""
        x, y = point + self._shift
        across = np.mean([self._middle((x, y + s * a), axis=0, red=red) for s in (-1, 1) for a in arms])
        down = np.mean([self._middle((x + s * a, y), axis=1, red=red) for s in (-1, 1) for a in arms])
        return np.array([across, down])

    def _bars(self, sheet: tuple[float, float], margin: float) -> tuple[float, float]:
        """Return the lengths of both bars, between the middles of their end ticks."""
        right, foot = sheet[0] - margin - 0.5, sheet[1] - margin - 4.8
        ends = [self._middle((x, foot - 2.2), axis=0) for x in (right - 100.0, right)]
        tops = [self._middle((right - 2.2, y), axis=1) for y in (margin + 4.0, margin + 104.0)]
        return ends[1] - ends[0], tops[1] - tops[0]

    def _middle(self, near: tuple[float, float], *, axis: int, red: bool = False) -> float:
        """Return where a thin line runs along an axis (0: x, 1: y) near a place, by its ink's mean."""
        half = np.array([0.9, 0.3] if axis == 0 else [0.3, 0.9])
        corners = (np.array(near) + np.array([[-1], [1]]) * half) * self._scale
        (x0, y0), (x1, y1) = np.round(corners).astype(int).tolist()
        part = self._image[y0:y1, x0:x1].astype(float)
        ink = part[..., 0] - part[..., 1:].max(axis=2) if red else 255.0 - part.max(axis=2)
        ink = np.median(np.where(ink > 40.0, ink, 0.0), axis=axis)
        places = np.arange(len(ink)) + (x0, y0)[axis] + 0.5
        return float((ink * places).sum() / ink.sum() / self._scale[axis])


def _tiled(sheets: list[Sheet]) -> dict[str, Array]:
    """Return what brings each sheet's places to the template's, by the tiling's own numbers."""
    return {sheet.cell.name: np.array([sheet.cell.x, sheet.cell.y]) for sheet in sheets}


def _taped(sheets: list[Sheet]) -> dict[str, Array]:
    """Return the same as somebody tapes them: each on those already there, by its crosses alone."""
    named = {sheet.cell.name: sheet for sheet in sheets}
    shifts = {sheets[0].cell.name: np.zeros(2)}
    while len(shifts) < len(sheets):
        for name, sheet in named.items():
            there = [other for other in sheet.seams if other in shifts]
            if name not in shifts and there:
                apart = [shifts[one] + named[one].seams[name] - sheet.seams[one] for one in there]
                shifts[name] = np.mean(np.concatenate(apart), axis=0)
    return shifts


def _whole(sheets: list[Sheet], count: int, shifts: dict[str, Array]) -> Array:
    """Return the dots' places on the whole (n, 2): the mean where several sheets show one."""
    places: list[list[Array]] = [[] for _ in range(count)]
    for sheet in sheets:
        for k, place in sheet.dots.items():
            if place is not None:
                places[k].append(place + shifts[sheet.cell.name])
    return np.array([np.mean(found, axis=0) for found in places])


def _corners_off(assembly: Assembly, sheets: list[Sheet]) -> list[float]:
    """Return how far each diagonal between the taped sheets' corner marks is off what the sheets say."""
    shifts = _taped(sheets)
    ends = {key: at + shifts[sheet.cell.name] for sheet in sheets for key, at in sheet.corners.items()}
    said = enumerate(diagonals_of(assembly))
    return [float(np.hypot(*(ends[k, 1] - ends[k, 0]))) - one.length for k, one in said]


def _stray(places: Array, truth: Array) -> float:
    """Return how far a place is off at most, the whole laid on the truth."""
    off = places - truth
    return float(np.hypot(*(off - off.mean(axis=0)).T).max())


if __name__ == "__main__":
    main()
