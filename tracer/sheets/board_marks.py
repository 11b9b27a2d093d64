"""The board on the template: its edge and its middle lines. Template mm."""

import numpy as np

from tracer.geometry import affine
from tracer.model.plan import Plan
from tracer.sheets import marks
from tracer.sheets.pdf import Pdf
from tracer.sheets.track import Box

_FROM_END = 14.0
"""Template mm from a centre line's far end to its name; the words of a seam mostly stand at the near end."""


def draw_board(pdf: Pdf, plan: Plan, view: Box) -> None:
    """Draw the board's centre lines, and its edge where the user has said its size."""
    board = plan.layout.board
    corners = np.array([[0, 0], [board.width, 0], [board.width, board.height], [0, board.height]], float)
    outline = affine.apply(plan.to_template, corners)
    (x0, y0), (x1, y1) = outline.min(axis=0), outline.max(axis=0)
    middle, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
    for line in ([(middle, y0), (middle, y1)], [(x0, middle_y), (x1, middle_y)]):
        pdf.line(line, width=0.15, colour=marks.BOARD, dash=marks.CHAIN)
    words = "middle of the board" if board.declared else "middle"
    if view[0] < middle < view[2]:
        y = min(view[3], y1) - _FROM_END
        pdf.text(middle + 2.2, y, words, 6.0, angle_deg=90.0, colour=marks.BOARD)
    if view[1] < middle_y < view[3]:
        x = min(view[2], x1) - _FROM_END
        pdf.text(x, middle_y + 2.4, words, 6.0, anchor="right", colour=marks.BOARD)
    if board.declared:
        _draw_edge(pdf, (float(x0), float(y0), float(x1), float(y1)), view)


def _draw_edge(pdf: Pdf, edge: Box, view: Box) -> None:
    """Draw the board's edge, and say so on each side of it that the view shows."""
    x0, y0, x1, y1 = edge
    pdf.box(x0, y0, x1 - x0, y1 - y0, line=0.3, colour=marks.BOARD, dash=(4.0, 2.0))
    for y, shift in ((y0, 2.6), (y1, -1.0)):
        if view[1] < y < view[3]:
            pdf.text(max(x0, view[0]) + 4.0, y + shift, "edge of the board", 6.5, colour=marks.BOARD)
    for x, shift in ((x0, 2.6), (x1, -1.0)):
        if view[0] < x < view[2]:
            y = min(y1, view[3]) - 4.0
            pdf.text(x + shift, y, "edge of the board", 6.5, angle_deg=90.0, colour=marks.BOARD)
