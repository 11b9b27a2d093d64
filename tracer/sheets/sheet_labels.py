"""What is written all over the sheets of one template, and where. Template mm."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tracer.model.plan import Plan
from tracer.sheets.assembly import Assembly
from tracer.sheets.board_marks import BoardMarks, board_marks, board_words, fixed_marks
from tracer.sheets.diagonals import Diagonal
from tracer.sheets.island_names import (
    IslandMarks,
    draw_break,
    draw_name,
    draw_tie,
    island_marks,
    taken_by_marks,
)
from tracer.sheets.joins import CROSS, SEAM, seams_of
from tracer.sheets.labels import Spot
from tracer.sheets.legend import Legend
from tracer.sheets.letter_marks import LetterMark, letter_marks, letter_names
from tracer.sheets.pdf import Pdf
from tracer.sheets.run_marks import draw_numbers, marks_taken, meet, run_numbers, within
from tracer.sheets.set_up_marks import Mark, boxes_of, draw_marks, marks_of, words_places
from tracer.sheets.track import Box, Track

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Labels:
    """Places of the runs' numbers, islands' names, letters and their names: the same for all sheets.

    `set_up` are the signs that the sheets of one of several set-ups have beside, `set_up_words` the
    places of their words.
    """

    runs: tuple[Spot | None, ...]
    islands: IslandMarks
    letters: tuple[LetterMark, ...]
    letter_names: tuple[Spot | None, ...]
    set_up: tuple[Mark, ...]
    set_up_words: tuple[Spot | None, ...]
    board: BoardMarks


def labels_of(pdf: Pdf, plan: Plan, assembly: Assembly, diagonals: Sequence[Diagonal] = ()) -> Labels:
    """Find places for all that is written on the sheets of a plan, off the corner marks of `diagonals`."""
    track = assembly.track
    closed = np.vstack([closed_to_labels(assembly, diagonals), fixed_marks(plan)])
    signs = marks_of(plan, assembly.set_up)
    words = words_places(pdf, assembly, signs, np.vstack([closed, marks_taken(track)]))
    closed = np.vstack([closed, boxes_of(signs, words)])
    runs = run_numbers(pdf, track, assembly.room, closed)
    islands = island_marks(pdf, plan, assembly, runs, closed)
    letters = letter_marks(plan)
    taken = taken_by_marks(track, (*runs, *(name.spot for name in islands.names)))
    names = letter_names(pdf, letters, track, np.vstack([taken, closed]))
    named = np.array([spot.box for spot in names if spot]).reshape(-1, 4)
    taken = np.vstack([taken, closed, named])
    board = board_marks(pdf, plan, assembly, taken, said=board_words(plan, assembly))
    return Labels(runs, islands, letters, names, signs, words, board)


def closed_to_labels(assembly: Assembly, diagonals: Sequence[Diagonal] = ()) -> Array:
    """Return the boxes (n, 4) where no label may stand: on corner marks, along seams, or off all sheets."""
    origin = np.array(assembly.origin * 2)
    left_out = [assembly.tiling.trimmed(one) for one in assembly.tiling.cells if one not in assembly.used]
    seams = [seam for cell in assembly.used for seam in seams_of(assembly, cell) if not seam.cut]
    boxes = [np.array(left_out).reshape(-1, 4) + origin]
    boxes += [np.concatenate([seam.start - SEAM, seam.end + SEAM])[None] for seam in seams]
    boxes += [np.hstack([seam.crosses - CROSS, seam.crosses + CROSS]) for seam in seams]
    corners = [corner.point for one in diagonals for corner in (one.start, one.end)]
    boxes += [np.concatenate([point - CROSS, point + CROSS])[None] for point in corners]
    return np.concatenate(boxes)


def legend_here(legend: Legend, labels: Labels, track: Track, view: Box) -> Legend:
    """Return a template's legend without dots and islands that a view (x0, y0, x1, y1) does not show."""
    broken = any(meet((*at, *at), view) for at in labels.islands.signs)
    named = [name for name in labels.islands.names if within(name.spot.box, view)]
    return replace(
        legend,
        dots=any(line.dot and meet(line.box, view) for line in track.lines),
        islands=any(not name.breaks for name in named),
        breaks=broken or any(name.breaks for name in named),
    )


def draw_labels(pdf: Pdf, assembly: Assembly, labels: Labels, view: Box) -> None:
    """Write the islands' names and the runs' numbers that a view (x0, y0, x1, y1) shows."""
    for name in labels.islands.names:
        draw_tie(pdf, name)
    for name in labels.islands.names:
        if within(name.spot.box, view):
            draw_name(pdf, name)
    for x, y in labels.islands.signs:
        if meet((x, y, x, y), view):
            draw_break(pdf, (x, y))
    draw_numbers(pdf, assembly.track.ways, labels.runs, view)
    draw_marks(pdf, labels.set_up, labels.set_up_words, view)
