"""What will happen in the wood: grooves, losses, islands, runs. Wood frame, mm, throughout."""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout

Array = NDArray[np.float64]

WIDEST_ERROR = 0.01
"""mm by which the widest circle of standing wood may be measured too small."""


@dataclass(frozen=True)
class Groove:
    """What the bit leaves along one stroke: depth and width at the wood's face, mm; `stop` counts from 1."""

    stroke: int
    depth: float
    width: float
    stop: int = 1


@dataclass(frozen=True)
class DepthStop:
    """One depth setting of the router: `number` from 1, the deepest; depth, groove's width, passes in mm."""

    number: int
    depth: float
    width: float
    pass_depths: tuple[float, ...]


@dataclass(frozen=True)
class Dropped:
    """A stroke left out, and why.

    Attributes
    ----------
    stroke : its number.
    reason : a short stable name such as "stroke too thin".
    where : a point on it, wood mm.
    measured : its drawn width on the wood, mm, or None.
    groove : the groove it would have got, mm.
    limit : the widest groove it could have had, mm.
    remedy : what would keep it, a plain sentence.
    """

    stroke: int
    reason: str
    where: tuple[float, float]
    measured: float | None
    groove: float
    limit: float
    remedy: str


@dataclass(frozen=True)
class Land:
    """Wood left between two grooves where it is thinner than the rule.

    Attributes
    ----------
    strokes : numbers of the two strokes (equal where a stroke comes near itself).
    where : middle of the narrowest place, wood mm.
    width : least width, mm; negative where the two grooves run together.
    limit : what the rule asks for there, mm.
    length : how long it stays under the limit, mm.
    wedge : the grooves only part too slowly from a joint or bend near by.
    """

    strokes: tuple[int, int]
    where: tuple[float, float]
    width: float
    limit: float
    length: float
    wedge: bool = False


@dataclass(frozen=True)
class Island:
    """A part of the drawing, or standing wood, closed in by other grooves.

    Attributes
    ----------
    number : from 1.
    kind : "enclosed strokes" (a separate plunge) or "standing wood".
    where : a point in it, wood mm.
    size : (width, height) of its extent, mm.
    strokes : the strokes that make the enclosed part; empty for standing wood.
    enclosed_by : numbers of the strokes that close it in.
    nesting : how many rings lie round it, from 1.
    area : of the wood, or of the grooves of an enclosed part, mm^2.
    widest : across the largest circle in standing wood, mm; 0 for enclosed strokes.
    least : what the land rule asks for there, mm; 0 for enclosed strokes.
    """

    number: int
    kind: Literal["enclosed strokes", "standing wood"]
    where: tuple[float, float]
    size: tuple[float, float]
    strokes: tuple[int, ...]
    enclosed_by: tuple[int, ...]
    nesting: int = 1
    area: float = 0.0
    widest: float = 0.0
    least: float = 0.0

    @property
    def breaks(self) -> bool:
        """Whether the wood is too thin to stand."""
        return self.widest < self.least - WIDEST_ERROR


@dataclass(frozen=True, eq=False)
class Leg:
    """A stretch of one stroke within a run, from place `start` to place `end` on its chain.

    `curves` (n, 4, 2) are that stretch in the direction of travel, wood mm;
    `retraced` says that the groove is there already.
    """

    stroke: int
    start: float
    end: float
    retraced: bool
    curves: Array


@dataclass(frozen=True, eq=False)
class Run:
    """What is followed between one plunge and the next lift.

    `legs` are in the order of travel, each beginning where the one before ends.

    `number` is its place in the order of cutting, from 1; `part` numbers the
    connected part it belongs to; `stop` its depth stop. `feed` says which way it is
    followed, and why, in a plain sentence.
    """

    number: int
    part: int
    legs: tuple[Leg, ...]
    stop: int = 1
    feed: str = ""

    @cached_property
    def curves(self) -> Array:
        """The whole run as one chain (n, 4, 2)."""
        return np.concatenate([leg.curves for leg in self.legs])

    @property
    def start(self) -> Array:
        """Where the bit goes down (2,)."""
        first: Array = self.legs[0].curves[0, 0]
        return first

    @property
    def end(self) -> Array:
        """Where it comes up (2,)."""
        last: Array = self.legs[-1].curves[-1, 3]
        return last


@dataclass(frozen=True)
class SetUp:
    """One position of the board under the linkage.

    Attributes
    ----------
    number : from 1, in the order of cutting.
    window : (x0, y0, x1, y1) of the board that the bit reaches in it, wood mm.
    runs : numbers of the runs cut in it.
    marks : (x, y) of the register marks that it shares with other set-ups, wood mm.
    """

    number: int
    window: tuple[float, float, float, float]
    runs: tuple[int, ...]
    marks: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Totals:
    """Sums for the whole job; lengths in mm, times in s, `removed_ml` the wood taken out in mL.

    `passes` is the most that any depth stop takes.
    """

    plunges: int
    plunges_with_passes: int
    plunges_with_retracing: int
    plunges_without_retracing: int
    passes: int
    carving_length: float
    template_length: float
    retraced: float
    time_low: float
    time_high: float
    removed_ml: float = 0.0


@dataclass(frozen=True, eq=False)
class Plan:
    """The layout and job it answers, and what will happen.

    Attributes
    ----------
    strokes : all that were thought of, wood mm: those of the layout, with ends joined and edges moved
        to their side.
    stops : the depth settings in use, the deepest first.
    grooves : one for each stroke that is cut, in the order of their numbers.
    dropped : strokes left out.
    lands : places where too little wood is left.
    islands : parts and standing wood closed in by grooves.
    runs : in the order of cutting.
    findings : what costs most first.
    set_ups : positions of the board, in the order of cutting; empty where one does or nobody said the reach.
    """

    layout: Layout
    job: Job
    strokes: tuple[Stroke, ...]
    stops: tuple[DepthStop, ...]
    grooves: tuple[Groove, ...]
    dropped: tuple[Dropped, ...]
    lands: tuple[Land, ...]
    islands: tuple[Island, ...]
    runs: tuple[Run, ...]
    totals: Totals
    findings: tuple[Finding, ...]
    set_ups: tuple[SetUp, ...] = ()

    def shift_of(self, set_up: SetUp) -> tuple[float, float]:
        """Return how far (x, y) the board is moved from its place in the first set-up, mm.

        The linkage stays: to bring a window to where the first one was, the board goes the other way.
        """
        first = self.set_ups[0].window
        return first[0] - set_up.window[0], first[1] - set_up.window[1]

    @cached_property
    def cut(self) -> tuple[Stroke, ...]:
        """The strokes that are cut, wood mm, in the order of their numbers."""
        kept = {groove.stroke for groove in self.grooves}
        return tuple(stroke for stroke in self.strokes if stroke.number in kept)

    @cached_property
    def left_out(self) -> tuple[Stroke, ...]:
        """The strokes that were dropped, wood mm."""
        gone = {one.stroke for one in self.dropped}
        return tuple(stroke for stroke in self.strokes if stroke.number in gone)

    @property
    def to_template(self) -> Array:
        """The map (2, 3) from wood to template mm: divided by the ratio, turned where the linkage turns.

        Its origin is the board's top left; turned, the board's top left is at the
        template's bottom right, so that template coordinates stay positive.
        """
        scale = 1.0 / self.job.ratio
        if not self.job.linkage.turned:
            return np.array([[scale, 0.0, 0.0], [0.0, scale, 0.0]])
        board = self.layout.board
        return np.array([[-scale, 0.0, board.width * scale], [0.0, -scale, board.height * scale]])
