"""How each wood looks planed and unfinished: colours and figure, by eye; no source."""

from dataclasses import dataclass

Colour = tuple[int, int, int]


@dataclass(frozen=True)
class Look:
    """What tells one wood from another at a glance.

    Attributes
    ----------
    early, late : sRGB colours of the wood grown in spring and in summer.
    drift : colour that the wood goes over to in broad patches, as heart and sap do.
    ring : distance between growth rings across the board in mm, 0 for none.
    strong : how dark summer wood is in its lines, 0..1.
    abrupt : summer wood is a thin line, as in conifers, not a slow change.
    arches : how much the lines bend into arches along the board: 0 straight, 1 as sawn flat.
    wild : how far the lines wander, in rings; peeled veneer wanders by several.
    streak, pore, fleck : strength of fine streaks, of dark pores in lines, of short dark flecks, 0..1.
    ray : strength of pale glossy flecks, 0..1.
    knots : how many in a square metre.
    """

    early: Colour
    late: Colour
    drift: Colour
    ring: float
    strong: float = 0.75
    arches: float = 1.0
    wild: float = 0.3
    streak: float = 0.5
    pore: float = 0.0
    fleck: float = 0.0
    ray: float = 0.0
    knots: float = 0.0
    abrupt: bool = False


_LOOKS = {
    "maple": Look((238, 221, 196), (217, 190, 156), (230, 206, 176), 6.0, 0.5, streak=0.3, fleck=0.25),
    "cherry": Look((204, 146, 108), (172, 108, 74), (186, 118, 82), 6.0, 0.6, streak=0.5, fleck=0.25),
    "beech": Look((224, 186, 150), (205, 160, 122), (216, 172, 136), 6.5, 0.35, streak=0.2, fleck=1.0),
    "oak": Look((206, 170, 122), (166, 124, 78), (192, 150, 102), 5.5, 0.6, streak=0.5, pore=1.0, ray=0.6),
    "ash": Look((230, 212, 182), (184, 152, 112), (218, 196, 162), 8.0, 0.85, streak=0.4, pore=0.7),
    "walnut": Look((124, 90, 66), (74, 49, 36), (104, 76, 62), 7.0, 0.8, wild=0.5, streak=0.8, pore=0.6),
    "poplar": Look((226, 218, 182), (198, 190, 146), (192, 192, 146), 8.0, 0.55, streak=0.5),
    "basswood": Look((238, 224, 200), (224, 206, 178), (232, 215, 188), 9.0, 0.4, streak=0.2),
    "alder": Look((208, 160, 120), (188, 138, 98), (200, 148, 106), 8.0, 0.35, streak=0.35, fleck=0.4),
    "cedar": Look((196, 132, 96), (140, 78, 54), (168, 96, 70), 2.8, 0.9, 0.45, streak=0.7, abrupt=True),
    "pine": Look(
        (243, 219, 166), (208, 152, 88), (238, 204, 146), 6.5, 0.95, streak=0.35, knots=14.0, abrupt=True
    ),
    "fir": Look((232, 190, 142), (184, 116, 70), (222, 172, 122), 3.6, 0.95, 0.15, streak=0.45, abrupt=True),
    "softwood plywood": Look(
        (226, 184, 124), (184, 126, 70), (208, 158, 98), 9.0, 1.0, 0.3, 3.2, streak=0.6, knots=30.0
    ),
    "plywood": Look(
        (236, 214, 176), (208, 172, 124), (228, 200, 158), 7.0, 0.75, 0.2, 2.6, streak=0.3, fleck=0.5
    ),
    "mdf": Look((176, 146, 112), (140, 112, 82), (170, 140, 107), 0.0),
}
_PLAIN = Look((226, 202, 162), (204, 172, 126), (216, 188, 146), 6.5, 0.6)


def look_of(wood: str) -> Look:
    """Return the look of a wood by its name; the longest known name within it, else a plain pale wood."""
    known = [name for name in _LOOKS if name in wood.lower()]
    return _LOOKS[max(known, key=len)] if known else _PLAIN
