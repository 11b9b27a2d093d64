"""The board in small, with its grooves and the numbers of the runs: page mm."""

import math

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.geometry.flatten import flatten_all
from tracer.geometry.polyline import resample_all
from tracer.model.drawing import extent
from tracer.model.plan import Plan, Run
from tracer.sheets.blocks import Block, Column
from tracer.sheets.labels import place
from tracer.sheets.marks import draw_axis
from tracer.sheets.pdf import BLACK, GREY, POINT, WHITE, Pdf

Array = NDArray[np.float64]

_SIZE = 8.0
"""Points: the numbers."""

_NAMES = 7.5
"""Points: the set-ups' names."""

_STEP = 1.5
"""mm between points of lines that numbers keep clear of."""

_DOT = 0.8

_EACH, _FEW = 70.0, 40
"""mm^2 of the picture for each run, so that all are numbered; so few are anyway.

Of more every fifth is, and the first of each depth stop.
"""

_FOOT, _FOOT_LINE = 7.0, 3.7
"""mm under the board for what is said of the picture, and for each line more of it."""

_SAID, _GRAIN = 8.5, 25.0
"""Points of what is said of the picture, and mm of the sign of the grain on its left."""

_FLAT = 0.05
"""mm on the page by which lines may be off where numbers keep clear of them."""

_EDGE = 0.4
"""mm: the board's outline."""

_LINE = (0.45, 0.45, 0.45)


def thumbnail(column: Column, plan: Plan, most: float, *, elsewhere: str = "") -> Block:
    """Return the board in small in the middle of a column, with what is said of it at most `most` mm high.

    Where its runs are numbered `elsewhere`, that is said, and it has no numbers.
    """
    x0, y0, x1, y1 = _shown(plan)
    foot = _foot_height(column, plan, elsewhere)
    scale = min((column.width - 2 * _EDGE) / (x1 - x0), max(most - foot, 10.0) / (y1 - y0))
    height = (y1 - y0) * scale
    x = column.left + (column.width - (x1 - x0) * scale) / 2

    def draw(y: float) -> None:
        matrix = affine.compose(affine.translation(x, y), affine.scaling(scale), affine.translation(-x0, -y0))
        around = _draw_board(column.pdf, plan, matrix, scale)
        most = 0 if elsewhere else _most(plan, scale)
        unplaced = _draw_numbers(column.pdf, plan, matrix, around, most=most) if most else 0
        _draw_foot(column, plan, y + height, _remarks(plan, most, unplaced, elsewhere))

    return Block(height + foot, draw)


def all_numbered(column: Column, plan: Plan, most: float) -> bool:
    """Say whether each run has its number on the board in small, at most `most` mm high in a column."""
    x0, y0, x1, y1 = _shown(plan)
    high = most - _foot_height(column, plan, "")
    return len(plan.runs) <= _most(plan, min(column.width / (x1 - x0), high / (y1 - y0)))


def _most(plan: Plan, scale: float) -> int:
    """How many runs are all numbered on the board drawn at a scale."""
    x0, y0, x1, y1 = _shown(plan)
    return max(_FEW, int((x1 - x0) * (y1 - y0) * scale**2 / _EACH))


def _shown(plan: Plan) -> tuple[float, float, float, float]:
    """Return what the picture holds (x0, y0, x1, y1), wood mm: the board, and a figure that is larger."""
    board, drawn = plan.layout.board, (*plan.cut, *plan.left_out)
    half = max((groove.width for groove in plan.grooves), default=0.0) / 2
    x0, y0, x1, y1 = extent(drawn) if drawn else (half, half, half, half)
    return min(0.0, x0 - half), min(0.0, y0 - half), max(board.width, x1 + half), max(board.height, y1 + half)


def _foot_height(column: Column, plan: Plan, elsewhere: str) -> float:
    """Return the height of what is said under the picture at its longest, mm."""
    longest = _remarks(plan, 0, len(plan.runs), elsewhere)
    return _FOOT + _FOOT_LINE * max(len(_foot_lines(column, longest)) - 1, 0)


def _foot_lines(column: Column, remarks: str) -> list[str]:
    return column.pdf.wrap(remarks, _SAID, column.width - _GRAIN)


def _draw_board(pdf: Pdf, plan: Plan, matrix: Array, scale: float) -> tuple[Array, Array]:
    """Draw board, grooves and set-ups; return points of lines (n, 2) and boxes of names (k, 4)."""
    x0, y0, x1, y1 = _edges(plan, matrix)
    pdf.box(x0, y0, x1 - x0, y1 - y0, line=_EDGE)
    for stroke in plan.left_out:
        pdf.curves(affine.apply(matrix, stroke.curves), width=0.3, colour=GREY, dash=(0.3, 1.0))
    grooves = {groove.stroke: max(0.5, groove.width * scale) for groove in plan.grooves}
    chains = [affine.apply(matrix, stroke.curves) for stroke in plan.cut]
    for stroke, curves in zip(plan.cut, chains, strict=True):
        pdf.curves(curves, width=grooves[stroke.number], colour=_LINE, closed=stroke.closed)
    points = np.concatenate([np.empty((0, 2)), *resample_all(flatten_all(chains, _FLAT), _STEP)])
    lines = np.unique(np.round(points / _STEP), axis=0) * _STEP
    return lines, _draw_windows(pdf, plan, matrix)


def _edges(plan: Plan, matrix: Array) -> tuple[float, float, float, float]:
    """Return the board's edges on the page (x0, y0, x1, y1)."""
    board = plan.layout.board
    (x0, y0), (x1, y1) = affine.apply(matrix, np.array([[0.0, 0.0], [board.width, board.height]])).tolist()
    return x0, y0, x1, y1


def _draw_windows(pdf: Pdf, plan: Plan, matrix: Array) -> Array:
    """Draw what of the board the bit reaches in each set-up, its number in the outer corner.

    Returns
    -------
    array (n, 4)
        Boxes of the numbers, x0, y0, x1, y1.
    """
    edges = np.array(_edges(plan, matrix)).reshape(2, 2)
    names = [np.empty((0, 4))]
    for number, one in enumerate(plan.set_ups):
        window = np.clip(affine.apply(matrix, np.reshape(one.window, (2, 2))), *edges)
        (x0, y0), (x1, y1) = window + np.array([[0.5], [-0.5]]) * (number % 3)
        pdf.box(x0, y0, x1 - x0, y1 - y0, line=0.35, dash=(2.4, 1.2))
        said = f"set-up {one.number}"
        size = np.array([pdf.measure(said, _NAMES, bold=True) + 1.0, 3.4])
        outer = window.mean(axis=0) > edges.mean(axis=0) + 1e-6
        left, top = np.where(outer, (x1, y1) - size - 1.2, np.array([x0, y0]) + 1.2)
        pdf.box(left, top, *size, fill=WHITE)
        pdf.text(left + 0.5, top + 2.7, said, _NAMES, bold=True)
        names.append(np.array([[left, top, left + size[0], top + size[1]]]))
    return np.concatenate(names)


def _draw_foot(column: Column, plan: Plan, y: float, remarks: str) -> None:
    """Draw the way of the grain, and what is to be said of the picture."""
    pdf, left = column.pdf, column.left
    draw_axis(
        pdf, (left + 6.0, y + 5.0), angle=math.radians(plan.layout.board.grain_deg), heads=2, length=9.0
    )
    pdf.text(left + 12.5, y + 6.0, "grain", _SAID)
    for number, line in enumerate(_foot_lines(column, remarks)):
        pdf.text(column.right, y + 6.0 + _FOOT_LINE * number, line, _SAID, anchor="right")


def _remarks(plan: Plan, most: int, unplaced: int, elsewhere: str) -> str:
    remarks = [f"{unplaced} numbers find no room here"] if unplaced else []
    if elsewhere:
        remarks.append(f"numbers of runs: {elsewhere}")
    elif len(plan.runs) > most:
        remarks.append("every 5th run numbered")
    if plan.left_out:
        remarks.append("dotted: left out")
    return "; ".join(remarks)


def _draw_numbers(pdf: Pdf, plan: Plan, matrix: Array, around: tuple[Array, Array], *, most: int) -> int:
    """Draw a dot where each run starts and a number beside it; return how many found no room.

    `around` are points of lines (n, 2) and boxes of names (k, 4).
    """
    runs = _numbered(plan.runs, most)
    starts, dots = (
        affine.apply(matrix, np.array([run.start for run in some]).reshape(-1, 2))
        for some in (runs, plan.runs)
    )
    sizes = [
        (pdf.measure(str(run.number), _SIZE, bold=True) + 0.5, _SIZE * POINT * 0.73 + 0.5) for run in runs
    ]
    busy, names = np.concatenate([around[0], dots]), around[1]
    (x0, y0), (x1, y1) = affine.apply(matrix, np.reshape(_shown(plan), (2, 2))).tolist()
    spots = place(starts, sizes, lines=busy, clear=_DOT + 0.2, room=(x0, y0, x1, y1), taken=names)
    for dot in dots:
        pdf.circle(dot, _DOT, fill=BLACK)
    found = [(run.number, start, spot) for run, start, spot in zip(runs, starts, spots, strict=True) if spot]
    for _, start, spot in found:
        if spot.leader:
            pdf.line([start, (spot.x, spot.y)], width=0.12, colour=GREY)
    for number, _, spot in found:
        left, top, right, bottom = spot.box
        pdf.box(left, top, right - left, bottom - top, fill=WHITE)
        pdf.text(spot.x, bottom - 0.25, str(number), _SIZE, bold=True, anchor="middle")
    return len(runs) - len(found)


def _numbered(runs: tuple[Run, ...], most: int) -> tuple[Run, ...]:
    """Return the runs whose numbers are shown."""
    if len(runs) <= most:
        return runs
    firsts = {run.stop: run.number for run in reversed(runs)}
    return tuple(run for run in runs if run.number % 5 == 0 or run.number == firsts[run.stop])
