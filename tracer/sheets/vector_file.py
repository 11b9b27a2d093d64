"""SVG files: one path a stroke, real millimetres, in layers with plain names."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.model.drawing import Drawing, Stroke, extent
from tracer.model.plan import Plan
from tracer.sheets.vector_layers import Layer, layers_above, layers_below
from tracer.sheets.vector_text import allowed
from tracer.shop.linkage import ratio_words

Array = NDArray[np.float64]

_LINE = 0.25
"""Thickness of the lines, mm."""

_RDF, _DC = "http://www.w3.org/1999/02/22-rdf-syntax-ns#", "http://purl.org/dc/elements/1.1/"
"""The W3C's form for facts about a thing, and the Dublin Core's words for title, date, source and rights."""


@dataclass(frozen=True)
class _Frame:
    """What the file shows: from (x, y), `width` x `height`, in `unit` ("mm", or "" for pixels)."""

    x: float
    y: float
    width: float
    height: float
    unit: str


@dataclass(frozen=True)
class _Facts:
    """What the file says of itself: `kind` of file, title, a sentence or two, and named facts."""

    kind: str
    title: str
    said: str
    attributes: Mapping[str, str]
    terms: Mapping[str, str]


def write_template_svg(plan: Plan, path: Path) -> None:
    """Write the strokes that are cut as template.svg: template mm, turned where the linkage turns."""
    said = f"Template, mm on paper: {ratio_words(plan.job.ratio)}."
    _write_plan(plan, path, plan.to_template, kind="template", said=said)


def write_carving_svg(plan: Plan, path: Path) -> None:
    """Write the strokes that are cut as carving.svg: wood mm.

    Times 1 / ratio its numbers are those of the template (where the linkage does not turn).
    """
    said = "Carving, mm on the board, from its top left."
    _write_plan(plan, path, affine.scaling(1.0), kind="carving", said=said)


def write_strokes_svg(drawing: Drawing, path: Path) -> None:
    """Write all strokes of a drawing: in the art's own mm where its scale is known, else in pixels."""
    scale = drawing.mm_per_px or 1.0
    unit = "mm" if drawing.mm_per_px else ""
    width, height = (side * scale for side in drawing.size_px)
    strokes = [stroke.transformed(affine.scaling(scale)) for stroke in drawing.strokes]
    said = f"Strokes of {drawing.name}, {unit or 'pixels'}; scale: {drawing.scale_source}."
    facts = _Facts("strokes", drawing.name, said, {"units": unit or "px"}, {"title": drawing.name})
    layer = _strokes_layer(_paths(strokes, {}), line=_LINE if unit else 1.0)
    _save(path, _Frame(0.0, 0.0, width, height, unit), facts, [layer])


def _write_plan(plan: Plan, path: Path, matrix: Array, *, kind: str, said: str) -> None:
    """Write the strokes that are cut mapped by `matrix`, layer upon layer, the whole board showing."""
    job = plan.job
    strokes = [stroke.transformed(matrix) for stroke in plan.cut]
    gone = [stroke.transformed(matrix) for stroke in plan.left_out]
    said = f"{said} {len(strokes)} strokes, {len(gone)} left out; {job.date.isoformat()}."
    named = {"ratio": f"{job.ratio:.9g}", "units": "mm", "date": job.date.isoformat()}
    terms = {"title": job.name, "date": job.date.isoformat(), "description": said}
    terms |= {"source": job.art_from, "rights": job.allowed_by}
    layers = [
        *layers_below(plan, matrix),
        _strokes_layer(_by_stop(plan, strokes), line=_LINE),
        *layers_above(plan, matrix, _paths(gone, {}, name="left-out")),
    ]
    facts = _Facts(kind, job.name, said, named, {key: said for key, said in terms.items() if said})
    _save(path, _frame(plan, strokes, affine.scale_of(matrix)), facts, layers)


def _frame(plan: Plan, strokes: Sequence[Stroke], scale: float) -> _Frame:
    """Return a frame in which the whole board shows, and all grooves."""
    x0, y0, x1, y1 = extent(tuple(strokes))
    edge = max((groove.width for groove in plan.grooves), default=0.0) * scale / 2
    right = max(plan.layout.board.width * scale, x1 + edge)
    bottom = max(plan.layout.board.height * scale, y1 + edge)
    left, top = min(0.0, x0 - edge), min(0.0, y0 - edge)
    return _Frame(left, top, right - left, bottom - top, "mm")


def _strokes_layer(inside: Sequence[str], *, line: float) -> Layer:
    """Return the layer of what is followed, which is there even where nothing is."""
    looks = (
        f'fill="none" stroke="black" stroke-width="{line:g}" stroke-linecap="round" stroke-linejoin="round"'
    )
    return Layer("strokes", "lines to follow", looks, inside or ["<!-- none -->"], aside=False)


def _by_stop(plan: Plan, strokes: Sequence[Stroke]) -> list[str]:
    """Return the paths; with several depth stops those of each in a group of its own."""
    stops = {groove.stroke: groove.stop for groove in plan.grooves}
    if len(plan.stops) < 2:
        return _paths(strokes, {})
    lines: list[str] = []
    for stop in plan.stops:
        own = [stroke for stroke in strokes if stops[stroke.number] == stop.number]
        title = f"depth stop {stop.number}: {stop.depth:.2f} mm deep, grooves {stop.width:.2f} mm wide"
        looks = f'data-depth-mm="{stop.depth:.6g}" data-groove-mm="{stop.width:.6g}"'
        layer = Layer(f"stop-{stop.number}", title, looks, _paths(own, stops), aside=False)
        lines += layer.lines("")
    return lines


def _paths(strokes: Iterable[Stroke], stops: Mapping[int, int], *, name: str = "stroke") -> list[str]:
    """Return a path element a stroke, its classes its kind and, where `stops` has it, its depth stop.

    A dot is a curve of no length, which round ends show. The widths that the art has there are
    data-widths, so that the file can be read again as the same strokes.
    """
    return [
        f'<path id="{name}-{stroke.number}" class="{stroke.kind}'
        f'{f" stop-{stops[stroke.number]}" if stroke.number in stops else ""}"{_widths(stroke)}'
        f' d="{_path_data(stroke)}"/>'
        for stroke in strokes
    ]


def _widths(stroke: Stroke) -> str:
    """Return the attribute that holds a stroke's drawn widths, in the file's unit, evenly along it."""
    if stroke.widths is None:
        return ""
    return f' data-widths="{" ".join(f"{width:.6g}" for width in stroke.widths)}"'


def _path_data(stroke: Stroke) -> str:
    """Return the path data of a stroke with every digit of its numbers."""
    places = [f"{x},{y}" for x, y in (stroke.curves.reshape(-1, 2) + 0.0).tolist()]  # no negative zeros
    cubics = [f"C {' '.join(places[k + 1 : k + 4])}" for k in range(0, len(places), 4)]
    return " ".join([f"M {places[0]}", *cubics, *(["Z"] if stroke.closed else [])])


def _save(path: Path, frame: _Frame, facts: _Facts, layers: Sequence[Layer]) -> None:
    """Write the file: UTF-8, what it says of itself, its layers from the lowest up."""
    size = f'width="{frame.width:.9g}{frame.unit}" height="{frame.height:.9g}{frame.unit}"'
    view = " ".join(f"{number:.9g}" for number in (frame.x, frame.y, frame.width, frame.height))
    named = {"strokes": facts.kind, **facts.attributes}
    data = " ".join(f'data-{key}="{escape(value)}"' for key, value in named.items())
    terms = [f"        <dc:{key}>{escape(allowed(said))}</dc:{key}>" for key, said in facts.terms.items()]
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{view}" {data}>',
        f"  <title>{escape(allowed(facts.title))}</title>",
        f"  <desc>{escape(allowed(facts.said))}</desc>",
        "  <metadata>",
        f'    <rdf:RDF xmlns:rdf="{_RDF}" xmlns:dc="{_DC}">',
        '      <rdf:Description rdf:about="">',
        *terms,
        "      </rdf:Description>",
        "    </rdf:RDF>",
        "  </metadata>",
        *(line for layer in layers for line in layer.lines()),
        "</svg>",
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
