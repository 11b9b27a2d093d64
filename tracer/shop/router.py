"""The router: passes, rim speed, and how much a groove holds."""

import math

from tracer.errors import BitError
from tracer.lengths import both
from tracer.shop.bits import Bit

# A general hand router's operator's manual: never more a pass, whatever the bit or wood [S12].
MOST_DEPTH_A_PASS = 25.4 / 8  # mm
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
    """Paint or resin that fills a groove to the face, mL: section x length (both in mm) [D].

    Waste, shrinkage and what the wood drinks come on top.
    """
    return bit.area_at(depth) * length / 1000


def rim_speed(diameter: float, rpm: float) -> float:
    """Speed of a bit's rim, m/s: pi D n [D], for a diameter in mm and turns a minute."""
    return math.pi * diameter / 1000 * rpm / 60
