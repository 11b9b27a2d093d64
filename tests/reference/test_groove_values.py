"""Grooves, passes, fill and rim speed against worked values; lengths against their definition.

Sources: [S19] the circular segment, h = R - sqrt(4 R^2 - a^2) / 2, as in published calculators, and
[M1] the same in a machinist's handbook, from memory; [S12] the operator's manual of a general hand
router; [S24] a published chart of router speeds by diameter; [S7] NIST on the international inch;
[S8] ISO 32000-1 as restated in other documents. [D] is arithmetic or geometry only: such a row
catches slips, and the raster sweep at the end measures the same grooves by another route.
"""

import math
from fractions import Fraction

import numpy as np
import pytest

from tracer.errors import BitError
from tracer.lengths import parse_length
from tracer.shop.bit_words import parse_bit
from tracer.shop.bits import Bit, RoundNose, Straight, TaperedBall, VBit
from tracer.shop.router import fill_volume_ml, pass_depths, passes, rim_speed

IN = 25.4
WIDE = 50.0  # mm across, where a row gives no diameter


def near(expected: float, digit: float) -> object:
    """Equal to within the last digit shown."""
    return pytest.approx(expected, rel=0, abs=digit)


WIDTH_FROM_DEPTH = {
    1: (VBit(60, WIDE), 3.175, near(3.666, 0.0006)),  # w = 2 d tan(angle / 2) [D]
    2: (VBit(90, WIDE), 3.0, near(6.000, 0.0006)),  # [D]
    3: (VBit(90, WIDE), IN / 16, near(0.1250 * IN, 0.001)),  # [D]
    4: (VBit(120, WIDE), 2.0, near(6.928, 0.0006)),  # [D]
    5: (VBit(60, WIDE), IN / 4, near(0.2887 * IN, 0.0015)),  # [D]
    11: (VBit(60, WIDE, flat=0.5), 2.0, near(2.809, 0.0006)),  # w = f + 2 d tan(angle / 2) [D]
    13: (VBit(90, WIDE, flat=1.0), 2.0, near(5.000, 0.0006)),  # [D]
    18: (RoundNose(6.35), 1.0, near(4.626, 0.0006)),  # w = 2 sqrt(d (2 R - d)) [S19][M1]
    19: (RoundNose(6.35), 2.0, near(5.899, 0.0006)),  # [S19][M1]
    20: (RoundNose(6.35), 3.175, near(6.350, 0.0006)),  # full width at d = R [S19][M1]
    21: (RoundNose(6.35), 5.0, near(6.350, 0.0006)),  # upright above R [D]
    22: (RoundNose(IN / 4), IN / 16, near(0.2165 * IN, 0.0015)),  # [S19][M1]
    23: (RoundNose(IN / 2), IN / 8, near(0.4330 * IN, 0.0015)),  # [S19][M1]
    28: (Straight(IN / 8), 0.7, near(0.125 * IN, 1e-9)),  # w = D at any depth [D]
    29: (TaperedBall(0.5, 5, 6.35), 0.3, near(0.917, 0.0006)),  # still on the ball [D]
    30: (TaperedBall(0.5, 5, 6.35), 3.0, near(1.441, 0.0006)),  # 2 (R cos a + (d - R (1 - sin a)) tan a) [D]
    31: (TaperedBall(1.0, 7, 6.35), 4.0, near(2.752, 0.0006)),  # [D]
    32: (VBit(60, WIDE, tip_radius=0.25), 2.0, near(2.598, 0.0006)),  # the same with a = angle / 2 [D]
}


@pytest.mark.parametrize("row", WIDTH_FROM_DEPTH)
def test_width_from_depth(row: int) -> None:
    bit, depth, expected = WIDTH_FROM_DEPTH[row]
    assert bit.width_at(depth) == expected


DEPTH_FROM_WIDTH = {
    6: (VBit(60, WIDE), IN / 8, near(2.750, 0.0006)),  # d = w / (2 tan(angle / 2)) [D]
    7: (VBit(90, WIDE), IN / 8, near(IN / 16, 1e-9)),  # [D]
    8: (VBit(120, WIDE), IN / 8, near(0.03608 * IN, 0.00015)),  # [D]
    9: (VBit(60, WIDE), IN / 4, near(0.21651 * IN, 0.00015)),  # [D]
    10: (VBit(60, WIDE), 2.0, near(1.732, 0.0006)),  # [D]
    12: (VBit(60, WIDE, flat=0.5), 3.0, near(2.165, 0.0006)),  # d = (w - f) / (2 tan(angle / 2)) [D]
    24: (RoundNose(6.0), 4.0, near(0.764, 0.0006)),  # d = R - sqrt(R^2 - w^2 / 4) [S19]
    25: (RoundNose(6.35), 5.0, near(1.218, 0.0006)),  # [S19]
    26: (RoundNose(IN / 4), 0.2 * IN, near(0.05 * IN, 1e-9)),  # a 3-4-5 triangle: exact [S19]
}


@pytest.mark.parametrize("row", DEPTH_FROM_WIDTH)
def test_depth_from_width(row: int) -> None:
    bit, width, expected = DEPTH_FROM_WIDTH[row]
    assert bit.depth_for(width) == expected


IMPOSSIBLE_WIDTH = {
    14: (VBit(60, WIDE, flat=0.5), 0.4, "tip flat"),  # w < f: refused, never a negative depth [D]
    27: (RoundNose(6.35), 7.0, "more than this round-nose bit cuts"),  # w > 2 R [D]
}


@pytest.mark.parametrize("row", IMPOSSIBLE_WIDTH)
def test_impossible_width(row: int) -> None:
    bit, width, why = IMPOSSIBLE_WIDTH[row]
    with pytest.raises(BitError, match=why):
        bit.depth_for(width)


FULL_WIDTH = {
    15: (VBit(90, 12.7), 6.350),  # d = (D - f) / (2 tan(angle / 2)) [D]
    16: (VBit(60, 12.7), 10.999),  # [D]
    17: (VBit(60, 6.35), 5.499),  # [D]
}


@pytest.mark.parametrize("row", FULL_WIDTH)
def test_depth_at_full_width(row: int) -> None:
    bit, expected = FULL_WIDTH[row]
    assert bit.max_depth == near(expected, 0.0006)
    assert bit.max_width == bit.diameter


def test_worn_v_against_the_sharp_one() -> None:
    # Row 32: the sharp V of the same angle gives 2.309 mm at 2 mm [D].
    assert VBit(60, WIDE).width_at(2) == near(2.309, 0.0006)


def test_row_29_lies_on_the_ball() -> None:
    # Row 29: the ball meets the taper at 0.456 mm [D].
    assert TaperedBall(0.5, 5, 6.35).section.tip_depth == near(0.456, 0.0006)


SENSITIVITY = {
    33: (60, 0.5, 0.577),  # change = 2 off tan(angle / 2) [D]
    34: (90, 0.5, 1.000),  # [D]
    35: (120, 0.5, 1.732),  # [D]
    36: (90, -0.3, -0.600),  # 0.3 mm sanded off the face [D]
}


@pytest.mark.parametrize("row", SENSITIVITY)
def test_change_of_width_with_depth(row: int) -> None:
    angle_deg, off, expected = SENSITIVITY[row]
    assert VBit(angle_deg, WIDE).width_change(2.0, off) == near(expected, 0.0006)


PASSES = {
    37: (IN / 4, IN / 8, 2),  # ceil(d / p), 1/8 in a pass [S12]
    38: (3 / 16 * IN, IN / 8, 2),  # [D]
    39: (IN / 8, IN / 8, 1),  # [D]
}


@pytest.mark.parametrize("row", PASSES)
def test_passes(row: int) -> None:
    depth, limit, count = PASSES[row]
    assert passes(depth, limit) == count
    assert passes(depth) == count


def test_passes_are_not_multiplied_by_float_noise() -> None:
    # Row 38: 0.3 / 0.1 is above 3 in floats of some sums, and is 3 passes [D].
    assert passes(0.1 + 0.2, 0.1) == 3
    for count in range(1, 60):
        assert passes(count * 0.1, 0.1) == count
        assert passes(sum([0.1] * count), 0.1) == count


EQUAL_WOOD = {
    # d sqrt(i / n), as area goes with d^2 [D]
    40: (2, (0.707, 1.0)),
    41: (3, (0.577, 0.816, 1.0)),
}


@pytest.mark.parametrize("row", EQUAL_WOOD)
def test_equal_wood_in_each_pass_of_a_v(row: int) -> None:
    count, shares = EQUAL_WOOD[row]
    bit, depth = VBit(60, WIDE), 10.0
    areas = [bit.area_at(share * depth) / bit.area_at(depth) for share in shares]
    assert areas == [near((i + 1) / count, 0.002) for i in range(count)]


def test_two_passes_of_equal_wood() -> None:
    # Row 40: 70.7 % and then all of the depth [D].
    assert pass_depths(VBit(60, WIDE), 4.0, 3.0) == near((2.828, 4.0), 0.0006)


def test_equal_depths_in_a_v_overload_the_last_pass() -> None:
    # Row 42: the first of two equal steps removes 25 %, the second 75 % [D].
    bit = VBit(60, WIDE)
    assert bit.area_at(2) / bit.area_at(4) == near(0.25, 1e-9)


FILL = {
    43: (90, 90.0, 0.06),  # V = d^2 tan(angle / 2) L [D]
    44: (60, 51.962, 0.0006),  # [D]
}


@pytest.mark.parametrize("row", FILL)
def test_fill_of_ten_metres_three_mm_deep(row: int) -> None:
    angle_deg, expected, digit = FILL[row]
    assert fill_volume_ml(VBit(angle_deg, WIDE), 3.0, 10_000) == near(expected, digit)


RIM_SPEED = {
    # inches, turns a minute, ft/min, mph, m/s: pi D n [D]; diameters and speeds of 105 to 108 [S24]
    105: (1.0, 24_000, 6283, 71.4, 31.9),
    106: (2.0, 18_000, 9425, 107.1, 47.9),
    107: (2.5, 16_000, 10_472, 119.0, 53.2),
    108: (3.5, 12_000, 10_996, 124.9, 55.9),
    109: (0.5, 24_000, 3142, 35.7, 16.0),
    110: (1.0, 16_000, 4189, 47.6, 21.3),
}


@pytest.mark.parametrize("row", RIM_SPEED)
def test_rim_speed(row: int) -> None:
    inches, rpm, feet_a_minute, mph, metres_a_second = RIM_SPEED[row]
    speed = rim_speed(inches * IN, rpm)
    assert speed == near(metres_a_second, 0.06)
    assert speed / 0.3048 * 60 == near(feet_a_minute, 0.6)
    assert speed * 3600 / 1609.344 == near(mph, 0.06)


def test_length_definitions() -> None:
    # Row 114: an inch is 25.4 mm exactly [S7]. Row 119: 100 points of 1/72 in [S8].
    assert Fraction(parse_length("10 in")) == 254
    assert parse_length("100 pt") == near(35.278, 0.0006)


def test_quick_factors() -> None:
    # 60 deg: w = 1.1547 d, d = 0.866 w; 90 deg: w = 2 d; 120 deg: w = 3.464 d, d = 0.289 w [D].
    for angle_deg, per_depth, per_width in ((60, 1.1547, 0.866), (90, 2.0, 0.5), (120, 3.464, 0.289)):
        assert VBit(angle_deg, WIDE).width_at(1) == near(per_depth, 0.0006)
        assert VBit(angle_deg, WIDE).depth_for(1) == near(per_width, 0.0006)


def test_half_angle_taken_for_included() -> None:
    # Taking a 60 deg V for 60 deg a side, or 30 deg for 60, is out by tan 30 / tan 15 = 2.155 [D].
    included, per_side = parse_bit("V 30deg 50mm"), parse_bit("V 30deg/side 50mm")
    assert per_side.width_at(1) / included.width_at(1) == near(2.155, 0.0006)


def _swept_width(outline: list[tuple[float, float]], depth: float) -> float:
    """Width at the face of the hole that an outline (height, half width) leaves: pixel counting.

    Knows nothing of our formulas: the outline is drawn here from the bit's own measures and
    turned into a 0.005 mm raster, whose topmost row is counted.
    """
    step = 0.005
    heights, halves = zip(*outline, strict=True)
    across = np.arange(-15, 15, step) + step / 2
    rows = np.arange(0, depth, step)
    half = np.interp(rows, heights, halves)
    wood_gone = np.abs(across)[None, :] <= half[:, None]
    return float(wood_gone.any(axis=0).sum() * step)


def _arc(radius: float, to_deg: float) -> list[tuple[float, float]]:
    """(height, half width) round a ball from its lowest point, by angle from straight down."""
    angles = np.radians(np.linspace(0, to_deg, 2000))
    return [(radius - radius * math.cos(a), radius * math.sin(a)) for a in angles]


def _upwards(start: tuple[float, float], side_deg: float) -> list[tuple[float, float]]:
    return [start, (start[0] + 20, start[1] + 20 * math.tan(math.radians(side_deg)))]


SWEPT: dict[int, tuple[Bit, float, list[tuple[float, float]]]] = {
    1: (VBit(60, WIDE), 3.175, _upwards((0, 0), 30)),
    4: (VBit(120, WIDE), 2.0, _upwards((0, 0), 60)),
    11: (VBit(60, WIDE, flat=0.5), 2.0, _upwards((0, 0.25), 30)),
    19: (RoundNose(6.35), 2.0, _arc(3.175, 90)),
    21: (RoundNose(6.35), 5.0, [*_arc(3.175, 90), *_upwards((3.175, 3.175), 0)]),
    30: (TaperedBall(0.5, 5, 6.35), 3.0, [*(ball := _arc(0.5, 85)), *_upwards(ball[-1], 5)]),
    31: (TaperedBall(1.0, 7, 6.35), 4.0, [*(ball := _arc(1.0, 83)), *_upwards(ball[-1], 7)]),
    32: (VBit(60, WIDE, tip_radius=0.25), 2.0, [*(ball := _arc(0.25, 60)), *_upwards(ball[-1], 30)]),
}


@pytest.mark.parametrize("row", SWEPT)
def test_raster_sweep_agrees(row: int) -> None:
    bit, depth, outline = SWEPT[row]
    assert _swept_width(outline, depth) == near(bit.width_at(depth), 0.02)
