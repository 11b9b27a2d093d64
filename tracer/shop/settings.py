"""What lasts from job to job: the shop file, in the user's configuration folder."""

from dataclasses import dataclass, field

from tracer.lengths import Units
from tracer.shop.bits import Bit
from tracer.shop.linkage import Linkage
from tracer.shop.printer import Printer
from tracer.shop.router import MOST_DEPTH_A_PASS


@dataclass(frozen=True)
class Shop:
    """What stands in the workshop, and the user's own hand.

    Attributes
    ----------
    linkage : None where its ratio is not known yet.
    bits : (name, bit), in the user's order.
    printer : as its bar was measured, or assumed true.
    units : how the user reads lengths.
    speed_low, speed_high : of the stylus along the template, mm/s.
    plunge_low, plunge_high : time for a plunge and its lift, s.
    hand_error : how far the stylus strays from the line, mm on the template.
    pass_limit : deepest cut in one pass, mm.
    said : keys that the shop file holds; all else is assumed.

    Notes
    -----
    Speeds, times and the hand's error are common practice, no source; the pass limit
    is that of a general hand router's operator's manual, 1/8 in whatever the bit or wood.
    """

    linkage: Linkage | None = None
    bits: tuple[tuple[str, Bit], ...] = ()
    printer: Printer = field(default_factory=Printer)
    units: Units = "mm"
    speed_low: float = 10.0
    speed_high: float = 20.0
    plunge_low: float = 10.0
    plunge_high: float = 10.0
    hand_error: float = 1.0
    pass_limit: float = MOST_DEPTH_A_PASS
    said: frozenset[str] = frozenset()
