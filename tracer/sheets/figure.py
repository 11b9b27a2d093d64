"""One piece's picture in the report: art, grooves, numbered strokes, and a mark for each finding."""

import base64
import io
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine, polyline
from tracer.geometry.flatten import flatten_all
from tracer.model.drawing import Stroke
from tracer.model.plan import Plan
from tracer.sheets.figure_runs import FigureRun, figure_runs
from tracer.sheets.path_data import path_data
from tracer.sheets.pieces import chosen, home_of_strokes
from tracer.sheets.spread import around, spread

if TYPE_CHECKING:
    from PIL import Image

Array = NDArray[np.float64]

WIDTH = 240.0
"""Width of a figure in its own units: about the mm it has on a printed page."""

MARK = 4.2
"""Radius of a finding's mark, in figure units."""

_NUMBERS = (1.9, 3.2)  # least and most height of a stroke's number, figure units: many strokes, small numbers
_DIGIT = 0.62  # width of a digit, times its height
_MARK_RINGS = (6.0, 8.0, 10.5, 14.0, 19.0, 26.0)  # figure units from a finding's place to its mark
_TOLERANCE = 0.1
_LEAST_BREAK = 0.9  # radius at least of a mark for wood that breaks out, figure units


@dataclass(frozen=True)
class Line:
    """A stroke in a figure: `path` is SVG path data, `band` its groove's width, 0 for one left out.

    `stop` is its depth stop, 0 for one left out; `chosen` says that the user left it out.
    """

    number: int
    path: str
    dot: bool
    band: float
    stop: int
    chosen: bool


@dataclass(frozen=True)
class Label:
    """A number whose middle is at (x, y) and belongs to the point (to_x, to_y); findings' have a severity."""

    number: int
    x: float
    y: float
    to_x: float
    to_y: float
    severity: str = ""


@dataclass(frozen=True)
class Break:
    """Standing wood that will break out: island `number`, a circle about (x, y) as wide as it, or visible."""

    number: int
    x: float
    y: float
    radius: float


@dataclass(frozen=True)
class Figure:
    """What the page draws for one piece, in figure units (x right, y down).

    Attributes
    ----------
    number : of the piece, from 1.
    name : of its art.
    height : of the figure; its width is `WIDTH`.
    picture : data URI of the art, "" where none was given.
    art : (x, y, width, height) of the art in the figure.
    lines : all strokes; numbers : their labels, `number_size` high; marks : the findings'.
    gaps : (x, y) of the gaps that the clean-up closed.
    breaks : standing wood that will break out.
    """

    number: int
    name: str
    height: float
    picture: str
    art: tuple[float, float, float, float]
    lines: tuple[Line, ...]
    numbers: tuple[Label, ...]
    number_size: float
    marks: tuple[Label, ...]
    gaps: tuple[tuple[float, float], ...]
    breaks: tuple[Break, ...]
    runs: tuple[FigureRun, ...]

    @property
    def severities(self) -> set[str]:
        """Severities that occur among the marks."""
        return {mark.severity for mark in self.marks}

    @property
    def by_stop(self) -> list[tuple[int, list[Line]]]:
        """The lines that are cut, by their depth stop."""
        cut = [line for line in self.lines if line.band]
        stops = sorted({line.stop for line in cut})
        return [(stop, [line for line in cut if line.stop == stop]) for stop in stops]

    @property
    def gone(self) -> set[str]:
        """Why strokes are left out: "lost" to the bit, or "chosen" by the user."""
        return {"chosen" if line.chosen else "lost" for line in self.lines if not line.band}


def figures(plan: Plan, pictures: Mapping[int, str]) -> tuple[Figure, ...]:
    """Return a figure for each piece; `pictures` holds data URIs of art by piece, counted from 0."""
    strokes = home_of_strokes(plan)
    findings = [_home(plan, finding.where, finding.strokes, strokes) for finding in plan.findings]
    islands = [
        _home(plan, island.where, island.enclosed_by, strokes) if island.breaks else None
        for island in plan.islands
    ]
    return tuple(
        _figure(plan, index, pictures.get(index, ""), _Content(strokes, findings, islands))
        for index in range(len(plan.layout.pieces))
    )


@dataclass(frozen=True)
class _Content:
    """The piece that each stroke (by number), finding and island that breaks out (in order) is shown on."""

    strokes: Mapping[int, int]
    findings: Sequence[int | None]
    islands: Sequence[int | None]


def on_white(data: bytes) -> "Image.Image":
    """Return the picture in `data`, in any format that Pillow reads, with white where it is transparent."""
    from PIL import Image

    with Image.open(io.BytesIO(data)) as opened:
        if opened.mode in ("L", "RGB") and "transparency" not in opened.info:
            return opened.convert("RGB")
        layer = opened.convert("RGBA")
    image = Image.new("RGB", layer.size, "white")
    image.paste(layer, mask=layer.getchannel("A"))
    return image


def image_uri(image: "Image.Image", *, side: int, most: int) -> str:
    """Return a picture as a data URI: at most `side` pixels long and about `most` bytes."""
    while True:
        file = io.BytesIO()
        small = image.copy()
        small.thumbnail((side, side))
        small.save(file, "JPEG", quality=76, optimize=True)
        uri = "data:image/jpeg;base64," + base64.b64encode(file.getvalue()).decode("ascii")
        if len(uri) <= most or side < 200:
            return uri
        side = int(side * 0.8)


def _home(
    plan: Plan, where: tuple[float, float] | None, strokes: Iterable[int], homes: Mapping[int, int]
) -> int | None:
    """Return the piece that a place is shown on: its first stroke's, else the nearest; None for none."""
    if where is None:
        return None
    known = [homes[stroke] for stroke in strokes if stroke in homes]
    if known:
        return known[0]
    pieces = plan.layout.pieces
    middles = [affine.apply(p.matrix, np.array(p.drawing.size_px) / 2) for p in pieces]
    return int(np.argmin([np.hypot(*(middle - where)) for middle in middles])) if pieces else None


def _figure(plan: Plan, index: int, picture: str, content: _Content) -> Figure:
    piece = plan.layout.pieces[index]
    view = _view(plan, index, whole_art=bool(picture))
    scale = WIDTH / (view[2] - view[0])
    fit = affine.compose(affine.scaling(scale), affine.translation(-view[0], -view[1]))
    from_wood = affine.compose(fit, _inverse(piece.matrix))
    strokes = [s.transformed(from_wood) for s in plan.strokes if content.strokes.get(s.number) == index]
    findings = [n for n, home in enumerate(content.findings) if home == index]
    height = (view[3] - view[1]) * scale
    places = affine.apply(from_wood, _places(plan, findings))
    size = float(np.clip(40 / math.sqrt(max(1, len(strokes))), *_NUMBERS))
    marks, numbers = _labels(plan, findings, strokes, places=places, height=height, size=size)
    art = affine.apply(fit, np.array([[0.0, 0.0], piece.drawing.size_px]))
    return Figure(
        number=index + 1,
        name=piece.name,
        height=height,
        picture=picture,
        art=(float(art[0, 0]), float(art[0, 1]), float(art[1, 0] - art[0, 0]), float(art[1, 1] - art[0, 1])),
        lines=_lines(plan, strokes, affine.scale_of(from_wood)),
        numbers=numbers,
        number_size=size,
        marks=marks,
        gaps=_gaps(plan, index, fit),
        breaks=_breaks(plan, [n for n, home in enumerate(content.islands) if home == index], from_wood),
        runs=figure_runs(plan, content.strokes, index, from_wood, (WIDTH, height)),
    )


def _view(plan: Plan, index: int, *, whole_art: bool) -> tuple[float, float, float, float]:
    """Return what a figure shows of the art, (x0, y0, x1, y1) in pixels: all, or the strokes and a margin."""
    drawing = plan.layout.pieces[index].drawing
    if whole_art or not drawing.strokes:
        return 0.0, 0.0, float(drawing.size_px[0]), float(drawing.size_px[1])
    x0, y0, x1, y1 = drawing.bounds
    margin = 0.06 * max(x1 - x0, y1 - y0, 1.0)
    return x0 - margin, y0 - margin, x1 + margin, y1 + margin


def _lines(plan: Plan, strokes: Iterable[Stroke], per_mm: float) -> tuple[Line, ...]:
    """Return the strokes, in figure units, as they are drawn."""
    grooves = {groove.stroke: groove for groove in plan.grooves}
    unwanted = chosen(plan)
    lines = []
    for stroke in strokes:
        groove = grooves.get(stroke.number)
        lines.append(
            Line(
                number=stroke.number,
                path=path_data(stroke.curves),
                dot=stroke.kind == "dot",
                band=groove.width * per_mm if groove else 0.0,
                stop=groove.stop if groove else 0,
                chosen=stroke.number in unwanted,
            )
        )
    return tuple(lines)


def _breaks(plan: Plan, islands: Iterable[int], from_wood: affine.Affine) -> tuple[Break, ...]:
    """Return the marks of the islands with these indices."""
    half = affine.scale_of(from_wood) / 2
    marks = []
    for island in (plan.islands[index] for index in islands):
        x, y = affine.apply(from_wood, np.array(island.where))
        marks.append(Break(island.number, float(x), float(y), max(_LEAST_BREAK, half * island.widest)))
    return tuple(marks)


def _labels(
    plan: Plan, findings: list[int], strokes: list[Stroke], *, places: Array, height: float, size: float
) -> tuple[tuple[Label, ...], tuple[Label, ...]]:
    """Return the marks of `findings`, which lie at `places` (n, 2), and the strokes' numbers."""
    flat = flatten_all([stroke.curves for stroke in strokes], _TOLERANCE)
    shapes = polyline.resample_all(flat, 0.5)
    choices = [around(place, _MARK_RINGS, 16) for place in places]
    choices += [_beside(shape, 0.4 + 0.9 * size) for shape in shapes]
    sizes = [(2 * MARK, 2 * MARK)] * len(findings)
    sizes += [(_DIGIT * size * len(str(stroke.number)), size) for stroke in strokes]
    lines = np.concatenate([np.empty((0, 2)), *shapes])
    middles = spread(choices, sizes, lines=lines, room=(WIDTH, height))
    ends = np.concatenate([places, np.array([shape[len(shape) // 2] for shape in shapes]).reshape(-1, 2)])
    whose: list[tuple[int, str]] = [(n + 1, plan.findings[n].severity) for n in findings]
    whose += [(stroke.number, "") for stroke in strokes]
    labels = tuple(
        Label(number, float(middle[0]), float(middle[1]), float(end[0]), float(end[1]), severity)
        for (number, severity), middle, end in zip(whose, middles, ends, strict=True)
    )
    return labels[: len(findings)], labels[len(findings) :]


def _beside(shape: Array, away: float) -> Array:
    """Return places (k, 2) for a stroke's number: `away` from its middle, then from nearer its ends."""
    spots = shape[[int(share * (len(shape) - 1)) for share in (0.5, 0.35, 0.65, 0.2, 0.8)]]
    return np.concatenate([around(spot, (away,), 8) for spot in spots])


def _places(plan: Plan, findings: list[int]) -> Array:
    """Return where (n, 2) the findings are, wood mm."""
    return np.array([plan.findings[number].where for number in findings], float).reshape(-1, 2)


def _gaps(plan: Plan, index: int, fit: affine.Affine) -> tuple[tuple[float, float], ...]:
    mends = [mend for mend in plan.layout.pieces[index].drawing.mends if mend.kind == "gap closed"]
    points = affine.apply(fit, np.array([(mend.x, mend.y) for mend in mends], float).reshape(-1, 2))
    return tuple((float(x), float(y)) for x, y in points)


def _inverse(matrix: affine.Affine) -> affine.Affine:
    linear = np.linalg.inv(matrix[:, :2])
    return np.column_stack([linear, -linear @ matrix[:, 2]])
