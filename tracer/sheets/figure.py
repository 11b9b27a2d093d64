"""One piece's picture in the report: art, grooves, numbered strokes, and a mark for each finding."""

import base64
import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine, polyline
from tracer.model.drawing import Stroke
from tracer.model.finding import Finding
from tracer.model.plan import Plan
from tracer.sheets.labels import Spot, place

if TYPE_CHECKING:
    from PIL import Image

Array = NDArray[np.float64]

WIDTH = 240.0
"""Width of a figure in its own units: about the mm it has on a printed page."""

MARK = 4.2
"""Radius of a finding's mark, in figure units."""

_NUMBER, _DIGIT = 3.0, 1.9  # height of a stroke's number and width of a digit, figure units
_CLEAR = 1.2  # figure units kept free round what a label belongs to
_TOLERANCE = 0.1
_MOST_MENDS = 200


@dataclass(frozen=True)
class Line:
    """A stroke in a figure: `path` is SVG path data, `band` its groove's width, 0 for a dropped one."""

    number: int
    path: str
    dot: bool
    band: float


@dataclass(frozen=True)
class Label:
    """A number at a place: `spot` says where, (x, y) what it belongs to."""

    number: int
    x: float
    y: float
    spot: Spot
    severity: str = ""


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
    lines : all strokes; numbers : their labels; marks : the findings'.
    mends : (x, y) of what the clean-up changed, at most 200.
    """

    number: int
    name: str
    height: float
    picture: str
    art: tuple[float, float, float, float]
    lines: tuple[Line, ...]
    numbers: tuple[Label, ...]
    marks: tuple[Label, ...]
    mends: tuple[tuple[float, float], ...]

    @property
    def severities(self) -> set[str]:
        """Severities that occur among the marks."""
        return {mark.severity for mark in self.marks}


def figures(plan: Plan, pictures: Mapping[int, str]) -> tuple[Figure, ...]:
    """Return a figure for each piece; `pictures` holds data URIs of art by piece, counted from 0."""
    homes = [_home(plan, finding) for finding in plan.findings]
    return tuple(
        _figure(plan, index, pictures.get(index, ""), [n for n, home in enumerate(homes) if home == index])
        for index in range(len(plan.layout.pieces))
    )


def picture_uri(data: bytes, *, most: int) -> str:
    """Return a picture as a data URI of at most about `most` bytes: on white, smaller until it fits."""
    from PIL import Image

    with Image.open(io.BytesIO(data)) as opened:
        upright = opened.convert("RGBA")
    image = Image.new("RGB", upright.size, "white")
    image.paste(upright, mask=upright.getchannel("A"))
    side = 1400
    while True:
        image.thumbnail((side, side), Image.Resampling.LANCZOS)
        uri = jpeg_uri(image, quality=72)
        if len(uri) <= most or side < 300:
            return uri
        side = int(side * 0.8)


def jpeg_uri(image: "Image.Image", *, quality: int) -> str:
    """Return an image as a data URI of a JPEG."""
    file = io.BytesIO()
    image.save(file, "JPEG", quality=quality, optimize=True)
    return "data:image/jpeg;base64," + base64.b64encode(file.getvalue()).decode("ascii")


def _home(plan: Plan, finding: Finding) -> int | None:
    """Return the piece that a finding is shown on: its first stroke's, else the nearest; None for none."""
    if finding.where is None:
        return None
    pieces = plan.layout.pieces
    for stroke in finding.strokes:
        for index in reversed(range(len(pieces))):
            if stroke > plan.layout.offsets[index]:
                return index
    middles = [affine.apply(p.matrix, np.array(p.drawing.size_px) / 2) for p in pieces]
    return int(np.argmin([np.hypot(*(middle - finding.where)) for middle in middles])) if pieces else None


def _figure(plan: Plan, index: int, picture: str, findings: list[int]) -> Figure:
    piece, offset = plan.layout.pieces[index], plan.layout.offsets[index]
    view = _view(plan, index, whole_art=bool(picture))
    scale = WIDTH / (view[2] - view[0])
    fit = affine.compose(affine.scaling(scale), affine.translation(-view[0], -view[1]))
    per_mm = scale / affine.scale_of(piece.matrix)
    bands = {groove.stroke: groove.width * per_mm for groove in plan.grooves}
    strokes = [s.transformed(fit, number=s.number + offset) for s in piece.drawing.strokes]
    height = (view[3] - view[1]) * scale
    places = affine.apply(affine.compose(fit, _inverse(piece.matrix)), _places(plan, findings))
    marks, numbers = _labels(plan, findings, strokes, places=places, height=height)
    art = affine.apply(fit, np.array([[0.0, 0.0], piece.drawing.size_px]))
    return Figure(
        number=index + 1,
        name=piece.name,
        height=height,
        picture=picture,
        art=(float(art[0, 0]), float(art[0, 1]), float(art[1, 0] - art[0, 0]), float(art[1, 1] - art[0, 1])),
        lines=tuple(_line(stroke, bands.get(stroke.number, 0.0)) for stroke in strokes),
        numbers=numbers,
        marks=marks,
        mends=_mends(plan, index, fit),
    )


def _view(plan: Plan, index: int, *, whole_art: bool) -> tuple[float, float, float, float]:
    """Return what a figure shows of the art, (x0, y0, x1, y1) in pixels: all, or the strokes and a margin."""
    drawing = plan.layout.pieces[index].drawing
    if whole_art or not drawing.strokes:
        return 0.0, 0.0, float(drawing.size_px[0]), float(drawing.size_px[1])
    x0, y0, x1, y1 = drawing.bounds
    margin = 0.06 * max(x1 - x0, y1 - y0, 1.0)
    return x0 - margin, y0 - margin, x1 + margin, y1 + margin


def _line(stroke: Stroke, band: float) -> Line:
    first = stroke.curves[0, 0]
    steps = " ".join("C" + " ".join(f"{value:.2f}" for value in cubic[1:].ravel()) for cubic in stroke.curves)
    path = f"M{first[0]:.2f} {first[1]:.2f} {steps}"
    return Line(stroke.number, path, stroke.kind == "dot", band)


def _labels(
    plan: Plan, findings: list[int], strokes: list[Stroke], *, places: Array, height: float
) -> tuple[tuple[Label, ...], tuple[Label, ...]]:
    """Return the marks of `findings`, which lie at `places` (n, 2), and the strokes' numbers."""
    shapes = [polyline.resample(stroke.points(_TOLERANCE), 0.8) for stroke in strokes]
    middles = np.array([shape[len(shape) // 2] for shape in shapes]).reshape(-1, 2)
    anchors = np.concatenate([places, middles])
    sizes = [(2 * MARK, 2 * MARK)] * len(findings)
    sizes += [(_DIGIT * len(str(stroke.number)), _NUMBER) for stroke in strokes]
    lines, room = np.concatenate([np.empty((0, 2)), *shapes]), (0.0, 0.0, WIDTH, height)
    spots = place(anchors, sizes, lines=lines, clear=_CLEAR, room=room)
    whose: list[tuple[int, str]] = [(n + 1, plan.findings[n].severity) for n in findings]
    whose += [(stroke.number, "") for stroke in strokes]
    labels = tuple(
        Label(number, float(x), float(y), spot, severity)
        for (number, severity), (x, y), spot in zip(whose, anchors, spots, strict=True)
    )
    return labels[: len(findings)], labels[len(findings) :]


def _places(plan: Plan, findings: list[int]) -> Array:
    """Return where (n, 2) the findings are, wood mm."""
    return np.array([plan.findings[number].where for number in findings], float).reshape(-1, 2)


def _mends(plan: Plan, index: int, fit: affine.Affine) -> tuple[tuple[float, float], ...]:
    mends = plan.layout.pieces[index].drawing.mends[:_MOST_MENDS]
    points = affine.apply(fit, np.array([(mend.x, mend.y) for mend in mends], float).reshape(-1, 2))
    return tuple((float(x), float(y)) for x, y in points)


def _inverse(matrix: affine.Affine) -> affine.Affine:
    linear = np.linalg.inv(matrix[:, :2])
    return np.column_stack([linear, -linear @ matrix[:, 2]])
