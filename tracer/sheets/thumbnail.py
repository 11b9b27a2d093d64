"""The board in small, with its grooves and the numbers of the runs: page mm."""

import math

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.geometry.flatten import flatten
from tracer.model.plan import Plan, Run
from tracer.sheets.labels import place
from tracer.sheets.marks import draw_axis
from tracer.sheets.pdf import BLACK, GREY, POINT, WHITE, Pdf

Array = NDArray[np.float64]

_SIZE = 8.0
"""Points: the numbers."""

_DOT = 0.8

_MOST = 60
"""Runs that are all numbered; of more every fifth is, and the first of each depth stop."""

_LINE = (0.45, 0.45, 0.45)


def draw_thumbnail(pdf: Pdf, plan: Plan, x: float, y: float, *, room: tuple[float, float]) -> float:
    """Draw the board within `room` (width, height) from (x, y); return the height used."""
    board = plan.layout.board
    foot = 7.0
    scale = min(room[0] / board.width, (room[1] - foot) / board.height)
    width, height = board.width * scale, board.height * scale
    left, right = x, x + room[0]
    x += (room[0] - width) / 2
    matrix = affine.compose(affine.translation(x, y), affine.scaling(scale))
    pdf.box(x, y, width, height, line=0.4)
    for stroke in plan.left_out:
        pdf.curves(affine.apply(matrix, stroke.curves), width=0.3, colour=GREY, dash=(0.3, 1.0))
    grooves = {groove.stroke: max(0.5, groove.width * scale) for groove in plan.grooves}
    points = [np.empty((0, 2))]
    for stroke in plan.cut:
        curves = affine.apply(matrix, stroke.curves)
        pdf.curves(curves, width=grooves[stroke.number], colour=_LINE, closed=stroke.closed)
        points.append(flatten(curves, 0.05))
    unplaced = _draw_numbers(pdf, plan, matrix, np.concatenate(points))
    draw_axis(pdf, (left + 6.0, y + height + 5.0), angle=math.radians(board.grain_deg), heads=2, length=9.0)
    pdf.text(left + 12.5, y + height + 6.0, "grain", 8.0)
    remarks = ["dotted: left out"] if plan.left_out else []
    if len(plan.runs) > _MOST:
        remarks.insert(0, "every 5th run numbered")
    if unplaced:
        remarks.insert(0, f"{unplaced} numbers find no room here")
    said = pdf.fit("; ".join(remarks), 8.0, room[0] - 25.0)
    pdf.text(right, y + height + 6.0, said, 8.0, anchor="right")
    return height + foot


def _draw_numbers(pdf: Pdf, plan: Plan, matrix: Array, lines: Array) -> int:
    """Draw a dot where each run starts and a number beside it; return how many found no room."""
    runs = _numbered(plan.runs)
    starts, dots = (
        affine.apply(matrix, np.array([run.start for run in some]).reshape(-1, 2))
        for some in (runs, plan.runs)
    )
    sizes = [
        (pdf.measure(str(run.number), _SIZE, bold=True) + 0.5, _SIZE * POINT * 0.73 + 0.5) for run in runs
    ]
    board = plan.layout.board
    (x0, y0), (x1, y1) = affine.apply(matrix, np.array([[0.0, 0.0], [board.width, board.height]]))
    busy = np.concatenate([lines, dots])
    spots = place(starts, sizes, lines=busy, clear=_DOT + 0.2, room=(x0, y0, x1, y1))
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


def _numbered(runs: tuple[Run, ...]) -> tuple[Run, ...]:
    """Return the runs whose numbers are shown."""
    if len(runs) <= _MOST:
        return runs
    firsts = {run.stop: run.number for run in reversed(runs)}
    return tuple(run for run in runs if run.number % 5 == 0 or run.number == firsts[run.stop])
