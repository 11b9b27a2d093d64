"""SVG files: one path a stroke, real millimetres."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.model.drawing import Drawing, Stroke, extent
from tracer.model.plan import Plan
from tracer.shop.linkage import ratio_words

Array = NDArray[np.float64]

_LINE = 0.25
"""Thickness of the lines, mm."""


@dataclass(frozen=True)
class _Frame:
    """What the file shows: from (x, y), `width` x `height`, in `unit` ("mm", or "" for pixels)."""

    x: float
    y: float
    width: float
    height: float
    unit: str


def write_template_svg(plan: Plan, path: Path) -> None:
    """Write the strokes that are cut as template.svg: template mm, turned where the linkage turns."""
    matrix = plan.to_template
    said = f"Template, mm on paper: {ratio_words(plan.job.ratio)}."
    _write_plan(plan, path, matrix, ("template", said))


def write_carving_svg(plan: Plan, path: Path) -> None:
    """Write the strokes that are cut as carving.svg: wood mm.

    Times 1 / ratio its numbers are those of the template (where the linkage does not turn).
    """
    said = "Carving, mm on the board, from its top left."
    _write_plan(plan, path, affine.scaling(1.0), ("carving", said))


def write_strokes_svg(drawing: Drawing, path: Path) -> None:
    """Write all strokes of a drawing: in the art's own mm where its scale is known, else in pixels."""
    scale = drawing.mm_per_px or 1.0
    unit = "mm" if drawing.mm_per_px else ""
    width, height = (side * scale for side in drawing.size_px)
    strokes = [stroke.transformed(affine.scaling(scale)) for stroke in drawing.strokes]
    said = f"Strokes of {drawing.name}, {unit or 'pixels'}; scale: {drawing.scale_source}."
    frame = _Frame(0.0, 0.0, width, height, unit)
    _save(path, frame, (drawing.name, said), ("strokes", _paths(strokes, {}), _LINE if unit else 1.0))


def _write_plan(plan: Plan, path: Path, matrix: Array, called: tuple[str, str]) -> None:
    """Write the kept strokes mapped by `matrix`, the whole board showing."""
    group, said = called
    strokes = [stroke.transformed(matrix) for stroke in plan.cut]
    stops = {groove.stroke: groove.stop for groove in plan.grooves} if len(plan.stops) > 1 else {}
    scale = affine.scale_of(matrix)
    x0, y0, x1, y1 = extent(tuple(strokes))
    edge = max((groove.width for groove in plan.grooves), default=0.0) * scale / 2
    right = max(plan.layout.board.width * scale, x1 + edge)
    bottom = max(plan.layout.board.height * scale, y1 + edge)
    left, top = min(0.0, x0 - edge), min(0.0, y0 - edge)
    frame = _Frame(left, top, right - left, bottom - top, "mm")
    said = f"{said} {len(strokes)} strokes, {len(plan.left_out)} left out; {plan.job.date.isoformat()}."
    _save(path, frame, (plan.job.name, said), (group, _paths(strokes, stops), _LINE))


def _paths(strokes: Iterable[Stroke], stops: Mapping[int, int]) -> list[str]:
    """Return a path element a stroke, its classes its kind and, where `stops` has it, its depth stop.

    A dot is a curve of no length, which round ends show. The widths that the art has there are
    data-widths, so that the file can be read again as the same strokes.
    """
    return [
        f'    <path id="stroke-{stroke.number}" class="{stroke.kind}'
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
    data, here = [], None
    for start, *rest in (stroke.curves + 0.0).tolist():  # no negative zeros
        if start != here:
            data.append(f"M {start[0]},{start[1]}")
        (a, b), (c, d), (x, y) = rest
        data.append(f"C {a},{b} {c},{d} {x},{y}")
        here = rest[-1]
    return " ".join([*data, "Z"] if stroke.closed else data)


def _save(path: Path, frame: _Frame, called: tuple[str, str], drawn: tuple[str, list[str], float]) -> None:
    """Write the file: UTF-8, title and description, one group."""
    group, paths, line = drawn
    size = f'width="{frame.width:.9g}{frame.unit}" height="{frame.height:.9g}{frame.unit}"'
    title, said = (escape(_allowed(words)) for words in called)
    view = " ".join(f"{number:.9g}" for number in (frame.x, frame.y, frame.width, frame.height))
    pen = f'fill="none" stroke="black" stroke-width="{line:g}" stroke-linecap="round" stroke-linejoin="round"'
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{view}" data-strokes="{group}">',
        f"  <title>{title}</title>",
        f"  <desc>{said}</desc>",
        f'  <g id="{group}" {pen}>',
        *paths,
        "  </g>",
        "</svg>",
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def _allowed(words: str) -> str:
    """Return the text on one line with "?" for what XML 1.0 cannot hold (control letters, half pairs)."""
    line = " ".join(words.split())
    return "".join(
        c if c >= " " and not "\ud800" <= c <= "\udfff" and c not in "\ufffe\uffff" else "?" for c in line
    )
