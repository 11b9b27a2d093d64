import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import JobError
from tracer.shop.wood import WOODS, Wood, least_land, wood_named

ANGLES = st.floats(-7.0, 7.0)
DEPTHS = st.floats(0.1, 20.0)

# Rules of thumb (common practice, no source): least land along and across the grain, mm.
TABLE = {
    ("hard maple", "cherry", "beech"): (1.5, 2.5),
    ("oak", "ash"): (2.5, 4.0),
    ("walnut", "poplar", "basswood", "alder"): (2.0, 3.0),
    ("pine", "fir", "cedar"): (3.0, 4.7625),
    ("birch plywood",): (3.0, 3.0),
    ("softwood plywood",): (5.0, 5.0),
    ("MDF",): (2.0, 2.0),
}


@pytest.mark.parametrize(("names", "lands"), TABLE.items())
def test_table(names: tuple[str, ...], lands: tuple[float, float]) -> None:
    for name in names:
        wood = wood_named(name)
        assert (wood.land_along, wood.land_across) == lands
        assert wood.remark


def test_table_is_whole() -> None:
    assert sorted(wood.name for wood in WOODS) == sorted(name for names in TABLE for name in names)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Maple", "hard maple"),
        ("mdf", "MDF"),
        ("  Birch-Ply ", "birch plywood"),
        ("western red cedar", "cedar"),
    ],
)
def test_other_names(text: str, name: str) -> None:
    assert wood_named(text).name == name


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("pien", 'Did you mean "pine"'),
        ("plywood", "birch plywood, softwood plywood"),
        ("", "known are hard maple"),
    ],
)
def test_unknown_wood_lists_the_known(text: str, why: str) -> None:
    with pytest.raises(JobError, match=why):
        wood_named(text)


def test_unknown_wood_says_where() -> None:
    with pytest.raises(JobError, match=r"^my.toml: board.wood “granite” is not a known wood"):
        wood_named("granite", what="my.toml: board.wood")


@pytest.mark.parametrize(
    ("name", "angle_deg", "depth", "straight", "land"),
    [
        ("pine", 0, 1.0, False, 3.0),
        ("pine", 90, 1.0, False, 4.7625),
        ("pine", 30, 1.0, False, 3.0 + 0.25 * 1.7625),  # sine squared of 30 deg is 1/4
        ("hard maple", 0, 6.0, False, 3.0),  # half the depth, sloping walls
        ("hard maple", 0, 6.0, True, 6.0),  # the depth, upright walls
        ("hard maple", 90, 6.0, True, 6.0),  # no more across the grain in hard wood
        ("pine", 90, 6.0, True, 12.0),  # twice as much in soft wood
        ("pine", 0, 6.0, True, 6.0),
        ("birch plywood", 90, 6.0, True, 12.0),
        ("MDF", 90, 6.0, True, 6.0),
    ],
)
def test_least_land(name: str, angle_deg: float, depth: float, straight: bool, land: float) -> None:
    found = least_land(
        wood_named(name), grain_angle=math.radians(angle_deg), depth=depth, straight_walled=straight
    )
    assert found == pytest.approx(land)


@given(st.sampled_from(WOODS), ANGLES, DEPTHS, st.booleans())
def test_direction_has_no_sense(wood: Wood, angle: float, depth: float, straight: bool) -> None:
    """A land has a line, not an arrow: turned half round or mirrored it is the same."""
    first, *others = (
        least_land(wood, grain_angle=a, depth=depth, straight_walled=straight)
        for a in (angle, angle + math.pi, -angle)
    )
    assert others == [pytest.approx(first)] * 2


@given(st.sampled_from(WOODS), ANGLES, DEPTHS, st.floats(0.0, 3.0))
def test_more_asks_for_more(wood: Wood, angle: float, depth: float, hand: float) -> None:
    def land(deep: float, *, straight: bool = False, stray: float = 0.0) -> float:
        return least_land(wood, grain_angle=angle, depth=deep, straight_walled=straight, hand=stray)

    assert land(depth) <= land(depth + 1.0)
    assert land(depth) <= land(depth, straight=True)
    assert land(depth, stray=hand) == pytest.approx(land(depth) + 2 * hand)


def test_every_number_of_the_rule_can_be_the_users_own() -> None:
    own = replace(wood_named("pine"), land_along=1.0, land_across=2.0, sloping_share=0.75, straight_share=1.5)

    def land(*, depth: float, straight: bool, angle_deg: float = 90.0) -> float:
        angle = math.radians(angle_deg)
        return least_land(own, grain_angle=angle, depth=depth, straight_walled=straight)

    assert land(depth=1.0, straight=False) == pytest.approx(2.0)
    assert land(depth=1.0, straight=False, angle_deg=0.0) == pytest.approx(1.0)
    assert land(depth=8.0, straight=False) == pytest.approx(6.0)  # 0.75 of the depth
    assert land(depth=8.0, straight=True) == pytest.approx(24.0)  # 1.5 of the depth, twice across the grain
    flat = replace(own, straight_across_factor=1.0)
    assert least_land(flat, grain_angle=math.pi / 2, depth=8.0, straight_walled=True) == pytest.approx(12.0)
