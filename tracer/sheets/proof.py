"""The proof: the carving at its finished size, to lay on the board. Wood mm on paper."""

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.lengths import format_length
from tracer.model.drawing import extent
from tracer.model.plan import Plan
from tracer.sheets import joins
from tracer.sheets.assembly import Assembly, assemble, off_middles
from tracer.sheets.board_marks import BoardMarks, board_marks, draw_board, fixed_marks, line_points
from tracer.sheets.carved import light_on
from tracer.sheets.clamps import clamp_room, clamp_words
from tracer.sheets.diagonals import Diagonal, diagonal_words, diagonals_of, draw_corners
from tracer.sheets.pdf import Colour, Pdf
from tracer.sheets.preview import finest_scale
from tracer.sheets.said_names import title_of
from tracer.sheets.sheet_labels import closed_to_labels
from tracer.sheets.strip import Words, draw_strip, words_of
from tracer.sheets.tiling import Cell
from tracer.shop.linkage import Linkage

Grey = NDArray[np.uint8]

_TINT = 0.8
"""Share of the lamp's light that a groove shows on white paper, so that its bright wall is seen, too."""

_LIGHTEST = 245
"""Grey of the brightest wall: no groove is lost on the paper."""

_GHOST: Colour = (0.1, 0.25, 0.6)
_PICTURE, _BOARD, _LEFT_OUT, _SHEET = (
    "Carving as it will look",
    "Board",
    "Strokes left out",
    "Joins, bars and words of the sheet",
)
_BANNER = "PROOF at finished size, to lay on the board. NOT the template: do not trace this sheet."


def write_proof(plan: Plan, path: Path) -> None:
    """Write proof.pdf: grooves as the lamp shows them on white paper, the board's edge and its middles.

    The paper and the correction by the measured bar are the template's. The same plan
    gives the same bytes. JobError where the paper is too small.
    """
    pdf = Pdf(path, title=f"{title_of(plan)}: proof at finished size", date=plan.job.date)
    proof, scale = _as_finished(plan), finest_scale(plan)
    carving = _carving(plan, scale)
    assembly = _round_board(proof, assemble(proof))
    diagonals = diagonals_of(assembly)
    whole, words = diagonal_words(diagonals, plan.job.units), _words(plan)
    closed = np.vstack([closed_to_labels(assembly, diagonals), fixed_marks(proof)])
    board = board_marks(pdf, proof, assembly, closed, said=[clamp_words(proof, clamp_room(proof))])
    for cell in assembly.used:
        width, height = np.array(assembly.tiling.sheet) * assembly.stretch
        pdf.page(float(width), float(height), stretch=assembly.stretch)
        _draw_sheet(pdf, proof, assembly, cell, diagonals, board=board, carving=carving, px_per_mm=scale)
        with pdf.layer(_SHEET):
            draw_strip(pdf, assembly, cell, words, whole=whole)
    pdf.save()


def _as_finished(plan: Plan) -> Plan:
    """Return the plan with a template as large as the carving and the same way up, all on one board."""
    job = replace(plan.job, linkage=Linkage(1.0, None))
    return replace(plan, job=job, runs=(), set_ups=())


def _carving(plan: Plan, px_per_mm: float) -> Grey:
    """Return the board (H, W): white where the wood stays whole, the shaded grooves grey."""
    light = light_on(plan, px_per_mm)
    grey = np.full(light.cut.shape, 255, np.uint8)
    grey[light.cut] = np.minimum(255 * _TINT * light.bright[light.cut], _LIGHTEST)
    return grey


def _round_board(proof: Plan, assembly: Assembly) -> Assembly:
    """Return the sheets moved so that they show the whole board, where they are large enough for it."""
    board = proof.layout.board
    x0, y0, x1, y1 = assembly.room
    if not board.declared or x1 - x0 < board.width or y1 - y0 < board.height:
        return assembly
    shift = np.array([board.width - x0 - x1, board.height - y0 - y1]) / 2
    x, y = (float(value) for value in np.array(assembly.origin) + shift)
    middle = np.array([board.width, board.height]) / 2 - (x, y)
    free = (x1 - x0 - board.width) / 2, (y1 - y0 - board.height) / 2
    tiling = off_middles(assembly.tiling, middle, free)
    moved = replace(assembly, origin=(x, y), tiling=tiling)
    track = assembly.track
    used = moved.tiling.used(track.points - np.array(moved.origin), track.band / 2)
    return replace(moved, used=used or assembly.used)


def _words(plan: Plan) -> Words:
    """Return what the strips say."""
    x0, y0, x1, y1 = extent(plan.cut) if plan.cut else plan.layout.extent
    board, units = plan.layout.board, plan.job.units
    sides = (x0, y0, board.width - x1, board.height - y1)
    left, top, right, foot = (format_length(side, units) for side in sides)
    edges = f"board's edge to grooves' middles: left {left}, top {top}, right {right}, foot {foot}"
    left_out = "; dashed blue is left out" if plan.left_out else ""
    words = words_of(plan)
    return replace(
        words,
        ratio=f"{words.rest[0].upper()}{words.rest[1:]}; white is wood that stays{left_out}",
        trust=edges if board.declared else "board assumed",
        rest="",
        turned=False,
        banner=_BANNER,
    )


def _draw_sheet(
    pdf: Pdf,
    proof: Plan,
    assembly: Assembly,
    cell: Cell,
    diagonals: tuple[Diagonal, ...],
    *,
    board: BoardMarks,
    carving: Grey,
    px_per_mm: float,
) -> None:
    """Draw what one sheet shows of the carving."""
    margin, origin = assembly.tiling.margin, assembly.origin
    shows = (origin[0] + cell.x, origin[1] + cell.y)
    view = (*shows, shows[0] + cell.width, shows[1] + cell.height)
    with pdf.window(margin, margin, (cell.width, cell.height), shows):
        with pdf.layer(_PICTURE):
            _draw_carving(pdf, carving, px_per_mm, view)
        with pdf.layer(_LEFT_OUT):
            for stroke in proof.left_out:
                curves = affine.apply(proof.to_template, stroke.curves)
                pdf.curves(curves, width=0.25, colour=_GHOST, dash=(1.6, 1.2), closed=stroke.closed)
        with pdf.layer(_BOARD):
            draw_board(pdf, board, view)
        with pdf.layer(_SHEET):
            joins.draw_seams(pdf, assembly, cell, assembly.track.points, line_points(board))
            draw_corners(pdf, diagonals, cell)


def _draw_carving(pdf: Pdf, carving: Grey, px_per_mm: float, view: tuple[float, float, float, float]) -> None:
    """Draw the pixels of the board that a sheet shows and where anything is cut."""
    rows, columns = carving.shape
    left, top = (max(0, int(np.floor(side * px_per_mm))) for side in view[:2])
    right, low = (int(np.ceil(side * px_per_mm)) for side in view[2:])
    part = carving[top : min(low, rows), left : min(right, columns)]
    dark = part < 255
    down, across = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    if not len(down):
        return
    part = part[down[0] : down[-1] + 1, across[0] : across[-1] + 1]
    x, y = (left + across[0]) / px_per_mm, (top + down[0]) / px_per_mm
    pdf.picture(part, float(x), float(y), px_per_mm=px_per_mm)
