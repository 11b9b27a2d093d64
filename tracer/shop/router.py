"""The router: passes, rim speed and its usual limit, noise, and how much a groove holds.

[S12] the operator's manual of a general hand router; [S15] a woodworking magazine's noise survey (2004),
which cites NIOSH; [S24], [S24b] published charts of router speeds by diameter; [D] geometry alone.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from tracer.errors import BitError
from tracer.lengths import both
from tracer.shop.bits import Bit

# A general hand router's operator's manual: never more a pass, whatever the bit or wood [S12].
MOST_DEPTH_A_PASS = 25.4 / 8  # mm

LEAST_BASE, MOST_BASE = 30.0, 500.0
"""Diameters taken for a router's base, mm: our own limits."""

ROUTER_BASE = 150.0
"""Diameter of a router's base where nobody measured it, mm (from memory: about 6 in is usual)."""

SPEED_LIMITS = ((25.4, 24_000), (50.8, 18_000), (63.5, 16_000), (88.9, 12_000))
"""Fastest turns a minute by the diameter up to which they hold, mm: the usual charts for hand routers.

[S24] gives 22-24 000 to 1 in, 18-22 000 to 2 in, 12-16 000 to 2 1/2 in, 8-12 000 to 3 1/2 in; [S24b]
24, 18, 16 and 12 thousand: the slower ceiling of the two stands here. The marking on the bit comes first.
"""
SLOWEST_ROUTER, FASTEST_ROUTER = 1_000.0, 60_000.0
"""Turns a minute taken for a router's: our own limits."""

CUTTING_NOISE = 93.0
"""dBA of a router cutting, at 3 ft, as a magazine's survey measured one; others were louder [S15]."""

_FLOAT_NOISE = 1e-9  # 0.3 / 0.1 is 2.9999999999999996 or 3.0000000000000004, and must be 3 passes
_MOST_PASSES = 100
_HALVINGS = 60  # of the depth: as near as a float can be


def passes(depth: float, limit: float = MOST_DEPTH_A_PASS) -> int:
    """How many passes a depth takes: ceil(depth / limit) [S12].

    Parameters
    ----------
    depth, limit : float
        Final depth, and the most that one pass may add, mm.

    Raises
    ------
    BitError
        Where either is not more than 0, or over 100 passes are needed.
    """
    if not (0 < depth < math.inf and 0 < limit < math.inf):
        raise BitError(f"depth {depth:g} mm at {limit:g} mm a pass cannot be cut: both must be more than 0")
    count = max(1, math.ceil(depth / limit - _FLOAT_NOISE))
    if count > _MOST_PASSES:
        raise BitError(
            f"depth {both(depth, 'mm')} at {limit:g} mm a pass takes {count} passes; "
            f"{_MOST_PASSES} at most make sense: allow more a pass"
        )
    return count


def pass_depths(bit: Bit, depth: float, limit: float = MOST_DEPTH_A_PASS) -> tuple[float, ...]:
    """Depths of the fewest passes, each removing as equal a share of the wood as the limit allows.

    In a V groove the wood removed goes with the square of the depth, so that equal steps overload
    the last pass; equal shares lie at depth x sqrt(i / n) [D]. A step that would pass the limit
    is cut down to it, and what is left is shared among the passes that follow.

    Parameters
    ----------
    bit : Bit
        What cuts.
    depth, limit : float
        Final depth, and the most that one pass may add, mm.

    Returns
    -------
    tuple of float
        Depths below the face, mm, rising; the last is `depth`.

    Raises
    ------
    BitError
        As `passes`, and for a depth that the bit cannot cut.
    """
    total = bit.area_at(depth)
    count = passes(depth, limit)
    depths: list[float] = []
    for left in range(count, 1, -1):
        done = depths[-1] if depths else 0.0
        removed = bit.area_at(done) if depths else 0.0
        share = _depth_of_area(bit, removed + (total - removed) / left, depth)
        depths.append(min(share, done + limit))
    return (*depths, depth)


def equal_wood_depths(bit: Bit, depth: float, count: int) -> tuple[float, ...]:
    """Depths of `count` passes that remove equal wood, whatever a pass may add at most; mm, rising.

    In a V they are depth x sqrt(i / count) [D].
    """
    total = bit.area_at(depth)
    shares = (_depth_of_area(bit, total * i / count, depth) for i in range(1, count))
    return (*shares, depth)


def wood_shares(bit: Bit, depths: Sequence[float]) -> tuple[float, ...]:
    """Part of all the wood that each pass removes; `depths` as `pass_depths` gives them."""
    areas = [0.0, *map(bit.area_at, depths)]
    return tuple((b - a) / areas[-1] for a, b in pairwise(areas))


def _depth_of_area(bit: Bit, area: float, deepest: float) -> float:
    """Depth at which the groove's section has an area, by halving: areas rise with depth."""
    low, high = 0.0, deepest
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if bit.area_at(middle) < area:
            low = middle
        else:
            high = middle
    return high


def fill_volume_ml(bit: Bit, depth: float, length: float) -> float:
    """Wood removed, or paint or resin that fills a groove to the face, mL: section x length (both in mm) [D].

    Waste, shrinkage and what the wood drinks come on top.
    """
    return bit.area_at(depth) * length / 1000


def rim_speed(diameter: float, rpm: float) -> float:
    """Speed of a bit's rim, m/s: pi D n [D], for a diameter in mm and turns a minute."""
    return math.pi * diameter / 1000 * rpm / 60


def usual_rpm_limit(diameter: float) -> int:
    """Fastest turns a minute that the usual charts allow for a bit so wide, mm [S24][S24b].

    Raises
    ------
    BitError
        For a diameter beyond the charts, 3 1/2 in.
    """
    for widest, rpm in SPEED_LIMITS:
        if diameter <= widest + _FLOAT_NOISE:
            return rpm
    raise BitError(f"a bit {both(diameter, 'mm')} across is wider than the usual speed charts go")


def noise_hours(level: float) -> float:
    """Hours a day at a noise level, dBA: 8 at 85, halved for each 3 more (NIOSH) [S15]."""
    return float(8 / 2 ** ((level - 85) / 3))
