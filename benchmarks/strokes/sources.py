"""Open data turned to drawings with true lines: icons, and words in single-stroke faces."""

import io
import math
import zipfile
from collections.abc import Callable, Iterator, Sequence
from importlib import resources
from itertools import product
from typing import Any

import numpy as np
import svgelements
from numpy.typing import NDArray

from benchmarks.strokes.art import Art, Half, TrueLine, digest, half_of

Array = NDArray[np.float64]
Candidate = tuple[str, Callable[[], Art | None]]

PAGE = 150.0
"""mm: side of the page (a word's page is as high as the word needs)."""

MARGIN = 10.0
"""mm kept free around the drawing."""

PENS = (1.2, 2.5)
"""mm: thinnest and thickest pen; each drawing has one between, by its name."""

PER_HALF = {"icons": 60, "words": 24}
"""Drawings in each half of a set."""

FACES = ("futural", "rowmans", "scripts", "cursive", "greek")
"""Hershey's faces (1967, National Bureau of Standards) that draw each letter with single strokes."""

JOINED = ("scripts", "cursive")
"""Faces of joined writing; their figures are drawn with two strokes side by side, and are left out."""

WORDS = (
    "Forest", "Hamburg", "Quartz", "Kijx8", "Lovely", "waffle", "abgde", "W&Q%4", "Typo", "Milk", "juxta",
    "AXKY", "Meadow", "1897", "Oak&Ash", "boxes", "Zephyr", "fjord", "Bench", "gladly",
)  # fmt: skip

STEP = 0.1
"""mm between the points of a true curve."""


def drawings(kind: str, halves: tuple[Half, ...]) -> list[Art]:
    """Return the drawings of a set, in the order of their digests."""
    return [art for half in halves for art in _first(SETS[kind](), half, PER_HALF[kind])]


def _first(candidates: Iterator[Candidate], half: Half, count: int) -> list[Art]:
    """Return the first `count` drawings of a half; names are looked at before drawings are built."""
    found: list[Art] = []
    for name, build in sorted(candidates, key=lambda c: digest(c[0])):
        if len(found) == count:
            break
        art = build() if half_of(name) == half else None
        if art is not None:
            found.append(art)
    return found


def _icons() -> Iterator[Candidate]:
    """Return all icons of the installed set."""
    data = resources.files("lucide").joinpath("lucide.zip").read_bytes()
    pack = zipfile.ZipFile(io.BytesIO(data))
    for entry in pack.namelist():
        if entry.endswith(".svg"):
            yield entry[:-4], lambda entry=entry: _icon(entry[:-4], pack.read(entry).decode())


def _icon(name: str, text: str) -> Art | None:
    """Return an icon 24 units wide on the page, None where it has more than plain strokes."""
    if 'fill="currentColor"' in text or "dasharray" in text:
        return None
    drawn = svgelements.SVG.parse(io.StringIO(text)).elements()
    shapes = [svgelements.Path(shape) for shape in drawn if isinstance(shape, svgelements.Shape)]
    scale = (PAGE - 2 * MARGIN) / 24
    return _placed(name, "icons", shapes, (scale, MARGIN, MARGIN), (PAGE, PAGE))


def _words() -> Iterator[Candidate]:
    """Return every word in every face that draws its letters with single strokes."""
    for face, word in product(FACES, WORDS):
        if face in JOINED and any(letter.isdigit() for letter in word):
            continue
        yield f"{face}-{word}", lambda face=face, word=word: _word(face, word)


def _word(face: str, word: str) -> Art:
    """Return a word as wide as the page allows."""
    from HersheyFonts import HersheyFonts

    font = HersheyFonts()
    font.load_default_font(face)
    strokes = [np.array(list(stroke), float) for stroke in font.strokes_for_text(word)]
    strokes = [stroke for stroke in strokes if len(stroke)]
    low, high = np.concatenate(strokes).min(axis=0), np.concatenate(strokes).max(axis=0)
    scale = (PAGE - 2 * MARGIN) / (high[0] - low[0])
    shapes = [svgelements.Path("M " + " L ".join(f"{x:g},{y:g}" for x, y in _moved(s))) for s in strokes]
    place = (scale, MARGIN - low[0] * scale, MARGIN - low[1] * scale)
    height = float((high[1] - low[1]) * scale + 2 * MARGIN)
    return _placed(f"{face}-{word}", "words", shapes, place, (PAGE, height))


def _moved(stroke: Array) -> Array:
    """Return a polyline without repeated points; a dot gets a hair of length, so that it is drawn."""
    keep = np.append(True, np.any(np.diff(stroke, axis=0) != 0, axis=1))
    stroke = stroke[keep]
    return stroke if len(stroke) > 1 else np.array([stroke[0], stroke[0] + (0.01, 0)])


def _placed(
    name: str, kind: str, shapes: list[Any], place: tuple[float, float, float], size: tuple[float, float]
) -> Art:
    """Return paths scaled and moved (scale, x, y) onto the page."""
    matrix = svgelements.Matrix(place[0], 0, 0, place[0], place[1], place[2])
    paths = []
    for shape in shapes:
        path = shape * matrix
        path.reify()
        paths.append(path.d(relative=False))
    thin, thick = PENS
    pen = thin + (thick - thin) * (digest(name + " pen") % 1000) / 999
    return Art(name, kind, tuple(paths), lines_of_paths(paths), pen, size)


def lines_of_paths(paths: Sequence[str]) -> tuple[TrueLine, ...]:
    """Return the subpaths of SVG path data as true lines."""
    parts = (part for d in paths for part in svgelements.Path(d).as_subpaths())
    lines = (_true_line(svgelements.Path(part)) for part in parts)
    return tuple(line for line in lines if line is not None)


def _true_line(path: Any) -> TrueLine | None:
    """Return a subpath as a true line, None where nothing is drawn."""
    points: list[Array] = []
    count = 0
    closed = False
    for segment in path:
        if isinstance(segment, svgelements.Move):
            points.append(_pairs([segment.end]))
            continue
        closed = closed or isinstance(segment, svgelements.Close)
        length, pieces = _measure(segment)
        if length > 1e-6:
            points.append(_along(segment, length))
            count += pieces
    if not count:
        return None
    line = np.concatenate(points)
    closed = closed or (len(line) > 3 and math.dist(line[0], line[-1]) < 1e-3)
    return TrueLine(line, closed, count)


def _measure(segment: Any) -> tuple[float, int]:
    """Return a segment's length, and how many it counts for: an arc one per started 90 degrees."""
    if isinstance(segment, svgelements.Arc):
        turn = abs(segment.sweep)
        return turn * max(segment.rx, segment.ry), max(1, math.ceil(turn / (math.pi / 2) - 1e-3))
    return float(segment.length(error=1e-3)), 1


def _along(segment: Any, length: float) -> Array:
    """Return the points of a segment after its first."""
    if isinstance(segment, svgelements.Line | svgelements.Close):
        return _pairs([segment.end])
    count = max(2, math.ceil(length / STEP))
    return np.asarray(segment.npoint(np.linspace(0, 1, count + 1)[1:]), float)


def _pairs(points: list[Any]) -> Array:
    """Return points as an array (n, 2)."""
    return np.array([(p.x, p.y) for p in points], float)


SETS = {"icons": _icons, "words": _words}
