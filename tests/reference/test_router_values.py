"""Speed limits, noise and passes of hand routers against published figures.

Sources: [S24] a published chart of router speeds by bit diameter and [S24b] another; [S15] a woodworking
magazine's noise survey (April 2004), which cites NIOSH: 85 dBA for 8 h, halved for each 3 dBA more; [D]
arithmetic. The rim speeds themselves are checked beside the grooves.
"""

from itertools import pairwise

import pytest

from tracer.shop.bits import RoundNose, Straight, VBit
from tracer.shop.router import (
    CUTTING_NOISE,
    SPEED_LIMITS,
    equal_wood_depths,
    fill_volume_ml,
    noise_hours,
    rim_speed,
    usual_rpm_limit,
    wood_shares,
)

IN = 25.4


def near(expected: float, digit: float) -> object:
    """Equal to within the last digit shown."""
    return pytest.approx(expected, rel=0, abs=digit)


@pytest.mark.parametrize(
    ("inches", "chart", "other"),
    [  # turns a minute: the range of [S24], the figure of [S24b]
        (0.25, (22_000, 24_000), 24_000),
        (0.5, (22_000, 24_000), 24_000),
        (1.0, (22_000, 24_000), 24_000),
        (1.25, (18_000, 22_000), 18_000),
        (2.0, (18_000, 22_000), 18_000),
        (2.5, (12_000, 16_000), 16_000),
        (3.0, (8_000, 12_000), 12_000),
        (3.5, (8_000, 12_000), 12_000),
    ],
)
def test_limit_by_diameter(inches: float, chart: tuple[int, int], other: int) -> None:
    limit = usual_rpm_limit(inches * IN)
    assert chart[0] <= limit <= chart[1]
    assert limit == other


def test_limits_come_to_the_rim_speeds_of_the_chart() -> None:
    # 71, 107, 119 and 125 mph [S24][D]: none beyond about 125 mph.
    mph = [rim_speed(diameter, rpm) * 3600 / 1609.344 for diameter, rpm in SPEED_LIMITS]
    assert mph == [near(expected, 0.6) for expected in (71, 107, 119, 125)]


def test_a_wider_bit_never_turns_faster() -> None:
    limits = [usual_rpm_limit(tenths / 10) for tenths in range(10, 889)]
    assert all(b <= a for a, b in pairwise(limits))


@pytest.mark.parametrize(
    ("level", "hours", "digit"),
    [
        (94, 1.00, 0.006),
        (93, 1.26, 0.006),
        (103, 0.125, 0.0006),
        (85, 8.0, 1e-9),
    ],  # 8 / 2^((L - 85) / 3) [S15]
)
def test_hours_of_noise(level: float, hours: float, digit: float) -> None:
    assert noise_hours(level) == near(hours, digit)


def test_a_router_is_too_loud_for_a_day() -> None:
    # 93 dBA cutting, at 3 ft: about an hour and a quarter [S15].
    assert noise_hours(CUTTING_NOISE) == near(1.26, 0.006)


def test_equal_wood_in_a_v() -> None:
    # 70.7 and 100 % of the depth; 57.7, 81.6 and 100 %: d sqrt(i / n), as area goes with d^2 [D]
    bit = VBit(60, 50)
    assert equal_wood_depths(bit, 10.0, 2) == near((7.07, 10.0), 0.006)
    assert equal_wood_depths(bit, 10.0, 3) == near((5.77, 8.16, 10.0), 0.006)
    assert wood_shares(bit, (5.0, 10.0)) == near((0.25, 0.75), 1e-9)  # equal steps: 25 % and 75 % [D]


def test_wood_out_of_a_metre_by_whole_shapes() -> None:
    """A metre of prism, of block and of half cylinder by school formulas [D]; 1 mL is 1 cm^3."""
    prism = 0.6 * 0.3 / 2 * 100  # cm: 90 deg V, 3 mm deep, 6 mm wide
    block = 0.6 * 0.3 * 100
    half_cylinder = 3.141592653589793 * 0.3**2 / 2 * 100
    found = [fill_volume_ml(bit, 3.0, 1000) for bit in (VBit(90, 50), Straight(6), RoundNose(6))]
    assert found == pytest.approx([prism, block, half_cylinder])
