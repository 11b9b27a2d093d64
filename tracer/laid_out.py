"""Drawings laid on a board: how large each piece is, and where it lies."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from tracer.border import border_drawing
from tracer.errors import JobError
from tracer.geometry import affine, bezier
from tracer.job import Beside, Border, Job, PieceSpec
from tracer.lengths import both, quoted
from tracer.model.drawing import Drawing
from tracer.model.layout import Board, Layout, Piece
from tracer.piece_order import check_pieces, check_template, check_words, leaders

BOARD_STEP = {"mm": 5.0, "in": 25.4 / 4}
"""mm in which the sides of a board that nobody declared go up, by the units of the user."""

UNKNOWN_WIDTH = 200.0
"""Width in mm given to art of unknown size when nothing else is said."""

Pair = tuple[float, float]


def lay_out(drawings: Mapping[int, Drawing], job: Job) -> Layout:
    """Return the pieces of a job on its board; `drawings` by the index of their piece, borders without one.

    A piece's size is that between its outermost stroke middles, as said, or follows from its capitals'
    height; else it is the largest that fits the board, its groove included, inside of borders and together
    with what lies beside it; else the art's own; else 200 mm wide. Without a board one is assumed
    round the figure, with the margin.

    Raises
    ------
    JobError
        Where the margins leave no room on the board, pieces wait for one another's places, a piece says
        of itself what does not go together, words come out too small to cut, or the template would be
        too long to print.
    """
    check_pieces(job.pieces, on_board=job.board is not None)
    groups = _sized(_groups(drawings, job), job)
    for group in groups:
        for box in group.boxes.values():
            if box.drawing.marks is not None:
                check_words(box.spec, box.drawing.marks.cap_height * affine.scale_of(box.matrix), job)
    board = _declared(job) if job.board is not None else _assumed(groups, job)
    placed: dict[int, Piece] = {}
    for group in groups:
        placed |= _placed(group, group.start(board))
    for k, spec in enumerate(job.pieces):
        if spec.border is not None:
            placed[k] = _border(spec, spec.border, board, list(placed.values()))
    layout = Layout(board, tuple(piece for _, piece in sorted(placed.items())))
    x0, y0, x1, y1 = layout.extent
    check_template(max(x1 - x0, y1 - y0), job)
    return layout


@dataclass(frozen=True, eq=False)
class _Box:
    """A piece with its size and turn, `matrix` (2, 3) leading to where its extent begins at the origin, mm.

    `fitted` : nobody said its size.
    """

    spec: PieceSpec
    drawing: Drawing
    matrix: affine.Affine
    size: Pair
    fitted: bool

    def times(self, factor: float) -> "_Box":
        """Return the piece at another size, where it has none of its own."""
        if not self.fitted:
            return self
        matrix = affine.compose(affine.scaling(factor), self.matrix)
        return replace(self, matrix=matrix, size=(self.size[0] * factor, self.size[1] * factor))


@dataclass(frozen=True, eq=False)
class _Group:
    """Pieces placed by one of them, or by a border: all but that in the order of their places.

    Attributes
    ----------
    root : which piece has its place on the board; or the border.
    boxes : by the piece's index.
    leaders : which piece each of the others lies beside, in the order of their places.
    gap : between pieces, where none is said, mm.
    around : (x, y, width, height) of the border on the board, where the root is one.
    """

    root: int
    boxes: Mapping[int, _Box]
    leaders: Mapping[int, int]
    gap: float
    around: tuple[Pair, Pair] | None = None

    @cached_property
    def starts(self) -> dict[int, Pair]:
        """Where the extent of each piece begins, from where the root's does, mm."""
        starts: dict[int, Pair] = {self.root: (0.0, 0.0)}
        for k, leader in self.leaders.items():
            beside = self.boxes[k].spec.beside
            assert beside is not None
            (x, y), (dx, dy) = starts[leader], _beside(beside, self._size(leader), self._size(k), self.gap)
            starts[k] = x + dx, y + dy
        return starts

    @property
    def extent(self) -> tuple[Pair, Pair]:
        """First and last place (x, y) of the pieces, from where the root's begins."""
        low = np.array([self.starts[k] for k in self.boxes])
        high = low + np.array([box.size for box in self.boxes.values()])
        return tuple(low.min(axis=0).tolist()), tuple(high.max(axis=0).tolist())

    def times(self, factor: float) -> "_Group":
        """Return the group with the pieces that have no size of their own so many times as large."""
        boxes = {k: box.times(factor) for k, box in self.boxes.items()}
        return replace(self, boxes=boxes)

    def said(self) -> tuple[float | None, float | None]:
        """The place said of the root."""
        if self.around is not None:
            return self.around[0]
        spec = self.boxes[self.root].spec
        return spec.x, spec.y

    def start(self, board: Board) -> Pair:
        """Return where the root begins on the board: as said, or so that the group is in the middle."""
        (x0, y0), (x1, y1) = self.extent
        x, y = self.said()
        middle = (board.width - x0 - x1) / 2, (board.height - y0 - y1) / 2
        return middle[0] if x is None else x, middle[1] if y is None else y

    def _size(self, k: int) -> Pair:
        return self.around[1] if self.around is not None and k == self.root else self.boxes[k].size


def _groups(drawings: Mapping[int, Drawing], job: Job) -> list[_Group]:
    """Return the pieces at their own sizes, those together of which one has its place by another."""
    boxes = {k: _box(drawing, _spec(job, k), job) for k, drawing in sorted(drawings.items())}
    borders = {k for k, spec in enumerate(job.pieces) if spec.border is not None}
    there = borders | set(boxes)
    led = {k: leader for k, leader in leaders(job.pieces).items() if k in boxes and leader in there}
    root = {k: k for k in there if k not in led}
    for k, leader in led.items():
        root[k] = root[leader]
    groups = []
    for first in sorted(k for k in there if k not in led):
        own = {k: leader for k, leader in led.items() if root[k] == first}
        members = {k: box for k, box in boxes.items() if root[k] == first}
        if members:
            around = _border_box(_spec(job, first), job) if first in borders else None
            groups.append(_Group(first, members, own, job.margin, around))
    return groups


def _beside(beside: Beside, leader: Pair, own: Pair, gap: float) -> Pair:
    """Return where a piece begins, from where the one it lies beside does."""
    gap = gap if beside.gap is None else beside.gap
    share = {"starts": 0.0, "middles": 0.5, "ends": 1.0}[beside.line_up]
    along = share * (leader[0] - own[0]), share * (leader[1] - own[1])
    match beside.where:
        case "above":
            return along[0], -gap - own[1]
        case "below":
            return along[0], leader[1] + gap
        case "left-of":
            return -gap - own[0], along[1]
        case "right-of":
            return leader[0] + gap, along[1]
        case "centred-on":
            return (leader[0] - own[0]) / 2, (leader[1] - own[1]) / 2


def _spec(job: Job, index: int) -> PieceSpec:
    """Return what the job says of a piece; a drawing that no piece speaks of takes the defaults."""
    return job.pieces[index] if index < len(job.pieces) else PieceSpec()


def _box(drawing: Drawing, spec: PieceSpec, job: Job) -> _Box:
    """Give a drawing its size and turn; its extent begins at the origin."""
    turn = affine.rotation(np.radians(spec.turn_deg))
    x0, y0, x1, y1 = drawing.bounds
    a0, b0, a1, b1 = _extent(drawing, turn) if spec.turn_deg else drawing.bounds
    scale = _said(drawing, spec, (x1 - x0, y1 - y0))
    fitted = scale is None
    if scale is None:
        scale = _fitting(job, (a1 - a0, b1 - b0))
    if scale is None:
        scale = drawing.mm_per_px or UNKNOWN_WIDTH / (x1 - x0 or y1 - y0 or drawing.size_px[0])
    matrix = affine.compose(affine.translation(-scale * a0, -scale * b0), affine.scaling(scale), turn)
    return _Box(spec, drawing, matrix, (scale * (a1 - a0), scale * (b1 - b0)), fitted)


def _said(drawing: Drawing, spec: PieceSpec, figure: Pair) -> float | None:
    """Return mm on the wood per unit of the drawing as the user said it; `figure` is its extent."""
    if spec.words is not None and spec.words.height is not None:
        return drawing.mm_per_px
    said = [(spec.width, figure[0]), (spec.height, figure[1])]
    return min((mm / extent for mm, extent in said if mm is not None and extent > 0), default=None)


def _fitting(job: Job, turned: Pair) -> float | None:
    """Return the scale at which a figure of this extent fits the board; None without a board."""
    if job.board is None:
        return None
    room = _room(job)
    return min((mm / extent for mm, extent in zip(room, turned, strict=True) if extent > 0), default=None)


def _room(job: Job) -> Pair:
    """Return the room (width, height) for figures on the declared board, inside margins and borders, mm."""
    assert job.board is not None
    inset = job.margin + job.groove / 2
    borders = [spec.border.distance for spec in job.pieces if spec.border is not None]
    if borders:
        inset = max(inset, max(borders) + job.groove + job.margin)
    room = job.board[0] - 2 * inset, job.board[1] - 2 * inset
    if min(room) <= 0:
        border = f" a border {max(borders):g} mm from its edge," if borders else ""
        raise JobError(
            f"The board, {job.board[0]:g} x {job.board[1]:g} mm, has no room left inside{border} margins of "
            f"{job.margin:g} mm and a groove {job.groove:.1f} mm wide: make the margin smaller."
        )
    return room


_LEAST = 1e-3
"""Share of the board to which a piece is made smaller at most for those beside it."""


def _sized(groups: Sequence[_Group], job: Job) -> list[_Group]:
    """Return the groups, pieces without a size made smaller until theirs fits the declared board."""
    if job.board is None:
        return list(groups)
    return [_shrunk(group, job) if group.leaders else group for group in groups]


def _shrunk(group: _Group, job: Job) -> _Group:
    """Return a group that fits, by one factor for all its pieces that have no size."""
    fitted = [box for box in group.boxes.values() if box.fitted]
    room = _room(job) if fitted else (0.0, 0.0)
    if not fitted or _fits(group, room):
        return group
    if not _fits(group.times(_LEAST), room):
        raise JobError(
            f"The board, inside of its margins, is {both(room[0], job.units)} x {both(room[1], job.units)}, "
            f"and no room is left beside the other pieces for {quoted(fitted[0].spec.called)}: "
            "make those or their gaps smaller, or say a size for each piece"
        )
    low, high = _LEAST, 1.0
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if _fits(group.times(middle), room) else (low, middle)
    return group.times(low)


def _fits(group: _Group, room: Pair) -> bool:
    (x0, y0), (x1, y1) = group.extent
    return x1 - x0 <= room[0] + 1e-9 and y1 - y0 <= room[1] + 1e-9


def _declared(job: Job) -> Board:
    assert job.board is not None
    return Board(*job.board, job.wood.name, job.grain_deg, declared=True)


def _assumed(groups: Sequence[_Group], job: Job) -> Board:
    """Return a board round the figures with the margin, as one would saw it."""
    edge = job.margin + job.groove / 2
    edge += max((spec.border.distance for spec in job.pieces if spec.border is not None), default=0.0)
    sides = np.zeros(2)
    for group in groups:
        low, high = (np.array(place) for place in group.extent)
        starts = np.array([edge if s is None else s + at for s, at in zip(group.said(), low, strict=True)])
        if (starts < 0).any():
            raise JobError(
                f"{quoted(group.boxes[group.root].spec.called)} lies so near the board's edge that what is "
                "beside it would lie off the board: place it further in, or leave its place out"
            )
        sides = np.maximum(sides, starts + high - low + edge)
    step = BOARD_STEP[job.units]
    width, height = np.ceil(sides / step - 1e-9) * step
    return Board(float(width), float(height), job.thickness, job.wood.name, job.grain_deg)


def _placed(group: _Group, start: Pair) -> dict[int, Piece]:
    """Return the pieces of a group whose root begins at `start` on the board, by their index."""
    placed = {}
    for k, box in group.boxes.items():
        x, y = group.starts[k]
        matrix = affine.compose(affine.translation(start[0] + x, start[1] + y), box.matrix)
        own = box.spec.name or (box.spec.called if box.spec.words else box.drawing.name)
        placed[k] = Piece(box.drawing, matrix, own)
    return placed


def _border_box(spec: PieceSpec, job: Job) -> tuple[Pair, Pair]:
    """Return where a border begins on the declared board, and its size."""
    assert spec.border is not None
    assert job.board is not None
    d = spec.border.distance
    return (d, d), (job.board[0] - 2 * d, job.board[1] - 2 * d)


def _border(spec: PieceSpec, border: Border, board: Board, others: Sequence[Piece]) -> Piece:
    """Return a border inside the board's edge, or round the others where no board is declared."""
    d = border.distance
    if board.declared:
        x0, y0, x1, y1 = d, d, board.width - d, board.height - d
    else:
        boxes = np.array([_extent(piece.drawing, piece.matrix) for piece in others if not piece.border])
        x0, y0 = (boxes[:, :2].min(axis=0) - d).tolist()
        x1, y1 = (boxes[:, 2:].max(axis=0) + d).tolist()
    width, height = x1 - x0, y1 - y0
    if min(width, height) <= 0:
        raise JobError(
            f"A border {d:g} mm from the edge has no room on a board {board.width:g} x {board.height:g} mm: "
            f"say less than {min(board.width, board.height) / 2:g} mm."
        )
    if border.radius > min(width, height) / 2:
        raise JobError(
            f"The border's corners, {border.radius:g} mm in radius, do not fit on its shorter side of "
            f"{min(width, height):g} mm: say at most {min(width, height) / 2:g} mm."
        )
    drawing = border_drawing(round(width, 6), round(height, 6), border.radius)
    return Piece(drawing, affine.translation(x0, y0), spec.called, border=True)


def _extent(drawing: Drawing, matrix: affine.Affine) -> tuple[float, float, float, float]:
    """Return the extent (x0, y0, x1, y1) of a drawing's stroke middles in the frame `matrix` leads to."""
    if not drawing.strokes:
        return drawing.bounds
    return bezier.bounds(affine.apply(matrix, np.concatenate([stroke.curves for stroke in drawing.strokes])))
