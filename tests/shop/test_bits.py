"""Grooves: width from depth and back, refusals, and the section that a raster sees."""

import math

import numpy as np
import pytest
from bit_strategies import BITS, FOLLOWING
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import BitError
from tracer.shop.bits import Bit, RoundNose, Straight, TaperedBall, VBit

PARTS = st.floats(0.001, 1)  # of the deepest setting
SAMPLES = [
    VBit(60, 12.7),
    VBit(90, 12.7, flat=1),
    VBit(60, 12.7, tip_radius=0.25),
    VBit(120, 25.4, cutting_length=4),
    RoundNose(6.35),
    RoundNose(12.7, cutting_length=19),
    Straight(3.175),
    TaperedBall(0.5, 5, 6.35),
    TaperedBall(1, 7, 12.7, cutting_length=20),
]


def deepest(bit: Bit) -> float:
    return 3 * bit.diameter if bit.max_depth is None else bit.max_depth


@given(FOLLOWING, PARTS)
def test_depth_to_width_to_depth(bit: Bit, part: float) -> None:
    below_full = min(deepest(bit), bit.section.full_depth * 0.999)
    depth = part * below_full
    assert bit.depth_for(bit.width_at(depth)) == pytest.approx(depth, rel=1e-6, abs=1e-7)


@given(BITS, PARTS, PARTS)
def test_width_and_wood_removed_never_fall_with_depth(bit: Bit, one: float, other: float) -> None:
    shallow, deep = sorted((one * deepest(bit), other * deepest(bit)))
    assert bit.min_width <= bit.width_at(shallow) <= bit.width_at(deep) <= bit.max_width
    assert bit.area_at(shallow) <= bit.area_at(deep) + 1e-12
    assert bit.area_at(deep) <= bit.width_at(deep) * deep * (1 + 1e-9)


@given(FOLLOWING)
def test_deepest_setting_gives_the_widest_groove(bit: Bit) -> None:
    assert bit.width_at(deepest(bit)) == pytest.approx(bit.max_width)
    if bit.section.side:
        assert bit.width_at(bit.depth_for(bit.max_width)) == pytest.approx(bit.max_width)


@given(BITS, st.floats(0.01, 0.99))
def test_height_is_the_depth_at_which_the_face_is_reached(bit: Bit, part: float) -> None:
    depth = part * deepest(bit)
    half = bit.width_at(depth) / 2
    assert bit.height_at(half * (1 - 1e-9)) <= depth + 1e-9
    assert bit.height_at(half * (1 + 1e-6) + 1e-6) >= depth - 1e-9


@pytest.mark.parametrize("bit", SAMPLES, ids=repr)
@pytest.mark.parametrize("part", [0.02, 0.3, 0.7, 1.0])
def test_raster_sweep_of_the_section(bit: Bit, part: float) -> None:
    """Drop the bit's outline into wood on a fine raster and measure the hole: width and area."""
    step = 0.001
    depth = part * deepest(bit)
    radius = np.arange(-bit.diameter / 2 - 1, bit.diameter / 2 + 1, step)
    cut = np.maximum(depth - bit.height_at(radius), 0.0)
    assert np.count_nonzero(cut > 0) * step == pytest.approx(bit.width_at(depth), abs=3 * step)
    assert cut.sum() * step == pytest.approx(bit.area_at(depth), rel=2e-3, abs=1e-3)


def test_height_takes_numbers_and_arrays_alike() -> None:
    bit = TaperedBall(0.5, 5, 6.35)
    radii = np.array([[0.0, 0.3, 0.5], [1.0, -1.0, 9.0]], dtype=np.float32)
    heights = bit.height_at(radii)
    assert heights.shape == (2, 3)
    assert isinstance(bit.height_at(0.3), float)
    assert bit.height_at(0.0) == 0
    assert heights[0, 1] == pytest.approx(bit.height_at(0.3), abs=1e-6)
    assert heights[1, 0] == heights[1, 1]
    assert math.isinf(heights[1, 2])


@pytest.mark.parametrize("bit", SAMPLES, ids=repr)
@pytest.mark.parametrize("depth", [0, -1, math.nan, math.inf])
def test_refuses_depths_that_are_none(bit: Bit, depth: float) -> None:
    with pytest.raises(BitError, match="cannot be cut: it must be more than 0"):
        bit.width_at(depth)
    with pytest.raises(BitError, match="cannot be cut"):
        bit.area_at(depth)


@pytest.mark.parametrize(
    ("bit", "depth", "why"),
    [
        (
            VBit(60, 12.7),
            11.1125,
            r"full width at 10\.9 mm \(27/64 in\): set it shallower, or take a wider bit",
        ),
        (VBit(60, 12.7, cutting_length=8), 9, r"cuts at most 8 mm \(5/16 in\) deep"),
        (Straight(6.35, cutting_length=19.05), 20, r"cuts at most 19\.0 mm \(3/4 in\) deep.*longer bit"),
        (TaperedBall(0.5, 5, 6.35), 40, r"full width at 31\.0 mm"),
        (VBit(60, 12.7, flat=1), 10.2, r"full width at 10\.1 mm"),  # (12.7 - 1) / (2 tan 30 deg)
        (VBit(60, 12.7, tip_radius=0.25), 10.8, r"full width at 10\.7 mm"),  # sharp less R
        (RoundNose(6.35, cutting_length=10), 11, r"cuts at most 10 mm \(25/64 in\) deep.*longer bit"),
    ],
)
def test_refuses_to_go_too_deep(bit: Bit, depth: float, why: str) -> None:
    with pytest.raises(BitError, match=why):
        bit.width_at(depth)


@pytest.mark.parametrize(
    ("bit", "width", "why"),
    [
        (VBit(60, 12.7), 13, r"more than this V bit cuts, at most 12\.7 mm"),
        (VBit(60, 12.7, cutting_length=2), 5, r"at most 2\.30 mm"),
        (VBit(60, 12.7), 0, "must be more than 0"),
        (VBit(60, 12.7), math.nan, "must be more than 0"),
        (VBit(60, 12.7, flat=0.5), 0.5, r"not more than the bit's tip flat of 0\.5 mm"),
        (RoundNose(6.35), 6.35, r"at any depth from 3\.18 mm \(1/8 in\) on"),
        (Straight(3.175), 3.175, r"cuts 3\.18 mm \(1/8 in\) wide at any depth"),
        (Straight(3.175), 1, "at any depth"),
        (VBit(60, 12.7, tip_radius=0.25), 13, r"more than this V bit cuts, at most 12\.7 mm"),
        (RoundNose(6.35), 7, r"more than this round-nose bit cuts, at most 6\.35 mm"),
        (RoundNose(6.35, cutting_length=2), 6, r"at most 5\.89 mm"),  # 2 sqrt(2 (6.35 - 2)) = 5.899
        (TaperedBall(0.5, 5, 6.35), 7, r"more than this tapered ball bit cuts, at most 6\.35 mm"),
        (TaperedBall(0.5, 5, 6.35), -1, "must be more than 0"),
    ],
)
def test_refuses_widths(bit: Bit, width: float, why: str) -> None:
    with pytest.raises(BitError, match=why):
        bit.depth_for(width)


@given(BITS, st.floats(-10, 200))
def test_any_depth_and_any_width_is_answered_or_refused_in_words(bit: Bit, length: float) -> None:
    for ask in (bit.width_at, bit.depth_for):
        try:
            assert math.isfinite(ask(length))
        except BitError as error:
            assert len(str(error).split()) > 6  # noqa: PT017 - either outcome will do


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (lambda: VBit(5, 12.7), "5 deg cannot be right: 10 to 170"),
        (lambda: VBit(171, 12.7), "included angle"),
        (lambda: VBit(math.nan, 12.7), "nan deg"),
        (lambda: VBit(60, 0), "across cannot be right"),
        (lambda: VBit(60, math.nan), "across cannot be right"),
        (lambda: RoundNose(100), r"at most 88\.9 mm"),
        (lambda: VBit(60, 6, flat=6), "tip flat of 6 mm .* does not fit"),
        (lambda: VBit(60, 6, flat=-1), "tip flat of -1 mm"),
        (lambda: VBit(60, 6, flat=1, tip_radius=1), "either flat or worn"),
        (lambda: VBit(60, 6, tip_radius=4), r"worn tip's width of 6\.93 mm"),
        (lambda: TaperedBall(0, 5, 6), "is no ball"),
        (lambda: TaperedBall(4, 5, 6), "ball's width"),
        (lambda: TaperedBall(1, 60, 6), "60 deg a side"),
        (lambda: TaperedBall(1, 0, 6), "0 deg a side"),
        (lambda: Straight(6, cutting_length=0), "cutting length 0 mm"),
        (lambda: Straight(6, cutting_length=math.inf), "cutting length inf"),
    ],
)
def test_refuses_bits_that_cannot_exist(make: object, why: str) -> None:
    with pytest.raises(BitError, match=why):
        make()  # type: ignore[operator]


def test_what_land_rules_ask() -> None:
    assert Straight(6).straight_walled
    assert not Straight(6).width_follows_depth
    for bit in (VBit(60, 6), RoundNose(6), TaperedBall(1, 5, 6)):
        assert bit.width_follows_depth
        assert not bit.straight_walled


def test_rounding_past_the_limit_is_forgiven_and_widens_nothing() -> None:
    bit = VBit(60, 12.7)
    assert bit.width_at(bit.max_depth + 5e-10) == bit.max_width  # type: ignore[operator]


def test_a_very_small_wear_is_nearly_sharp() -> None:
    sharp, worn = VBit(60, 12.7), VBit(60, 12.7, tip_radius=1e-9)
    assert worn.width_at(3) == pytest.approx(sharp.width_at(3))
    assert worn.depth_for(3) == pytest.approx(sharp.depth_for(3))
