"""Every drawing at every level through the tracer, and how well it was recovered."""

import math
import sys
import tempfile
import time
import traceback
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.raster.fit import fitted, scale_of, stretch_of
from benchmarks.raster.levels import PHOTOS, aged
from benchmarks.raster.sheet import Aged, Placed
from benchmarks.raster.stages import scan_of_file
from benchmarks.strokes.art import Art
from benchmarks.strokes.lines import Lines, lines_of
from benchmarks.strokes.metrics import UNSURE, Score, Truth, score, truth_of
from benchmarks.strokes.run import Run, found_lines
from tracer.geometry import affine
from tracer.model.drawing import Drawing
from tracer.model.scan import Scan
from tracer.raster.ink import find_ink
from tracer.vector.strokes import find_strokes

Array = NDArray[np.float64]

CLOSE = 0.5
"""mm: a true line is found where a stroke is nearer."""

SMALLEST = 10.0
"""mm that lines reach at the least for their size to be told: a dot has none."""

FITTED = 4000
"""Places on found lines by which size is measured."""


@dataclass(frozen=True)
class LevelName:
    """A level, to the reports of the strokes' benchmark."""

    name: str


@dataclass(frozen=True, eq=False)
class Judged:
    """One drawing at one level; `own`, `art`, `level`, `shot`, `truth` are those of a strokes' Result.

    Attributes
    ----------
    invented : part of the found length that is on no ink: half a pen and the blur from any true line.
    lost : part of the true length with no stroke within `CLOSE`.
    size_error : found size to true size, less 1; nan where the tracer says no size, or there is but a dot.
    stretch : the same in the worst direction, without sign.
    settled : score after moving and turning the whole drawing on the true lines; None but for photographs.
    ageing : seconds.
    """

    art: Art
    level: LevelName
    shot: Placed
    truth: Truth
    own: Run
    invented: float
    lost: float
    size_error: float
    stretch: float
    settled: Score | None
    ageing: float


def judged(arts: Sequence[Art], levels: Sequence[str]) -> Iterator[Judged]:
    """Return the results of all drawings at all levels, one after the other."""
    with tempfile.TemporaryDirectory() as folder:
        _trace(aged(arts[0], "clean").save(Path(folder), "warm"))  # loads all packages
        for art in arts:
            truths: dict[float, Truth] = {}
            for name in levels:
                start = time.perf_counter()
                picture = aged(art, name)
                ageing = time.perf_counter() - start
                if picture.art.pen not in truths:
                    truths[picture.art.pen] = truth_of(picture.art)
                yield _judged(picture, name, truths[picture.art.pen], (Path(folder), ageing))


def _judged(picture: Aged, name: str, truth: Truth, rest: tuple[Path, float]) -> Judged:
    """Return one result."""
    path = picture.save(rest[0], "picture")
    (scan, drawing, failure), seconds = _timed(path)
    shot = _where(picture, scan)
    found = found_lines(drawing, shot) if drawing else []
    own = Run(score(truth, found), seconds, drawing, failure)
    result = Judged(
        picture.art, LevelName(name), shot, truth, own, 0.0, 1.0, math.nan, math.nan, None, rest[1]
    )
    kept = [line for line in found if len(line.points)]
    if not kept or drawing is None:
        return result
    return _measured(result, lines_of([(line.points, line.closed) for line in kept]), drawing)


def _timed(path: Path) -> tuple[tuple[Scan | None, Drawing | None, str], float]:
    """Return what the tracer makes of a picture, and the processor seconds it took."""
    start = time.process_time()
    return _trace(path), time.process_time() - start


def _measured(result: Judged, lines: Lines, drawing: Drawing) -> Judged:
    """Return a result with its lengths and its size."""
    truth = result.truth
    places = lines.middles[:: -(-len(lines.middles) // FITTED)]
    settled = None
    if result.level.name in PHOTOS:
        move = fitted(places, truth.lines, "moved")
        moved = replace(result.shot, matrix=affine.compose(move, result.shot.matrix))
        settled = score(truth, found_lines(drawing, moved))
        result, lines = replace(result, shot=moved), _again(drawing, moved)
    invented = lines.weights[truth.lines.distances(lines.middles) > truth.pen / 2 + UNSURE]
    lost = truth.lines.weights[lines.distances(truth.lines.middles) > CLOSE]
    size, stretch = _size(result.shot, places, truth.lines, drawing)
    return replace(
        result,
        invented=float(invented.sum() / max(lines.weights.sum(), 1e-9)),
        lost=float(lost.sum() / truth.lines.weights.sum()),
        size_error=size,
        stretch=stretch,
        settled=settled,
    )


def _again(drawing: Drawing, shot: Placed) -> Lines:
    """Return a drawing's lines on the page."""
    found = [line for line in found_lines(drawing, shot) if len(line.points)]
    return lines_of([(line.points, line.closed) for line in found])


def _size(shot: Placed, places: Array, truth: Lines, drawing: Drawing) -> tuple[float, float]:
    """Return the error of the size, and in the worst direction."""
    if drawing.mm_per_px is None or np.ptp(places, axis=0).max() < SMALLEST:
        return math.nan, math.nan
    says = drawing.mm_per_px / shot.mm_per_px
    scale = scale_of(fitted(places, truth, "scaled"))
    stretched = fitted(places, truth, "stretched")
    return says / scale - 1, stretch_of(stretched / says)


def _trace(path: Path) -> tuple[Scan | None, Drawing | None, str]:
    """Return what the tracer reads and finds, or why not."""
    scan = None
    try:
        scan = scan_of_file(path)
        return scan, find_strokes(scan, find_ink(scan)), ""
    except Exception:  # noqa: BLE001 - a drawing that breaks the chain is a result like any other
        return scan, None, traceback.format_exc().strip()


def _where(picture: Aged, scan: Scan | None) -> Placed:
    """Return where the page lies in the picture that the strokes were found in.

    A photograph that was flattened covers its sheet from corner to corner, by the size the tracer says of it
    if it says one; a photograph that was not is placed by the map that keeps angles.
    """
    if scan is None or picture.sheet is None:
        return picture.placed
    pixels = scan.grey if scan.colour is None else scan.colour
    if scan.grey.shape == picture.placed.pixels.shape[:2]:
        return replace(picture.placed, pixels=pixels)
    mm_per_px = scan.mm_per_px or picture.sheet.size[0] / scan.grey.shape[1]
    return Placed(
        pixels, affine.compose(affine.translation(*picture.sheet.corner), affine.scaling(mm_per_px))
    )


def told(results: Iterator[Judged], count: int) -> Iterator[Judged]:
    """Pass results on, and say on the error stream how far it is."""
    for k, result in enumerate(results):
        f1, failure = result.own.score.f1, result.own.failure
        note = failure.splitlines()[-1][:90] if failure else f"F1 {f1[1]:.3f} {f1[2]:.3f}"
        print(f"{k + 1}/{count} {result.level.name} {result.art.name}: {note}", file=sys.stderr, flush=True)
        yield result
