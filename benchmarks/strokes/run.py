"""Every drawing through the whole way from its file to the strokes, and through the plain chain."""

import tempfile
import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.strokes.art import Art
from benchmarks.strokes.degrade import LEVELS, Level, Shot, shoot
from benchmarks.strokes.explained import ink_of
from benchmarks.strokes.metrics import FoundLine, Score, Truth, score, truth_of
from benchmarks.strokes.plain import TOLERANCE, plain_chains
from tracer.art.read import read_picture
from tracer.model.drawing import Drawing
from tracer.raster.ink import find_ink
from tracer.vector.strokes import find_strokes

FLAT = 0.02
"""Art pixels: how far polylines may leave their cubics."""


@dataclass(frozen=True, eq=False)
class Run:
    """What one chain made of a picture; `drawing` is the tracer's, None where it failed with `failure`."""

    score: Score
    seconds: float
    drawing: Drawing | None = None
    failure: str = ""


@dataclass(frozen=True, eq=False)
class Result:
    """One drawing at one level."""

    art: Art
    level: Level
    shot: Shot
    truth: Truth
    own: Run
    plain: Run | None


def results(arts: list[Art], levels: list[Level], *, plain: bool) -> Iterator[Result]:
    """Return the results of all drawings at all levels, with or without the plain chain's."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "picture.png"
        _warm_up(arts[0], path)
        for art in arts:
            truth = truth_of(art)
            for level in levels:
                shot = shoot(art, level)
                shot.save(path)
                own = _own(path, truth, shot)
                yield Result(art, level, shot, truth, own, _plain(path, truth, shot) if plain else None)


def _warm_up(art: Art, path: Path) -> None:
    """Load all packages before time is taken."""
    shoot(art, LEVELS["web"]).save(path)
    _traced(path)
    _plain_strokes(path)


def _own(path: Path, truth: Truth, shot: Shot) -> Run:
    """Return what the tracer makes of a picture."""
    start = time.perf_counter()
    drawing, failure = _traced(path)
    seconds = time.perf_counter() - start
    return Run(score(truth, found_lines(drawing, shot) if drawing else []), seconds, drawing, failure)


def _plain(path: Path, truth: Truth, shot: Shot) -> Run:
    """Return what the plain chain makes of a picture."""
    start = time.perf_counter()
    strokes = _plain_strokes(path)
    seconds = time.perf_counter() - start
    lines = [FoundLine(shot.to_page(p), closed, max(1, len(p) - 1)) for p, closed in strokes]
    return Run(score(truth, lines), seconds)


def _plain_strokes(path: Path) -> list[tuple[NDArray[np.float64], bool]]:
    """Return the plain chain's strokes: light divided out, Otsu, thinning, chains, polygons."""
    return plain_chains(ink_of(read_picture(path).grey).sure > 0, TOLERANCE)


def _traced(path: Path) -> tuple[Drawing | None, str]:
    """Return a picture's strokes, or why there are none."""
    try:
        scan = read_picture(path)
        return find_strokes(scan, find_ink(scan)), ""
    except Exception:  # noqa: BLE001 - a drawing that breaks the chain is a result like any other
        return None, traceback.format_exc().strip()


def found_lines(drawing: Drawing, shot: Shot) -> list[FoundLine]:
    """Return a Drawing's strokes on the page."""
    lines = []
    for stroke in drawing.strokes:
        points = stroke.curves[0, :1] if stroke.kind == "dot" else stroke.points(FLAT)
        wide = stroke.width is not None and stroke.kind == "line"
        width = stroke.width * shot.mm_per_px if wide else None
        lines.append(FoundLine(shot.to_page(np.asarray(points)), stroke.closed, len(stroke.curves), width))
    return lines
