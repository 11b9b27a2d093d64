"""The layers of our SVG files beside the strokes: board, letters, grooves, starts, set-ups, left-out.

Each is a group that says data-aside: what is in it is there to be looked at, and is no stroke when
the file is read again.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.model.plan import Plan
from tracer.sheets.letter_marks import letter_marks
from tracer.sheets.vector_text import allowed

Array = NDArray[np.float64]

_BAND, _BOARD, _GONE = "#dddddd", "#4d4d4d", "#999999"
_DOT, _NUMBER, _CROSS, _TICK = 1.3, 3.6, 5.0, (3.0, -5.0)
"""mm on the template: radius of a run's start, height of its number, a cross's arm, an origin's tick."""


@dataclass(frozen=True)
class Layer:
    """A group: its name, what it shows in a few words, attributes, and what is in it, line by line."""

    name: str
    title: str
    looks: str
    inside: Sequence[str]
    aside: bool = True

    def lines(self, indent: str = "  ") -> Iterator[str]:
        """Yield the group as lines of the file, nothing where nothing is in it."""
        if not self.inside:
            return
        aside = ' data-aside="yes"' if self.aside else ""
        yield f'{indent}<g id="{escape(self.name)}"{aside} {self.looks}>'
        yield f"{indent}  <title>{escape(self.title)}</title>"
        yield from (f"{indent}  {line}" for line in self.inside)
        yield f"{indent}</g>"


def layers_below(plan: Plan, matrix: Array) -> tuple[Layer, ...]:
    """Return what lies under the strokes: the board where its size was said, letters' origins, grooves."""
    return _board(plan, matrix), _letters(plan, matrix), _grooves(plan, affine.scale_of(matrix))


def layers_above(plan: Plan, matrix: Array, strokes: Sequence[str]) -> tuple[Layer, ...]:
    """Return what lies over them: starts of runs, set-ups, and, hidden, the `strokes` that are left out."""
    looks = f'fill="none" stroke="{_GONE}" stroke-width="0.25" stroke-linecap="round" display="none"'
    gone = Layer("left-out", "strokes that are not cut; hidden until they are switched on", looks, strokes)
    return _starts(plan, matrix), _set_ups(plan, matrix), gone


def _board(plan: Plan, matrix: Array) -> Layer:
    """The board's edge and its middle lines; nothing where its size was not said."""
    board = plan.layout.board
    corners = affine.apply(matrix, np.array([[0.0, 0.0], [board.width, board.height]]))
    (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    middles = f"M {x:.6g},{y0:.6g} V {y1:.6g} M {x0:.6g},{y:.6g} H {x1:.6g}"
    inside = [
        f'<rect x="{x0:.6g}" y="{y0:.6g}" width="{x1 - x0:.6g}" height="{y1 - y0:.6g}"/>',
        f'<path d="{middles}" stroke-dasharray="7 1.5 1 1.5"/>',
    ]
    looks = f'fill="none" stroke="{_BOARD}" stroke-width="0.25"'
    return Layer("board", "edge of the board and its middle lines", looks, inside if board.declared else ())


def _letters(plan: Plan, matrix: Array) -> Layer:
    """Each letter's stretch of baseline, with a tick at its origin."""
    back = np.linalg.inv(plan.to_template[:, :2])
    inside = []
    for mark in letter_marks(plan):
        ends = np.array([mark.at(0.0, up) for up in _TICK])
        line, tick = (
            affine.apply(matrix, (points - plan.to_template[:, 2]) @ back.T)
            for points in (mark.baseline, ends)
        )
        inside.append(
            f'<path d="{_lines(line)} {_lines(tick)}"><title>{escape(allowed(mark.name))}</title></path>'
        )
    looks = f'fill="none" stroke="{_GONE}" stroke-width="0.12"'
    return Layer("letters", "baselines, and where each letter starts", looks, inside)


def _set_ups(plan: Plan, matrix: Array) -> Layer:
    """What the bit reaches with the board in each of its positions, and the register marks."""
    inside = []
    for one in plan.set_ups:
        x0, y0, x1, y1 = one.window
        corners = affine.apply(matrix, np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]))
        inside.append(f'<path d="{_lines(corners)} Z"><title>set-up {one.number}</title></path>')
    for x, y in sorted({mark for one in plan.set_ups for mark in one.marks}):
        arm = _CROSS * plan.job.ratio
        cross = np.array([[x - arm, y], [x + arm, y], [x, y - arm], [x, y + arm]])
        across, down = np.split(affine.apply(matrix, cross), 2)
        inside.append(f'<path d="{_lines(across)} {_lines(down)}"/>')
    looks = f'fill="none" stroke="{_BOARD}" stroke-width="0.2"'
    return Layer("set-ups", "what is reached in each set-up, and register marks", looks, inside)


def _lines(points: Array) -> str:
    """Return the data of straight lines through points (n, 2)."""
    return "M " + " L ".join(f"{x:.6g},{y:.6g}" for x, y in points.tolist())


def _grooves(plan: Plan, scale: float) -> Layer:
    """Each stroke once more, as wide as its groove, as a copy of the path in the strokes' layer."""
    looks = f'fill="none" stroke="{_BAND}" stroke-linecap="round" stroke-linejoin="round"'
    inside = [
        f'<use href="#stroke-{groove.stroke}" stroke-width="{groove.width * scale:.6g}"/>'
        for groove in plan.grooves
    ]
    return Layer("grooves", "width of each groove at the wood's face", looks, inside)


def _starts(plan: Plan, matrix: Array) -> Layer:
    """A dot with its number where each run starts."""
    size = affine.scale_of(matrix) * plan.job.ratio
    radius, inside = _DOT * size, []
    for run in plan.runs:
        x, y = affine.apply(matrix, run.start[None])[0].tolist()
        inside += [
            f'<circle cx="{x:.6g}" cy="{y:.6g}" r="{radius:.4g}"/>',
            f'<text x="{x + 1.4 * radius:.6g}" y="{y - 1.4 * radius:.6g}">{run.number}</text>',
        ]
    looks = f'fill="black" font-family="sans-serif" font-size="{_NUMBER * size:.4g}"'
    return Layer("starts", "where each run starts, with its number", looks, inside)
