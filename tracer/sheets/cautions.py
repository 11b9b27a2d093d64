"""What can hurt, for this job: the usual cautions, which give way to makers, manuals and local rules.

[S15] a magazine's noise survey, and NIOSH; [S24] published charts of router speeds; [S25] a retailer's
article on installing bits; [S27] OSHA, NIOSH and ACGIH on wood dust; [S28] the UK HSE on wood dust; [S29]
16 CFR 1303; [S30] the CPSC's cot standards; [S31] 16 CFR 1213 and 1513; [S32] US Copyright Office Circular
14. What has no mark is common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from tracer.lengths import both
from tracer.model.plan import Plan
from tracer.sheets.placement import pieces_of_words
from tracer.shop.bits import Straight
from tracer.shop.router import CUTTING_NOISE, MOST_DEPTH_A_PASS, SPEED_LIMITS, usual_rpm_limit

_SMALL_BOARD = 150.0
"""mm: a board less wide than this is no hold for clamps outside the router's sweep (common practice)."""

_THIN_BIT = 3.2
"""mm: straight bits no thicker break when they are pushed (common practice, no source)."""

_THROUGH = (
    "This depth cuts through the board. Openings in a child's bed or cot can trap a head, neck or limb: "
    "read the rules that hold where you live (in the USA 16 CFR 1213, 1219, 1220 and 1513; in Europe EN 716 "
    "and EN 747) before you cut any."
)  # [S30][S31]; the European ones from memory
_NOISE = f"glasses; ear protection against some {CUTTING_NOISE:g} dBA; extraction and a mask:"
_HANDS = (
    "no gloves, loose cuffs or jewellery; hair tied back. Lift the bit before you stop; both hands on the "
    "handles till it stands."
)
_SCORCHED = "keep moving: this wood scorches; less speed helps."
_HOLD = "the board must not shift; no clamp in the way of arms or router."
_CHILD = (
    "no slivers, sharp edges or lead in paint. Heed local rules on openings and projections of cots and "
    "bunk beds. Nothing here says that a bed, cot or toy is safe."
)  # [S29][S30][S31]
_COPY = "carve your own art, a child's with their say, the public domain's, or as a licence allows."  # [S32]
_FONT = "a font has a licence, too: it must allow what you make with it."

_SCORCHES = frozenset({"hard maple", "cherry", "beech"})
_SOFT = frozenset({"pine", "fir", "cedar"})
_GLUED = frozenset({"mdf", "birch plywood", "softwood plywood"})


@dataclass(frozen=True)
class Caution:
    """One caution: what it is about, in a word or two, and what to do, in plain sentences."""

    about: str
    words: str

    def __str__(self) -> str:
        return f"{self.about}: {self.words}"


def cautions(plan: Plan) -> tuple[Caution, ...]:
    """Return the cautions that fit this plan's bit, depth, wood, board and pieces, the gravest first."""
    wood = plan.layout.board.wood.casefold()
    cut = max((stop.depth for stop in plan.stops), default=0.0)
    through = cut >= plan.layout.board.thickness
    return (
        *((Caution("Cut through", _THROUGH),) if through else ()),
        Caution("Bit", " ".join(_of_bit(plan))),
        Caution("Eyes, ears, lungs", f"{_NOISE} {_of_dust(wood)}"),
        Caution("Hands", _HANDS),
        Caution("Holding", " ".join(_of_holding(plan))),
        *((Caution("Burns", _SCORCHED),) if wood in _SCORCHES else ()),
        Caution("For a child", _CHILD),
        Caution("Copyright", " ".join(_of_rights(plan))),
    )


def _of_bit(plan: Plan) -> Iterator[str]:
    """Say how the bit is held and turned: its maker first [S24][S25]."""
    yield "its marking, the router's manual and your local rules come first."
    bit, units = plan.job.bit, plan.job.units
    limit = usual_rpm_limit(bit.diameter)
    if limit < SPEED_LIMITS[0][1]:
        yield f"So wide it turns at most {limit} times a minute by the usual charts."
    yield "Unplug to change it; shank fully in, 2 mm out."
    deepest = max((_steepest(stop.pass_depths) for stop in plan.stops), default=0.0)
    if deepest > MOST_DEPTH_A_PASS + 0.01:
        yield f"A pass of {both(deepest, units)} is more than some routers' manuals allow."
    if isinstance(bit, Straight) and bit.diameter <= _THIN_BIT:
        yield "So thin it snaps when it is pushed: go slowly."


def _steepest(depths: tuple[float, ...]) -> float:
    """Return the most that one pass adds, mm."""
    return max(below - above for above, below in zip((0.0, *depths), depths, strict=False))


def _of_dust(wood: str) -> str:
    """Say what this wood's dust does, as far as it is known [S27][S28]; cedar's asthma from memory."""
    if wood == "mdf":
        return "MDF's dust is fine and carries its glue, even from one groove."
    if wood in _GLUED:
        return "plywood's dust carries its glue."
    if wood == "cedar":
        return "the dust of cedar can bring on asthma."
    if wood in _SOFT:
        return "wood dust harms the lungs."
    return f"the dust of {wood}, as of hard woods at large, can cause cancer of the nose."


def _of_holding(plan: Plan) -> Iterator[str]:
    yield _HOLD
    board, units = plan.layout.board, plan.job.units
    least = min(board.width, board.height)
    if board.declared and least < _SMALL_BOARD:
        yield f"Only {both(least, units)} wide: screw or tape it to a larger one."
    if len(plan.set_ups) > 1:
        yield "Before it is moved on: bit up, router off, plug out."


def _of_rights(plan: Plan) -> Iterator[str]:
    words = bool(pieces_of_words(plan))
    if plan.layout.pictures or not words:
        yield _COPY
    if words:
        yield _FONT if not plan.layout.pictures else f"And {_FONT}"
