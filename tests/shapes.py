"""Named sample drawings, built from geometry and model alone; everything is our own.

`drawing_of(name)` gives a Drawing in art pixels (y down), `layout_of(...)` lays one on
a board. `NAMES` lists all names; a word in capitals, such as "EMMA", is lettered.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine, bezier
from tracer.geometry.joints import find_joints
from tracer.job import Job
from tracer.model.drawing import Drawing, Joint, Kind, Stroke, extent
from tracer.model.layout import Board, Layout, Piece

Array = NDArray[np.float64]

_KAPPA = 4 / 3 * math.tan(math.pi / 8)
"""Handle length of a quarter circle's cubic; radius right to 0.03 % (Stone & DeRose 1989; from memory)."""


@dataclass(frozen=True, eq=False)
class Part:
    """What becomes a stroke: `curves` (n, 4, 2), art pixels."""

    curves: Array
    closed: bool = False
    kind: Kind = "line"
    width: float | None = None


def line(*points: tuple[float, float], width: float | None = None) -> Part:
    """A polyline through `points`, closed where the last is the first."""
    array = np.array(points, float)
    return Part(bezier.from_polyline(array), closed=points[0] == points[-1], width=width)


def arc(centre: tuple[float, float], radius: float, start_deg: float, end_deg: float, **more: object) -> Part:
    """A circular arc from `start_deg` to `end_deg` (0 right, 90 down); closed where 360 deg long."""
    count = max(1, math.ceil(abs(end_deg - start_deg) / 90))
    angles = np.radians(np.linspace(start_deg, end_deg, count + 1))
    ends = np.column_stack([np.cos(angles), np.sin(angles)]) * radius
    if abs(end_deg - start_deg) == 360:
        ends[-1] = ends[0]
    along = np.column_stack([-ends[:, 1], ends[:, 0]]) * (4 / 3 * math.tan((angles[1] - angles[0]) / 4))
    curves = np.stack([ends[:-1], ends[:-1] + along[:-1], ends[1:] - along[1:], ends[1:]], axis=1)
    width = more.get("width")
    return Part(
        curves + np.array(centre, float),
        closed=abs(end_deg - start_deg) == 360,
        width=width if isinstance(width, float) else None,
    )


def ring(centre: tuple[float, float], radius: float, width: float | None = None) -> Part:
    """A circle, starting at its right."""
    return arc(centre, radius, 0, 360, width=width)


def dot(x: float, y: float, width: float | None = None) -> Part:
    """A dot."""
    return Part(bezier.dot(np.array([x, y])), kind="dot", width=width)


# Letters in a cell 80 wide and 100 high, the baseline at y = 100.
LETTERS: dict[str, tuple[Part, ...]] = {
    "A": (line((0, 100), (40, 0), (80, 100)), line((16, 60), (64, 60))),
    "B": (
        line((0, 100), (0, 0)),
        line((0, 0), (50, 0), (65, 20), (50, 40), (0, 50)),
        line((0, 50), (50, 60), (75, 80), (55, 100), (0, 100)),
    ),
    "E": (line((70, 0), (0, 0), (0, 100), (70, 100)), line((0, 50), (55, 50))),
    "H": (line((0, 0), (0, 100)), line((70, 0), (70, 100)), line((0, 50), (70, 50))),
    "I": (line((10, 0), (10, 100)),),
    "L": (line((0, 0), (0, 100), (60, 100)),),
    "M": (line((0, 100), (0, 0), (40, 60), (80, 0), (80, 100)),),
    "N": (line((0, 100), (0, 0), (70, 100), (70, 0)),),
    "O": (ring((40, 50), 40),),
    "R": (
        line((0, 100), (0, 0)),
        line((0, 0), (50, 0), (65, 25), (50, 50), (0, 50)),
        line((0, 50), (70, 100)),
    ),
    "S": (
        Part(
            np.concatenate([arc((40, 25), 25, -20, -270).curves, arc((40, 75), 25, -90, 160).curves]),
        ),
    ),
    "T": (line((0, 0), (80, 0)), line((40, 0), (40, 100))),
    "V": (line((0, 0), (40, 100), (80, 0)),),
    "W": (line((0, 0), (20, 100), (40, 30), (60, 100), (80, 0)),),
    "X": (line((0, 0), (70, 100)), line((70, 0), (0, 100))),
    "Z": (line((0, 0), (70, 0), (0, 100), (70, 100)),),
    "i": (line((10, 40), (10, 100)), dot(10, 10)),
    "8": (
        Part(
            np.concatenate([arc((40, 25), 25, 90, 450).curves, arc((40, 75), 25, -90, -450).curves]),
            closed=True,
        ),
    ),
}


def word(text: str, advance: float = 120.0) -> list[Part]:
    """Letters side by side."""
    return [
        Part(part.curves + np.array([index * advance + 50, 50]), part.closed, part.kind, part.width)
        for index, letter in enumerate(text)
        for part in LETTERS[letter]
    ]


def wheel(width: float | None = None) -> list[Part]:
    """A rim and four spokes that meet at the hub."""
    centre = (150.0, 150.0)
    spokes = [
        line(centre, (150 + 100 * math.cos(a), 150 + 100 * math.sin(a)), width=width)
        for a in np.radians([45, 135, 225, 315])
    ]
    return [ring(centre, 100, width), *spokes]


def nested_rings() -> list[Part]:
    """Three rings about one centre, 40 px apart, 6 px wide."""
    return [ring((150, 150), radius, 6.0) for radius in (120, 80, 40)]


def close_lines() -> list[Part]:
    """Five upright lines 12 px apart, 4 px wide."""
    return [line((50 + 12 * i, 50), (50 + 12 * i, 250), width=4.0) for i in range(5)]


def whiskers() -> list[Part]:
    """A round nose and five whiskers to either side, 8 px apart at their roots, two of them hair-fine."""
    parts = [ring((300, 200), 40, 6.0)]
    for side in (-1, 1):
        for i in range(5):
            y = 184 + 8 * i
            far = (300 + side * 220.0, 200 + (i - 2) * 50.0)
            parts.append(line((300 + side * 60.0, float(y)), far, width=1.5 if i in (1, 3) else 6.0))
    return parts


def face() -> list[Part]:
    """A face: head, ears that meet it, eyes (a dot in a ring), nose, mouth, hair-fine lashes."""
    parts = [ring((300, 300), 200, 6.0)]
    for side in (-1, 1):
        foot, top = 300 + side * 200 * math.cos(math.radians(50)), 300 - 200 * math.sin(math.radians(50))
        inner = (300 + side * 200 * math.cos(math.radians(75)), 300 - 200 * math.sin(math.radians(75)))
        parts.append(line((foot, top), (300 + side * 150.0, 40.0), inner, width=6.0))
        eye = 300 + side * 70.0
        parts += [ring((eye, 250), 35, 5.0), dot(eye, 255, 12.0)]
        parts.append(line((eye + side * 30, 225.0), (eye + side * 42, 205.0), width=1.2))
    parts.append(line((280, 320), (300, 345), (320, 320), width=5.0))
    parts.append(arc((300, 330), 90, 30, 150, width=6.0))
    return parts


def grid() -> list[Part]:
    """Four lines across and four down, 60 px apart, 5 px wide."""
    across = [line((20, 60 + 60 * i), (280, 60 + 60 * i), width=5.0) for i in range(4)]
    return across + [line((60 + 60 * i, 20), (60 + 60 * i, 280), width=5.0) for i in range(4)]


def spiral() -> list[Part]:
    """Four turns, 30 px apart, 5 px wide."""
    angle = np.linspace(0, 8 * math.pi, 400)
    radius = 20 + 30 * angle / (2 * math.pi)
    points = np.column_stack([200 + radius * np.cos(angle), 200 + radius * np.sin(angle)])
    return [Part(bezier.from_polyline(points), width=5.0)]


_PICTURES: dict[str, Callable[[], list[Part]]] = {
    "nothing": list,
    "ring": lambda: [ring((150, 150), 100, 6.0)],
    "nested rings": nested_rings,
    "wheel": lambda: wheel(6.0),
    "close lines": close_lines,
    "whiskers": whiskers,
    "face": face,
    "grid": grid,
    "spiral": spiral,
    "hair line": lambda: [line((20, 20), (220, 120), width=1.0)],
    "dots": lambda: [dot(50, 50, 8.0), dot(150, 50, 8.0), dot(100, 120, 3.0)],
}

NAMES = (*_PICTURES, *LETTERS, "EMMA", "OLIVER")


def drawing_from(parts: Sequence[Part], name: str = "sample") -> Drawing:
    """Number the parts from 1 and find their joints (within 0.5 px)."""
    strokes = tuple(
        Stroke(
            number=number,
            curves=part.curves,
            closed=part.closed,
            kind=part.kind,
            widths=None if part.width is None else np.array([part.width]),
        )
        for number, part in enumerate(parts, start=1)
    )
    joints = tuple(
        Joint(np.array(meeting.point), tuple((index + 1, t) for index, t in meeting.members))
        for meeting in find_joints([(part.curves, part.closed) for part in parts], 0.5)
    )
    _, _, right, bottom = extent(strokes)
    widths = [stroke.width for stroke in strokes if stroke.width is not None and stroke.kind == "line"]
    return Drawing(
        strokes=strokes,
        joints=joints,
        size_px=(math.ceil(right) + 50, math.ceil(bottom) + 50),
        line_width=float(np.median(widths)) if widths else 0.0,
        name=name,
    )


def drawing_of(name: str) -> Drawing:
    """The sample called `name`; any other text is lettered from LETTERS."""
    return drawing_from(_PICTURES[name]() if name in _PICTURES else word(name), name)


def layout_of(drawing: Drawing, *, width_mm: float = 200.0, job: Job | None = None) -> Layout:
    """Lay `drawing` on a board, `width_mm` wide between outermost stroke middles (a flat one: that high).

    Without a board in the job, one that fits round the grooves and the margin is assumed.
    """
    job = job or Job()
    x0, y0, x1, y1 = drawing.bounds
    scale = width_mm / ((x1 - x0) or (y1 - y0) or 1.0)
    edge = job.margin + job.groove / 2
    width, height, thickness = job.board or (
        (x1 - x0) * scale + 2 * edge,
        (y1 - y0) * scale + 2 * edge,
        job.thickness,
    )
    left, top = (width - (x1 - x0) * scale) / 2, (height - (y1 - y0) * scale) / 2
    matrix = affine.compose(
        affine.translation(left, top), affine.scaling(scale), affine.translation(-x0, -y0)
    )
    board = Board(width, height, thickness, job.wood.name, job.grain_deg, declared=job.board is not None)
    return Layout(board, (Piece(drawing, matrix, drawing.name),))
