"""What becomes of a figure at other sizes, and with other bits and depths. Lengths in mm."""

from dataclasses import dataclass
from typing import Literal

from tracer.job import Job
from tracer.shop.bits import Bit

Side = Literal["wide", "high"]


@dataclass(frozen=True)
class Losses:
    """How much is lost: at one size, with one bit at one depth.

    Attributes
    ----------
    thin : strokes that come out too wide for their drawn width: left out, or, where even the
        typical line does, cut all the same.
    merged : places where two grooves run together.
    crumbling : places where less wood is left between two grooves than the rule asks for.
    breaking : pieces of standing wood that break out.
    all_thin : the typical line itself comes out too wide.
    """

    thin: int
    merged: int
    crumbling: int
    breaking: int
    all_thin: bool = False

    @property
    def any(self) -> bool:
        """Whether anything is lost."""
        return bool(self.thin or self.merged or self.crumbling or self.breaking)


@dataclass(frozen=True)
class SizeRow:
    """Losses at one finished size between outermost stroke middles."""

    width: float
    height: float
    losses: Losses


@dataclass(frozen=True)
class Least:
    """The least size from which on something is true.

    Attributes
    ----------
    size : the finished width (or height, see `Sizes.side`); None where it does not come true up to the
        largest size looked at.
    said : that size rounded up to what is said at the bench.
    strokes : numbers of those that decide it, failing a little below; none where nothing failed at
        the least size looked at, which is then `size`. Without a size, those that fail to the last.
    failing : how many places fail at the largest size looked at, 0 where `size` is known.
    last : the size at which the last of these should hold, by a sum alone; None where none would, or
        where grooves follow the size.
    """

    size: float | None
    said: float | None = None
    strokes: tuple[int, ...] = ()
    failing: int = 0
    last: float | None = None


@dataclass(frozen=True)
class Choice:
    """One bit at one depth, at the size asked for.

    Attributes
    ----------
    name : what the user calls the bit, "" for one that has no name.
    groove : its width at this depth.
    held : how many strokes are cut no wider than they may be.
    length_held : their length's share of all, 0 to 1.
    best : holds most of all choices.
    """

    name: str
    bit: Bit
    depth: float
    groove: float
    held: int
    length_held: float
    losses: Losses
    best: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class SizeCurve:
    """What one figure loses at other sizes, with bit and depth as in `job`.

    Attributes
    ----------
    width, height : the size asked for, between outermost stroke middles, not turned.
    side : which of the two tells the size: "wide", or "high" for a figure without width.
    rows : from small to large, the size asked for among them.
    largest : the largest size that fits the board, None without a board.
    """

    job: Job
    width: float
    height: float
    side: Side
    rows: tuple[SizeRow, ...]
    largest: float | None = None

    @property
    def asked(self) -> float:
        """The size asked for, by its side."""
        return self.width if self.side == "wide" else self.height

    def size_of_row(self, row: SizeRow) -> float:
        """Return the size of a row by the side that tells it."""
        return row.width if self.side == "wide" else row.height


@dataclass(frozen=True, eq=False, kw_only=True)
class Sizes(SizeCurve):
    """Answers for one figure, with bit and depth as in `job` but for the choices.

    Attributes
    ----------
    strokes : how many there are.
    nothing_thin, nothing_merged, all_holds : from which size on no stroke is too thin, no grooves
        run together, all wood between and within grooves holds.
    choices : bits and depths, each bit's together.
    capitals : height of the capitals at the size asked for, mm; 0 for a figure that is no words.
    """

    strokes: int
    nothing_thin: Least
    nothing_merged: Least
    all_holds: Least
    choices: tuple[Choice, ...] = ()
    capitals: float = 0.0

    def capitals_at(self, size: float) -> float:
        """Return the height of the capitals at a size, by its side, mm."""
        return self.capitals * size / self.asked

    @property
    def nothing_lost(self) -> Least:
        """The least size at which all three hold."""
        each = (self.nothing_thin, self.nothing_merged, self.all_holds)
        never = [one for one in each if one.size is None]
        if never:
            return max(never, key=lambda one: one.failing)
        return max(each, key=lambda one: one.size or 0.0)
