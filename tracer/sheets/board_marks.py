"""The board on the template: its edges, middle lines and datum, and where clamps may stand. Template mm."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.model.plan import Plan
from tracer.sheets import marks
from tracer.sheets.assembly import Assembly, assemble
from tracer.sheets.clamps import clamp_room, clamp_words
from tracer.sheets.datum import datum_words
from tracer.sheets.free_room import FreeRoom
from tracer.sheets.pdf import POINT, WHITE, Pdf
from tracer.sheets.run_marks import within
from tracer.sheets.track import Box

Array = NDArray[np.float64]

CROSSING = 3.5
"""mm each way that the mark on the crossing of the middle lines takes."""

_LINE = 1.25  # times its size that a line of the note takes
_BESIDE = 0.7  # mm between a line and the words along it
_OFF = 1.0  # mm that words keep off the bands
_DATUM = 6.0  # mm: radius of the datum's sign
_WITH_WORD = np.array([22.0, 8.0])  # mm: room of the datum's sign and word
_STEP = 6.0  # mm between places tried
_WIDTHS = (95.0, 75.0, 58.0, 130.0, 170.0)  # mm: widths of a note that are tried, the handiest first


Note = tuple[list[str], Box]


@dataclass(frozen=True)
class Along:
    """Words along a line: the box (x0, y0, x1, y1) that they fill, and whether they read upwards."""

    words: str
    box: Box
    upwards: bool


@dataclass(frozen=True, eq=False)
class BoardMarks:
    """What the sheets show of the board.

    Attributes
    ----------
    edge : of the board (x0, y0, x1, y1).
    declared : its size was said, so its edge is drawn.
    datum : the corner that all distances are measured from: the board's top left.
    along : words along its edges and middle lines.
    rings, hatching : where clamps may stand, (n, 2) each and (m, 2, 2).
    notes : lines of words, and the place (x0, y0, x1, y1) that they take.
    unsaid : sentences that no sheet has room for.
    """

    edge: Box
    declared: bool
    datum: Array
    along: tuple[Along, ...]
    rings: tuple[Array, ...]
    hatching: Array
    notes: tuple[Note, ...]
    unsaid: tuple[str, ...]


def board_edge(plan: Plan) -> Box:
    """Return the edge of the board (x0, y0, x1, y1)."""
    board = plan.layout.board
    corners = affine.apply(plan.to_template, np.array([[0.0, 0.0], [board.width, board.height]]))
    (x0, y0), (x1, y1) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    return x0, y0, x1, y1


def crossing(plan: Plan) -> Array:
    """Return where the middle lines cross (2,)."""
    x0, y0, x1, y1 = board_edge(plan)
    return np.array([(x0 + x1) / 2, (y0 + y1) / 2])


def fixed_marks(plan: Plan) -> Array:
    """Return the boxes (n, 4) of the datum with its word and of the ringed crossing."""
    middle = crossing(plan)
    boxes = [np.array([middle - CROSSING, middle + CROSSING])]
    if plan.layout.board.declared:
        datum = affine.apply(plan.to_template, np.zeros(2))
        boxes.append(np.sort([datum, datum + np.sign(middle - datum) * _WITH_WORD], axis=0))
    return np.array(boxes).reshape(-1, 4)


def board_marks(pdf: Pdf, plan: Plan, assembly: Assembly, taken: Array, *, said: Sequence[str]) -> BoardMarks:
    """Find places for the words about the board, clear of lines and of the boxes `taken` (n, 4).

    `said` are the sentences of the note; where no sheet has room for it whole each stands by itself.
    """
    edge, matrix = board_edge(plan), plan.to_template
    clamps = clamp_room(plan)
    free = FreeRoom(assembly.room, assembly.track.busy, taken)
    off = assembly.track.band / 2 + _OFF
    views = [_trimmed(assembly, index) for index in range(len(assembly.used))]
    along = tuple(_along(pdf, plan, views, free, off))
    whole = _note(pdf, said, views, free, off)
    single = {} if whole else {words: _note(pdf, [words], views, free, off) for words in said}
    return BoardMarks(
        edge=edge,
        declared=plan.layout.board.declared,
        datum=affine.apply(matrix, np.zeros(2)),
        along=along,
        rings=tuple(affine.apply(matrix, ring) for ring in clamps.rings),
        hatching=affine.apply(matrix, clamps.hatching.reshape(-1, 2)).reshape(-1, 2, 2),
        notes=tuple(note for note in (whole, *single.values()) if note is not None),
        unsaid=tuple(words for words, note in single.items() if note is None),
    )


def board_words(plan: Plan, assembly: Assembly | None = None) -> tuple[str, ...]:
    """Say how the sheets are laid to the board, where their figure lies, and where clamps may stand.

    `assembly` are the sheets, by default those of the whole template.
    """
    said = []
    if plan.job.linkage.turned:
        said.append("The copy comes out turned half round: the board's top lies at the foot of these sheets.")
    said += datum_words(plan, assembly or assemble(plan))
    said.append(clamp_words(plan, clamp_room(plan)))
    return tuple(said)


def _trimmed(assembly: Assembly, index: int) -> Box:
    """Return what a printed sheet alone shows (x0, y0, x1, y1)."""
    x0, y0, x1, y1 = assembly.tiling.trimmed(assembly.used[index])
    x, y = assembly.origin
    return x0 + x, y0 + y, x1 + x, y1 + y


def _lines(plan: Plan) -> Iterable[tuple[str, float, bool]]:
    """Yield the words of each line of the board, its place, and whether it is upright."""
    x0, y0, x1, y1 = board_edge(plan)
    middle, middle_y = crossing(plan).tolist()
    declared, turned = plan.layout.board.declared, plan.job.linkage.turned
    words = "middle of the board" if declared else "middle"
    yield words, middle, True
    yield words, middle_y, False
    if declared:
        sides = ("right", "bottom", "left", "top") if turned else ("left", "top", "right", "bottom")
        for side, place, upright in zip(sides, (x0, y0, x1, y1), (True, False) * 2, strict=True):
            yield f"{side} edge of the board", place, upright


def _along(pdf: Pdf, plan: Plan, views: Sequence[Box], free: FreeRoom, off: float) -> Iterable[Along]:
    """Yield words along each line of the board on each sheet that shows it, where there is room."""
    edge = board_edge(plan)
    for words, place, upright in _lines(plan):
        size = np.array([pdf.measure(words, marks.WORK_SIZE) + 1.0, marks.WORK_SIZE * POINT])
        for view in views:
            boxes = _beside(place, size, upright=upright, within=_meeting(view, edge))
            box = free.first_clear(boxes, off) if len(boxes) else None
            if box is not None:
                yield Along(words, (*box.tolist(),), upright)


def _meeting(one: Box, other: Box) -> Box:
    """Return what two boxes have in common; its ends are the wrong way round where that is nothing."""
    return max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])


def _beside(place: float, size: Array, *, upright: bool, within: Box) -> Array:
    """Return boxes (n, 4) of words along both sides of a line, from the ends of what is seen inwards."""
    x0, y0, x1, y1 = within
    across, first, last = ((x0, x1), y0, y1) if upright else ((y0, y1), x0, x1)
    long, high = size
    if not across[0] <= place <= across[1] or last - first < long + 2 * _STEP:
        return np.empty((0, 4))
    starts = np.arange(first + _STEP, last - long - _STEP / 2, _STEP / 2)
    starts = starts[np.argsort(np.minimum(starts - first, last - long - starts), kind="stable")]
    sides = np.array([place + _BESIDE, place - _BESIDE - high])
    start, side = np.repeat(starts, 2), np.tile(sides, len(starts))
    inside = (side >= across[0]) & (side + high <= across[1])
    boxes = np.column_stack([start, side, start + long, side + high])[inside]
    turned: Array = boxes[:, [1, 0, 3, 2]] if upright else boxes
    return turned


def _note(
    pdf: Pdf, said: Sequence[str], views: Sequence[Box], free: FreeRoom, off: float
) -> Note | None:
    """Find the first sheet with room for a note."""
    for view in views:
        for width in _WIDTHS:
            lines = [line for words in said for line in pdf.wrap(words, marks.WORK_SIZE, width)]
            size = np.array([width, len(lines) * _LINE * marks.WORK_SIZE * POINT]) + 2.0
            box = free.first_clear(_everywhere(view, size), off)
            if box is not None:
                return lines, (*box.tolist(),)
    return None


def _everywhere(view: Box, size: Array) -> Array:
    """Return boxes (n, 4) of a size all over a view, from the bottom left upwards."""
    x0, y0, x1, y1 = view
    xs, ys = np.arange(x0 + 2, x1 - size[0] - 2, _STEP), np.arange(y1 - size[1] - 2, y0 + 2, -_STEP)
    corners = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    return np.hstack([corners, corners + size])


def draw_board(pdf: Pdf, board: BoardMarks, view: Box) -> None:
    """Draw what a view (x0, y0, x1, y1) shows of the board."""
    x0, y0, x1, y1 = board.edge
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    hatching = np.sort(board.hatching, axis=1)
    hatching[..., 0] = np.clip(hatching[..., 0], view[0], view[2])
    y = hatching[:, 0, 1]
    shown = (y > view[1]) & (y < view[3]) & (hatching[:, 0, 0] < hatching[:, 1, 0])
    if shown.any():
        pdf.line(hatching[shown], width=0.1, colour=marks.BOARD)
    for ring in board.rings:
        pdf.polygon(ring, width=0.2, colour=marks.BOARD)
    ends = [[(middle[0], y0), (middle[0], y1)], [(x0, middle[1]), (x1, middle[1])]]
    pdf.line(ends, width=0.15, colour=marks.BOARD, dash=marks.CHAIN)
    pdf.circle(middle, CROSSING - 1.0, width=0.25, colour=marks.BOARD)
    if board.declared:
        pdf.box(x0, y0, x1 - x0, y1 - y0, line=0.3, colour=marks.BOARD, dash=(4.0, 2.0))
        _draw_datum(pdf, board)
    for one in (one for one in board.along if within(one.box, view)):
        _draw_along(pdf, one)
    for lines, box in (note for note in board.notes if within(note[1], view)):
        _draw_note(pdf, lines, box)


def line_points(board: BoardMarks) -> Array:
    """Return points (m, 2), 1 mm apart, on the board's middle lines, on its edges, and round its notes."""
    x0, y0, x1, y1 = board.edge
    boxes = [board.edge] if board.declared else []
    boxes += [box for _, box in board.notes]
    sides = [((x0 + x1) / 2, y0, (x0 + x1) / 2, y1), (x0, (y0 + y1) / 2, x1, (y0 + y1) / 2)]
    for left, top, right, foot in boxes:
        sides += [(left, top, right, top), (left, foot, right, foot)]
        sides += [(left, top, left, foot), (right, top, right, foot)]
    ends = [(np.array(one[:2]), np.array(one[2:])) for one in sides]
    return np.concatenate([np.linspace(a, b, 2 + int(np.abs(b - a).max())) for a, b in ends])


def _draw_along(pdf: Pdf, one: Along) -> None:
    """Write words along a line."""
    x0, y0, x1, y1 = one.box
    x, y = (x1 - 0.2 * (x1 - x0), (y0 + y1) / 2) if one.upwards else ((x0 + x1) / 2, y1 - 0.2 * (y1 - y0))
    angle = 90.0 if one.upwards else 0.0
    pdf.text(x, y, one.words, marks.WORK_SIZE, anchor="middle", angle_deg=angle, colour=marks.BOARD)


def _draw_datum(pdf: Pdf, board: BoardMarks) -> None:
    """Mark the corner that distances on the board are measured from: a filled quarter of a circle in it."""
    x0, y0, x1, y1 = board.edge
    inward = np.sign(np.array([x0 + x1, y0 + y1]) / 2 - board.datum)
    turns = np.linspace(0.0, np.pi / 2, 13)
    arc = board.datum + _DATUM * inward * np.column_stack([np.cos(turns), np.sin(turns)])
    pdf.polygon([board.datum, *arc], fill=marks.BOARD)
    x, y = (board.datum + inward * (_DATUM + 1.5, _DATUM)).tolist()
    pdf.text(x, y, "datum", marks.WORK_SIZE, bold=True, anchor="left" if inward[0] > 0 else "right")


def _draw_note(pdf: Pdf, lines: Sequence[str], box: Box) -> None:
    """Write the note in a frame."""
    x0, y0, x1, y1 = box
    pdf.box(x0, y0, x1 - x0, y1 - y0, fill=WHITE, line=0.2, colour=marks.BOARD)
    for number, line in enumerate(lines):
        y = y0 + 1.0 + (number * _LINE + 0.95) * marks.WORK_SIZE * POINT
        pdf.text(x0 + 1.0, y, line, marks.WORK_SIZE)
