"""The template: true-scale sheets to lay under the stylus."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.model.plan import Plan
from tracer.sheets import joins, marks
from tracer.sheets.assembly import Assembly, assemblies
from tracer.sheets.island_names import Name, draw_name, island_names
from tracer.sheets.labels import Spot, place
from tracer.sheets.letter_marks import LetterMark, draw_letter_marks, letter_marks, letter_names
from tracer.sheets.pdf import GREY, Pdf
from tracer.sheets.said_names import title_of
from tracer.sheets.strip import draw_strip, words_of
from tracer.sheets.tiling import Cell
from tracer.sheets.track import Box, Track, Way

Array = NDArray[np.float64]

_FROM_END = 14.0
"""Template mm from a centre line's far end to its name; the words of a seam mostly stand at the near end."""


@dataclass(frozen=True)
class Labels:
    """What is written on all sheets: places of the runs' numbers, islands' names, letters and their names."""

    runs: tuple[Spot | None, ...]
    islands: tuple[Name, ...]
    letters: tuple[LetterMark, ...]
    letter_names: tuple[Spot | None, ...]


def write_template(plan: Plan, path: Path) -> None:
    """Write template.pdf: wood / ratio on the job's paper, corrected by the measured bar.

    The sheets of each set-up follow those of the one before. The same plan gives the
    same bytes. JobError where the paper is too small.
    """
    pdf = Pdf(path, title=f"{title_of(plan)}: template", date=plan.job.date)
    words = words_of(plan)
    for assembly in assemblies(plan):
        labels = _labels(pdf, plan, assembly)
        for cell in assembly.used:
            width, height = np.array(assembly.tiling.sheet) * assembly.stretch
            pdf.page(float(width), float(height), stretch=assembly.stretch)
            _draw_sheet(pdf, plan, assembly, cell, labels)
            draw_strip(pdf, assembly, cell, words)
    pdf.save()


def _labels(pdf: Pdf, plan: Plan, assembly: Assembly) -> Labels:
    """Return what is written on the sheets of one assembly, and where."""
    spots = number_places(pdf, assembly)
    names = island_names(pdf, plan, assembly.track, spots)
    letters = letter_marks(plan)
    taken = (*spots, *(name.spot for name in names))
    return Labels(spots, names, letters, letter_names(pdf, letters, assembly.track, taken))


def _draw_sheet(pdf: Pdf, plan: Plan, assembly: Assembly, cell: Cell, labels: Labels) -> None:
    """Draw what one sheet shows of the template."""
    margin, origin = assembly.tiling.margin, assembly.origin
    shows = (origin[0] + cell.x, origin[1] + cell.y)
    view = (*shows, shows[0] + cell.width, shows[1] + cell.height)
    track = assembly.track
    with pdf.window(margin, margin, (cell.width, cell.height), shows):
        lines = [line for line in track.lines if _meet(line.box, view)]
        for line in lines:
            marks.draw_band(pdf, line)
        _draw_board(pdf, plan, view)
        draw_letter_marks(pdf, labels.letters, labels.letter_names)
        for line in lines:
            marks.draw_line(pdf, line)
        for name in labels.islands:
            if _meet(name.spot.box, view):
                draw_name(pdf, name)
        draw_ways(pdf, track.ways, view)
        draw_numbers(pdf, track.ways, labels.runs, view)
        for seam in joins.seams_of(assembly, cell):
            joins.draw_seam(pdf, seam, track.points)
        if not lines:
            pdf.text(
                shows[0] + 10, shows[1] + 20, "No line holds this bit: nothing to follow.", 14.0, bold=True
            )


def draw_ways(pdf: Pdf, ways: tuple[Way, ...], view: Box) -> None:
    """Draw dashes where a run goes back, its arrows and its ends."""
    for way in ways:
        for points in way.again:
            if _meet((*points.min(axis=0), *points.max(axis=0)), view):
                marks.draw_again(pdf, points)
        for points in way.hops:
            if _meet((*points.min(axis=0), *points.max(axis=0)), view):
                marks.draw_hop(pdf, points)
        for arrow in way.arrows:
            if _meet((*arrow[:2], *arrow[:2]), view):
                marks.draw_arrow(pdf, arrow)
    for way in ways:
        if _meet((*way.end, *way.end), view):
            marks.draw_lift(pdf, way.end)
    for way in ways:
        if _meet((*way.start, *way.start), view):
            marks.draw_start(pdf, way.start, way.stop)


def number_places(pdf: Pdf, assembly: Assembly) -> tuple[Spot | None, ...]:
    """Return the places for the runs' numbers, one for all sheets."""
    return run_numbers(pdf, assembly.track, assembly.room)


def run_numbers(pdf: Pdf, track: Track, room: Box) -> tuple[Spot | None, ...]:
    """Return the places for a track's runs' numbers in a room."""
    ways = track.ways
    starts = np.array([way.start for way in ways]).reshape(-1, 2)
    sizes = [marks.number_size(pdf, way.number) for way in ways]
    return place(starts, sizes, lines=_busy(track), clear=marks.RING + 0.4, room=room)


def _busy(track: Track) -> Array:
    """Return points (m, 2) that a number should not cover: lines, arrows, and dashes."""
    arrows = [np.repeat(way.arrows[:, :2], 3, axis=0) for way in track.ways]
    dashes = (points for way in track.ways for points in (*way.again, *way.hops))
    return np.concatenate([track.points, *arrows, *dashes])


def draw_numbers(pdf: Pdf, ways: tuple[Way, ...], spots: tuple[Spot | None, ...], view: Box) -> None:
    """Write each run's number, tied to its dot where it stands far off."""
    found = [(way, spot) for way, spot in zip(ways, spots, strict=True) if spot is not None]
    for way, spot in found:
        if spot.leader:
            pdf.line([way.start, (spot.x, spot.y)], width=0.15, colour=GREY)
    for way, spot in found:
        if _meet(spot.box, view):
            marks.draw_number(pdf, way.number, spot.box)


def _draw_board(pdf: Pdf, plan: Plan, view: Box) -> None:
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


def _meet(one: Box, other: Box) -> bool:
    """Say whether two boxes touch, marks at their edges included."""
    reach = 3.0
    apart_x = one[2] < other[0] - reach or one[0] > other[2] + reach
    return not (apart_x or one[3] < other[1] - reach or one[1] > other[3] + reach)
