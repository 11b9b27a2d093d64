"""The hall: the only module that knows all stages."""

import io
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np

from tracer.art.read import read_picture, scan_of
from tracer.art.vector_art import holds_svg, read_svg
from tracer.errors import ArtError, JobError, OutputError
from tracer.geometry import affine, bezier
from tracer.job import Job, PieceSpec
from tracer.model.drawing import Drawing, extent
from tracer.model.ink import Ink
from tracer.model.layout import Board, Layout, Piece
from tracer.model.plan import Plan
from tracer.model.scan import Scan
from tracer.model.sizes import Sizes
from tracer.raster.ink import find_ink
from tracer.raster.steps import write_ink_steps
from tracer.raster.straighten import straightened
from tracer.reading import AS_IT_IS, Reading
from tracer.report.build import Planner
from tracer.report.fix import Fix
from tracer.report.fixes import propose
from tracer.report.sizes import find_sizes
from tracer.sheets.pack import write_pack
from tracer.vector.steps import write_stroke_step
from tracer.vector.strokes import find_strokes

Say = Callable[[str], None]

BOARD_STEP = {"mm": 5.0, "in": 25.4 / 4}
"""mm in which the sides of a board that nobody declared go up, by the units of the user."""

UNKNOWN_WIDTH = 200.0
"""Width in mm given to art of unknown size when nothing else is said."""


_PLANNERS: WeakKeyDictionary[Drawing | Layout, Planner] = WeakKeyDictionary()
"""The planner of each drawing or layout in use: asked again at another depth it need not begin anew."""


def _silent(_: str) -> None:
    """Say nothing."""


def trace(
    art: Any,
    reading: Reading = AS_IT_IS,
    *,
    tolerance: float | None = None,
    keep_steps: Path | None = None,
    say: Say = _silent,
) -> Drawing:
    """Return the strokes of a picture, in art pixels.

    Parameters
    ----------
    art : path of a picture or an SVG file, or an array (H, W) or (H, W, 3) of red, green, blue.
    reading : how it is to be read: its size, what to follow, and more.
    tolerance : largest distance from the refined centres to the fitted cubics, in typical line widths.
    keep_steps : folder that gets a picture of each stage; an SVG file goes through none.
    say : is told what is being done.

    Raises
    ------
    ArtError
        Where the picture cannot be read, or holds nothing to follow.
    """
    return _traced(art, reading, tolerance, keep_steps, say)[1]


def _traced(
    art: Any, reading: Reading, tolerance: float | None, keep_steps: Path | None, say: Say
) -> tuple[Scan | None, Drawing]:
    """Read art and find its strokes; an SVG file has its own and gives no scan."""
    if not isinstance(art, np.ndarray) and holds_svg(Path(art)):
        say(f"reading the curves of {Path(art).name}")
        return None, read_svg(Path(art), reading)
    scan = _read(art, reading, say)
    return scan, _drawn(scan, reading, tolerance, keep_steps, say)


def _read(art: Any, reading: Reading, say: Say) -> Scan:
    """Read a picture, and lay it straight."""
    if isinstance(art, np.ndarray):
        return straightened(scan_of(art, reading), reading)
    say(f"reading {Path(art).name}")
    return straightened(read_picture(Path(art), reading), reading)


def _drawn(
    scan: Scan, reading: Reading, tolerance: float | None, keep_steps: Path | None, say: Say
) -> Drawing:
    """Find the ink and the strokes of a scan."""
    say(f"finding the ink of {scan.name}")
    ink: Ink = find_ink(scan, reading)
    say("following its lines" if reading.follow == "line" else "following its edges")
    drawing = find_strokes(scan, ink, tolerance=tolerance)
    if keep_steps is not None:
        _keep(scan, ink, drawing, keep_steps)
    if not drawing.strokes:
        raise ArtError(f"{scan.name} holds no line to follow: use a picture with darker or larger lines.")
    return drawing


def _keep(scan: Scan, ink: Ink, drawing: Drawing, folder: Path) -> None:
    """Write a picture of each stage."""
    try:
        write_ink_steps(ink, folder)
        write_stroke_step(scan, drawing, folder)
    except OSError as error:
        raise OutputError(
            f"The pictures of the stages could not be written to {folder} ({error.strerror or error}): "
            "name another folder with --keep-steps."
        ) from None


def lay_out(drawings: Mapping[int, Drawing], job: Job) -> Layout:
    """Return the pieces of a job on its board; `drawings` by the index of their piece.

    A piece's size is that between its outermost stroke middles, as said; else the
    largest that fits the board, its groove included; else the art's own; else
    200 mm wide. Without a board one is assumed round the figure, with the margin.

    Raises
    ------
    JobError
        Where the margins leave no room on the board.
    """
    pieces = [_scaled(drawing, _spec(job, k), job) for k, drawing in sorted(drawings.items())]
    board = _board(pieces, job)
    placed = tuple(_placed(piece, _spec(job, k), board) for k, piece in enumerate(pieces))
    return Layout(board, placed)


def plan(drawing: Drawing | Layout, job: Job | None = None, *, say: Say = _silent) -> Plan:
    """Return what will happen in the wood; a Drawing is laid on the job's board first."""
    job = job or Job()
    say("checking grooves, islands and runs")
    layout = drawing if isinstance(drawing, Layout) else lay_out({0: drawing}, job)
    return _planner(drawing, layout).plan(job)


def _planner(drawing: Drawing | Layout, layout: Layout) -> Planner:
    """Return what plans this layout of a drawing, the last one's where it was alike."""
    planner = _PLANNERS.get(drawing)
    if planner is None or not _alike(planner.layout, layout):
        planner = _PLANNERS[drawing] = Planner(layout)
    return planner


def sizes(drawing: Drawing | Layout, job: Job | None = None, *, say: Say = _silent) -> Sizes:
    """Return what becomes of one figure at other sizes, and with other bits and depths.

    Raises
    ------
    JobError
        For a layout of more than one piece, or a figure without size.
    """
    job = job or Job()
    layout = drawing if isinstance(drawing, Layout) else lay_out({0: drawing}, job)
    if len(layout.pieces) != 1:
        raise JobError(
            f"sizes are answered for one picture, and this job has {len(layout.pieces)}: name one picture, "
            "or a job file with one"
        )
    say("looking at other sizes and bits")
    return find_sizes(layout, job)


def write(
    plan: Plan,
    folder: Path | str,
    *,
    force: bool = False,
    art: Mapping[int, bytes] | None = None,
    say: Say = _silent,
) -> None:
    """Write the template pack into `folder`, all of it or nothing.

    `art` are pictures of the pieces' art for the report, by piece counted from 0.

    Raises
    ------
    OutputError
        Where the folder is in use without `force`, or cannot be written.
    """
    write_pack(plan, Path(folder), force=force, art=art or {}, say=say)


class Work:
    """The pictures of jobs, traced once however often depth, bit or size change."""

    def __init__(self, *, tolerance: float | None = None, keep_steps: Path | None = None, say: Say = _silent):
        self.tolerance, self.keep_steps, self.say = tolerance, keep_steps, say
        self._layout: Layout | None = None
        self._traced: dict[tuple[str, Reading], tuple[Scan | None, Drawing]] = {}

    def plan(self, job: Job) -> Plan:
        """Return the plan of a job; only what changed since the last is done again."""
        layout = self._lay_out(job)
        if self._layout is None or not _alike(self._layout, layout):
            self._layout = layout
        return plan(self._layout, job, say=self.say)

    def fix(self, job: Job) -> Fix:
        """Return which strokes to leave out and to thin out so that less runs together and less breaks."""
        layout = self.plan(job).layout
        self.say("looking for what to leave out")
        return propose(_planner(layout, layout), job)

    def sizes(self, job: Job) -> Sizes:
        """Return what becomes of the picture of a job at other sizes."""
        return sizes(self._lay_out(job), job, say=self.say)

    def pictures(self, job: Job) -> dict[int, bytes]:
        """Return a PNG of each piece's art, by piece counted from 0; an SVG file has none."""
        scans = {k: self._look_at(job, k)[0] for k in range(len(job.pieces))}
        return {k: _png(scan) for k, scan in scans.items() if scan is not None}

    def _lay_out(self, job: Job) -> Layout:
        if not job.pieces:
            raise JobError("No picture was named: say which art to carve, or name a job file with --job.")
        return lay_out({k: self._look_at(job, k)[1] for k in range(len(job.pieces))}, job)

    def _look_at(self, job: Job, index: int) -> tuple[Scan | None, Drawing]:
        """Read and trace the picture of one piece, or recall it."""
        spec = job.pieces[index]
        key = (spec.art, spec.reading)
        if key not in self._traced:
            steps = self._steps_of(job, index)
            self._traced[key] = _traced(spec.art, spec.reading, self.tolerance, steps, self.say)
        return self._traced[key]

    def _steps_of(self, job: Job, index: int) -> Path | None:
        """Return the folder for the pictures of a piece's stages: where there are several, one each."""
        if self.keep_steps is None or len(job.pieces) == 1:
            return self.keep_steps
        return self.keep_steps / f"{index + 1}-{Path(job.pieces[index].art).stem}"


def _spec(job: Job, index: int) -> PieceSpec:
    """Return what the job says of a piece; a drawing that no piece speaks of takes the defaults."""
    return job.pieces[index] if index < len(job.pieces) else PieceSpec(art="")


def _scaled(drawing: Drawing, spec: PieceSpec, job: Job) -> Piece:
    """Give a drawing its size and turn; its extent begins at the origin."""
    turn = affine.rotation(np.radians(spec.turn_deg))
    x0, y0, x1, y1 = drawing.bounds
    turned = _extent(drawing, turn)
    scale = _scale((x1 - x0, y1 - y0), (turned[2] - turned[0], turned[3] - turned[1]), drawing, spec, job)
    to_origin = affine.translation(-scale * turned[0], -scale * turned[1])
    return Piece(drawing, affine.compose(to_origin, affine.scaling(scale), turn), drawing.name)


def _scale(
    figure: tuple[float, float], turned: tuple[float, float], drawing: Drawing, spec: PieceSpec, job: Job
) -> float:
    """Return mm on the wood per art pixel; `figure` and `turned` are extents in art pixels."""
    said = [(spec.width, figure[0]), (spec.height, figure[1])]
    factors = [mm / pixels for mm, pixels in said if mm is not None and pixels > 0]
    if not factors and job.board is not None:
        room = [side - 2 * job.margin - job.groove for side in job.board[:2]]
        if min(room) <= 0:
            raise JobError(
                f"The board, {job.board[0]:g} x {job.board[1]:g} mm, has no room left inside margins of "
                f"{job.margin:g} mm and a groove {job.groove:.1f} mm wide: make the margin smaller."
            )
        factors = [mm / pixels for mm, pixels in zip(room, turned, strict=True) if pixels > 0]
    if factors:
        return min(factors)
    return drawing.mm_per_px or UNKNOWN_WIDTH / (figure[0] or figure[1] or drawing.size_px[0])


def _board(pieces: list[Piece], job: Job) -> Board:
    """Return the board said, or one round the figures with the margin, as one would saw it."""
    if job.board is not None:
        return Board(*job.board, job.wood.name, job.grain_deg, declared=True)
    edge = 2 * job.margin + job.groove
    sides = np.zeros(2)
    for k, piece in enumerate(pieces):
        spec = _spec(job, k)
        x0, y0, x1, y1 = _extent(piece.drawing, piece.matrix)
        starts = np.array([edge / 2 if place is None else place for place in (spec.x, spec.y)])
        sides = np.maximum(sides, starts + (x1 - x0, y1 - y0) + edge / 2)
    step = BOARD_STEP[job.units]
    width, height = np.ceil(sides / step - 1e-9) * step
    return Board(float(width), float(height), job.thickness, job.wood.name, job.grain_deg)


def _placed(piece: Piece, spec: PieceSpec, board: Board) -> Piece:
    """Put a piece where it was said, or in the middle of the board."""
    x0, y0, x1, y1 = _extent(piece.drawing, piece.matrix)
    x = (board.width - (x1 - x0)) / 2 if spec.x is None else spec.x
    y = (board.height - (y1 - y0)) / 2 if spec.y is None else spec.y
    return Piece(piece.drawing, affine.compose(affine.translation(x - x0, y - y0), piece.matrix), piece.name)


def _alike(one: Layout, other: Layout) -> bool:
    """Say whether two layouts put the same drawings in the same places."""
    return one is other or (
        one.board == other.board
        and len(one.pieces) == len(other.pieces)
        and all(
            a.drawing is b.drawing and np.array_equal(a.matrix, b.matrix)
            for a, b in zip(one.pieces, other.pieces, strict=True)
        )
    )


def _extent(drawing: Drawing, matrix: affine.Affine) -> tuple[float, float, float, float]:
    """Return the extent (x0, y0, x1, y1) of a drawing's stroke middles in the frame `matrix` leads to."""
    if not drawing.strokes:
        return extent(())
    return bezier.bounds(affine.apply(matrix, np.concatenate([stroke.curves for stroke in drawing.strokes])))


def _png(scan: Scan) -> bytes:
    """Return a scan as PNG bytes."""
    from tracer.art.read import image_of

    buffer = io.BytesIO()
    image_of(scan).save(buffer, "PNG", compress_level=1)
    return buffer.getvalue()
