"""Woods, and the least wood that should stand between two grooves.

Every number here is a rule of thumb: common practice, no source. Wood is far
weaker across the grain (Record, The Mechanical Properties of Wood), so a land
that runs across it is short grain and breaks sooner.
"""

import difflib
import math
from dataclasses import dataclass

from tracer.errors import JobError
from tracer.lengths import quoted


@dataclass(frozen=True)
class Wood:
    """A wood and its rules of thumb.

    Attributes
    ----------
    name : as said on the sheets.
    land_along, land_across : least land that runs along and across the grain, mm.
    straight_across_factor : how many times wider a straight-walled land must be across the grain than along.
    remark : what to look out for, one plain clause.
    sloping_share, straight_share : least land as a part of the depth, between sloping or round walls and
        between upright ones.

    Notes
    -----
    Every number of the rule that `least_land` writes out is a field here: `dataclasses.replace`
    makes it the user's own.
    """

    name: str
    land_along: float
    land_across: float
    straight_across_factor: float = 1.0
    remark: str = ""
    sloping_share: float = 0.5
    straight_share: float = 1.0


_HARD = (1.5, 2.5, 1.0, "may scorch: keep moving")
_COARSE = (2.5, 4.0, 1.0, "splits along the pores")
_EVEN = (2.0, 3.0, 1.0, "good for a first piece")
_SOFT = (3.0, 4.7625, 2.0, "the soft early wood crushes, and knots push the bit aside")

WOODS: tuple[Wood, ...] = (
    *(Wood(name, *_HARD) for name in ("hard maple", "cherry", "beech")),
    *(Wood(name, *_COARSE) for name in ("oak", "ash")),
    Wood("walnut", 2.0, 3.0, 1.0, "carves crisply; it is dark, so marks are drawn in white pencil"),
    *(Wood(name, *_EVEN) for name in ("poplar", "basswood", "alder")),
    *(Wood(name, *_SOFT) for name in ("pine", "fir", "cedar")),
    Wood("birch plywood", 3.0, 3.0, 2.0, "no short grain, but the face veneer lifts"),
    Wood("softwood plywood", 5.0, 5.0, 2.0, "voids show in the groove"),
    Wood("MDF", 2.0, 2.0, 1.0, "no grain; edges fuzz: seal, then sand; its dust is the worst"),
)
"""All woods known, from the hardest to the softest, boards last."""

_ALIASES = {
    "maple": "hard maple",
    "sugar maple": "hard maple",
    "black walnut": "walnut",
    "red oak": "oak",
    "white oak": "oak",
    "yellow poplar": "poplar",
    "tulipwood": "poplar",
    "lime": "basswood",
    "linden": "basswood",
    "white pine": "pine",
    "yellow pine": "pine",
    "scots pine": "pine",
    "douglas fir": "fir",
    "red cedar": "cedar",
    "western red cedar": "cedar",
    "birch ply": "birch plywood",
    "baltic birch": "birch plywood",
    "softwood ply": "softwood plywood",
    "fibreboard": "mdf",
    "fiberboard": "mdf",
}


def wood_named(text: str, *, what: str = "wood") -> Wood:
    """The wood of that name, whatever its case and spacing.

    Raises
    ------
    JobError
        Where it is not known; the message names the nearest and lists them all.
    """
    said = " ".join(text.casefold().replace("-", " ").split())
    by_name = {wood.name.casefold(): wood for wood in WOODS}
    name = _ALIASES.get(said, said)
    if name in by_name:
        return by_name[name]
    known = ", ".join(wood.name for wood in WOODS)
    near = difflib.get_close_matches(said, [*by_name, *_ALIASES], n=1)
    hint = f' Did you mean "{near[0]}"?' if near else " Choose the one that is nearest to yours in hardness."
    raise JobError(f"{what} {quoted(text)} is not a known wood; known are {known}.{hint}")


def least_land(
    wood: Wood, *, grain_angle: float, depth: float, straight_walled: bool, hand: float = 0.0
) -> float:
    """Least wood between two grooves, mm: a rule of thumb (common practice, no source).

    Parameters
    ----------
    grain_angle : angle between the land's length and the grain, radians (0 along, pi/2 across).
    depth : of the grooves, mm.
    straight_walled : the grooves have upright walls, so the land has no foot.
    hand : how far each groove may stray on the wood, mm, the two towards each other.

    Notes
    -----
    The greater of the wood's own rule and the depth's, both between along and across by the sine
    squared of the angle a to the grain, and the two grooves' straying on top [D]::

        least = max(along + (across - along) sin^2 a, s d f) + 2 hand

        upright walls:            s = straight_share,  f = 1 + (straight_across_factor - 1) sin^2 a
        sloping and round walls:  s = sloping_share,   f = 1, as such a land widens downwards
    """
    across = math.sin(grain_angle) ** 2
    by_wood = wood.land_along + (wood.land_across - wood.land_along) * across
    steep = wood.straight_share * (1.0 + (wood.straight_across_factor - 1.0) * across)
    by_depth = depth * (steep if straight_walled else wood.sloping_share)
    return max(by_wood, by_depth) + 2.0 * hand
