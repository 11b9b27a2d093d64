"""The page that writes the rules out says the numbers that the program uses."""

import re
from pathlib import Path

import pytest

from tracer.shop.linkage import Linkage
from tracer.shop.router import MOST_DEPTH_A_PASS, SPEED_LIMITS
from tracer.shop.settings import Shop
from tracer.shop.traced import CUT_OFF, TRACED_OFF
from tracer.shop.wood import WOODS

PAGE = (Path(__file__).parents[2] / "docs" / "rules.md").read_text(encoding="utf-8")
ROWS = {
    name.strip(): tuple(map(float, numbers))
    for names, *numbers in re.findall(r"^\| ([^|]+) \| ([\d.]+) \| ([\d.]+) \| ([\d.]+) \|$", PAGE, re.M)
    for name in names.split(",")
}


def test_woods() -> None:
    assert {
        wood.name: (wood.land_along, wood.land_across, wood.straight_across_factor) for wood in WOODS
    } == ROWS
    assert {(wood.straight_share, wood.sloping_share) for wood in WOODS} == {(1.0, 0.5)}
    assert "s = 1,   f = 1 + (factor - 1) sin^2 a" in PAGE
    assert "s = 0.5, f = 1\n" in PAGE


@pytest.mark.parametrize(
    "words",
    [
        f"limit {MOST_DEPTH_A_PASS:g} (1/8 in) a pass",
        f"{Shop().speed_low:g} to {Shop().speed_high:g} mm/s and {Shop().plunge_low:g} s a plunge",
        f"({CUT_OFF:g} / cut)^2 + ({TRACED_OFF:g} / traced)^2",
        *(f"{widest:g}" for widest, _ in SPEED_LIMITS),
        *(f"{rpm:,}".replace(",", " ") for _, rpm in SPEED_LIMITS),
    ],
)
def test_numbers(words: str) -> None:
    assert words in PAGE


def test_stray_as_the_linkage_has_it() -> None:
    assert "stray = sqrt( (k hand)^2 + play^2 )" in PAGE
    assert Linkage(0.5, play=0.3).error_on_wood(0.8) == pytest.approx((0.4**2 + 0.3**2) ** 0.5)
