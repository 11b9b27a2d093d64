"""What can hurt, for this job: the usual cautions, which give way to makers, manuals and local rules."""

from tracer.model.plan import Plan

_ALWAYS = (
    "The bit's own marking, the router's manual and your local rules come before anything said here.",
    "Cut a scrap of the same wood first, and measure the groove and the ratio on it.",
    (
        "Unplug the router to change the bit; push the shank fully in, draw it out 2 mm, tighten. "
        "Never gain depth by drawing the bit further out."
    ),
    "Wear eye and ear protection. Extract the dust, and wear a mask: wood dust harms the lungs.",
    (
        "No gloves, loose cuffs or jewellery; hair tied back; both hands on the handles before the router "
        "runs, and wait until the bit stands still before letting go."
    ),
    "Fix the board so that it cannot move, with no clamp where the arms or the router's base pass.",
    "Lift the bit before you stop at the end of a run: a bit that turns on one spot burns the wood.",
)
_DUST = "The dust of MDF is fine and carries its glue: extraction and a mask, even for one groove."
_SHARP = "Hard woods scorch: keep moving, and turn the speed down if the groove darkens."
_CHILD = (
    "For a child: leave no loose slivers and no sharp arrises, and use finishes sold as safe for toys. "
    "This page does not say that a bed, cot or toy is safe."
)
_THROUGH = (
    "This depth cuts through the board. Openings in a child's bed or cot can trap a head, neck or limb: "
    "look up the rules that hold where you live (in the USA 16 CFR 1213, 1219, 1220 and 1513; in Europe "
    "EN 716 and EN 747) before cutting any opening or adding any projection."
)
_RIGHTS = (
    "Carving somebody's drawing makes a copy of it. Use your own, a child's with their say, art in the "
    "public domain, or art whose licence allows it: finding a picture on the web is no permission."
)


def cautions(plan: Plan) -> tuple[str, ...]:
    """Return the cautions that fit this plan, the gravest first, each one or two plain sentences."""
    wood = plan.layout.board.wood.casefold()
    through = max((stop.depth for stop in plan.stops), default=0.0) >= plan.layout.board.thickness
    return (
        *((_THROUGH,) if through else ()),
        *_ALWAYS,
        *((_DUST,) if "mdf" in wood else ()),
        *((_SHARP,) if any(name in wood for name in ("maple", "cherry", "beech")) else ()),
        _CHILD,
        _RIGHTS,
    )
