"""Passes: the fewest, the wood shared out, never a step over the limit."""

from itertools import pairwise

import pytest
from bit_strategies import BITS
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import BitError
from tracer.shop.bits import Bit, RoundNose, Straight, VBit
from tracer.shop.router import (
    MOST_DEPTH_A_PASS,
    equal_wood_depths,
    fill_volume_ml,
    pass_depths,
    passes,
    usual_rpm_limit,
    wood_shares,
)


@given(BITS, st.floats(0.05, 1), st.floats(0.03, 1.5))
def test_no_step_passes_the_limit_and_no_pass_is_wasted(bit: Bit, part: float, share: float) -> None:
    depth = part * (bit.max_depth or 30)
    limit = share * depth
    depths = pass_depths(bit, depth, limit)
    steps = [b - a for a, b in pairwise((0.0, *depths))]
    assert len(depths) == passes(depth, limit)
    assert depths[-1] == depth
    assert all(0 < step <= limit * (1 + 1e-6) for step in steps)


@given(BITS, st.floats(0.05, 1), st.integers(2, 8))
def test_the_hardest_pass_is_never_harder_than_with_equal_steps(bit: Bit, part: float, count: int) -> None:
    depth = part * (bit.max_depth or 30)
    ours = pass_depths(bit, depth, depth / (count - 0.5))
    equal = [depth * (i + 1) / count for i in range(count)]
    assert len(ours) == count

    def hardest(depths: list[float]) -> float:
        areas = [0.0, *(bit.area_at(d) for d in depths)]
        return max(b - a for a, b in pairwise(areas))

    assert hardest(list(ours)) <= hardest(equal) * (1 + 1e-6)


@given(BITS, st.floats(0.05, 1), st.integers(1, 8))
def test_equal_shares_are_equal(bit: Bit, part: float, count: int) -> None:
    depths = equal_wood_depths(bit, part * (bit.max_depth or 30), count)
    assert wood_shares(bit, depths) == pytest.approx([1 / count] * count, rel=1e-6, abs=1e-6)


def test_no_usual_speed_beyond_the_charts() -> None:
    with pytest.raises(BitError, match=r"4 in\) across is wider than the usual speed charts go"):
        usual_rpm_limit(101.6)


def test_a_straight_bit_takes_equal_steps() -> None:
    assert pass_depths(Straight(6), 9, 3.5) == pytest.approx((3, 6, 9))


def test_one_pass_goes_straight_to_the_depth() -> None:
    assert pass_depths(RoundNose(6), 2) == (2,)
    assert pass_depths(VBit(60, 12.7), MOST_DEPTH_A_PASS) == (MOST_DEPTH_A_PASS,)


@pytest.mark.parametrize(
    ("depth", "limit"), [(0, 1), (1, 0), (-1, 1), (1, -1), (float("nan"), 1), (1, float("nan"))]
)
def test_refuses_what_is_no_depth(depth: float, limit: float) -> None:
    with pytest.raises(BitError, match="both must be more than 0"):
        passes(depth, limit)


def test_refuses_more_passes_than_anybody_makes() -> None:
    with pytest.raises(BitError, match="takes 300 passes; 100 at most"):
        passes(3, 0.01)


def test_a_depth_beyond_the_bit_has_no_passes_and_no_fill() -> None:
    with pytest.raises(BitError, match="too deep"):
        pass_depths(VBit(60, 6), 9)
    with pytest.raises(BitError, match="too deep"):
        fill_volume_ml(VBit(60, 6), 9, 1000)
