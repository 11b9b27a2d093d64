"""All that one piece of work decides: pieces, board, size, ratio, bit, depth, rules."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import Literal

from tracer.acts import Acts
from tracer.lengths import Units
from tracer.lettering import Lettering
from tracer.reading import AS_IT_IS, Reading
from tracer.shop.bits import Bit, VBit
from tracer.shop.linkage import Linkage
from tracer.shop.paper import PAPERS, Paper
from tracer.shop.printer import Printer
from tracer.shop.router import MOST_DEPTH_A_PASS, ROUTER_BASE
from tracer.shop.wood import Wood, wood_named

ASSUMED = "assumed"

Thin = Literal["drop", "keep"]
Where = Literal["above", "below", "left-of", "right-of", "centred-on"]
LineUp = Literal["starts", "middles", "ends"]
Hold = Literal["fewest", "portrait", "landscape"]

SHEETS_SHARE = 10.0
"""mm that neighbouring sheets both show (common practice, no source)."""


@dataclass(frozen=True)
class Border:
    """A groove round the others.

    Attributes
    ----------
    distance : from the board's edge to the groove's middle, mm; where no board is declared, from the
        other pieces' outermost stroke middles to it.
    radius : of the corners, along the groove's middle, mm; 0 for square ones.
    """

    distance: float
    radius: float = 0.0


@dataclass(frozen=True)
class Beside:
    """A place by another piece.

    Attributes
    ----------
    where : on which side of it, or on its middle.
    piece : its name.
    gap : between the outermost stroke middles of both, mm; None for the job's margin.
    line_up : which of the two pieces' ends, left or top ones first, lie in one line.
    """

    where: Where
    piece: str
    gap: float | None = None
    line_up: LineUp = "middles"


@dataclass(frozen=True)
class PieceSpec:
    """One piece to lay on the board: art, or words, or a border.

    Attributes
    ----------
    art : path of the picture, or what to call art that is already in memory; "" for words and borders.
    width, height : finished size on the wood, mm, between outermost stroke middles before
        anything is dropped; both mean that it fits inside; neither, that it is chosen for the user.
        Of words whose capitals' height is said neither is.
    x, y : place of the left and top outermost stroke middle on the wood, mm; None is centred,
        together with all that lies beside it.
    turn_deg : turn on the board, degrees, clockwise as seen.
    reading : how the picture is to be read.
    words : how they are set, of a piece of words.
    border : of a piece that is one; it has no size, place or turn of its own.
    name : to speak of it by.
    beside : its place by another piece, instead of `x` and `y`.
    """

    art: str = ""
    width: float | None = None
    height: float | None = None
    x: float | None = None
    y: float | None = None
    turn_deg: float = 0.0
    reading: Reading = AS_IT_IS
    words: Lettering | None = None
    border: Border | None = None
    name: str = ""
    beside: Beside | None = None

    @property
    def called(self) -> str:
        """What to call it: its name, else its words in short or its art's file; "" where nothing says it."""
        if self.name or self.words is None:
            return self.name or ("border" if self.border else PurePath(self.art).name)
        return self.words.called


@dataclass(frozen=True)
class Job:
    """Everything decided, each setting with where it came from. Lengths in mm.

    Attributes
    ----------
    name : title of the sheets.
    pieces : what is laid on the board.
    board : (width, height, thickness) of the face and through it, or None.
    thickness : of the board, also where its face is not known.
    margin : from the board's edge to the outermost groove's edge.
    linkage, bit, wood, paper, printer : see `tracer.shop`.
    depth : of the grooves.
    grain_deg : direction of the grain, degrees from the board's width.
    units : how the user reads lengths.
    date : printed on the sheets; the same date gives the same bytes.
    retrace : grooves may be followed again rather than the router lifted.
    max_widening : how many times its drawn width a stroke's groove may be.
    thin : what becomes of strokes that would be wider than that.
    stops : how many depth settings of the router may be used, 1 to 3.
    acts : what the user decided about single strokes.
    bits : (name, bit) of the bits at hand.
    pass_limit : deepest cut in one pass.
    hand_error : how far the stylus strays from the line, on the template; 0 where nobody said,
        and then it is not counted.
    read_from : how far off words are to be read, None where nobody said.
    speed_low, speed_high : of the stylus along the template, mm/s.
    plunge_low, plunge_high : time for a plunge and its lift, s.
    hold : how the sheets' paper is held; "fewest": whichever takes fewer.
    overlap : what neighbouring sheets both show, mm of paper.
    revision : printed on the sheets beside the date.
    router_base : diameter of the router's base: no clamp may stand under it.
    finish : what the user means to finish the carving with, in their words; so are the next two.
    art_from, allowed_by : where the art came from, and who allowed that it be carved.
    origins : where each setting came from, by its key; what is not in it was assumed.
    """

    name: str = "carving"
    pieces: tuple[PieceSpec, ...] = ()
    board: tuple[float, float, float] | None = None
    thickness: float = 19.05
    margin: float = 20.0
    linkage: Linkage = field(default_factory=lambda: Linkage(0.5))
    bit: Bit = field(default_factory=lambda: VBit(60.0, 12.7))
    depth: float = 1.5875
    wood: Wood = field(default_factory=lambda: wood_named("pine"))
    grain_deg: float = 0.0
    paper: Paper = PAPERS[0]
    printer: Printer = field(default_factory=Printer)
    units: Units = "mm"
    date: datetime.date = field(default_factory=datetime.date.today)
    retrace: bool = True
    max_widening: float = 2.0
    thin: Thin = "drop"
    stops: int = 1
    acts: Acts = field(default_factory=Acts)
    bits: tuple[tuple[str, Bit], ...] = ()
    pass_limit: float = MOST_DEPTH_A_PASS
    hand_error: float = 0.0
    read_from: float | None = None
    speed_low: float = 10.0
    speed_high: float = 20.0
    plunge_low: float = 10.0
    plunge_high: float = 10.0
    hold: Hold = "fewest"
    overlap: float = SHEETS_SHARE
    revision: str = ""
    router_base: float = ROUTER_BASE
    finish: str = ""
    art_from: str = ""
    allowed_by: str = ""
    origins: Mapping[str, str] = field(default_factory=dict, hash=False)

    @property
    def ratio(self) -> float:
        """Size of the carving / size of the template."""
        return self.linkage.ratio

    @property
    def groove(self) -> float:
        """Width of the groove at the wood's face, mm."""
        return self.bit.width_at(self.depth)

    def origin(self, setting: str) -> str:
        """How a setting came: "said on the command line", "from the job file", ..., "assumed"."""
        return self.origins.get(setting, ASSUMED)
