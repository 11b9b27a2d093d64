"""A test cut: what its rules leave in doubt, and when its axes tell of a bad linkage."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import LengthError
from tracer.shop.traced import CUT_OFF, TRACED_OFF, Traced

RATIOS = st.floats(0.1, 0.95)
SIDES = st.floats(50, 1000)


@given(RATIOS, SIDES)
def test_ratio_comes_back_from_a_perfect_cut(ratio: float, side: float) -> None:
    trace = Traced((side, side), (side * ratio, side * ratio))
    assert trace.ratio == pytest.approx(ratio)
    assert not trace.unequal


@given(RATIOS, SIDES, st.floats(-1, 1), st.floats(-1, 1))
def test_the_doubt_covers_one_rule_read_wrong_by_as_much_as_said(
    ratio: float, side: float, cut_off: float, traced_off: float
) -> None:
    """Either slip alone, as large as was said, moves the ratio by no more than the doubt (and its square)."""
    for traced, cut in (
        (side, side * ratio + cut_off * CUT_OFF),
        (side + traced_off * TRACED_OFF, side * ratio),
    ):
        found = Traced((traced,), (cut,))
        assert abs(found.ratio / ratio - 1) <= found.doubt * (1 + 3 * found.doubt)


@given(RATIOS, SIDES)
def test_longer_lines_and_a_second_axis_are_surer(ratio: float, side: float) -> None:
    def doubt(length: float, axes: int = 1) -> float:
        return Traced((length,) * axes, (length * ratio,) * axes).doubt

    assert doubt(2 * side) == pytest.approx(doubt(side) / 2)
    assert doubt(side, axes=2) == pytest.approx(doubt(side) / math.sqrt(2))


@pytest.mark.parametrize(
    ("cut", "unequal"),
    [((119.0, 119.0), False), ((119.0, 118.5), False), ((119.0, 118.0), True), ((116.0, 119.0), True)],
)
def test_axes_differ_by_more_than_reading(cut: tuple[float, float], unequal: bool) -> None:
    # Each axis is read to 0.33 %, so their difference to 0.46 % [D]: 0.55 mm of 119.
    trace = Traced((200.0, 200.0), cut)
    assert trace.unequal is unequal
    assert trace.apart == pytest.approx(abs(cut[0] - cut[1]) / (sum(cut) / 2))


def test_one_axis_tells_nothing_of_the_other() -> None:
    trace = Traced((200.0,), (119.0,))
    assert trace.apart == 0
    assert not trace.unequal


def test_a_cut_that_cannot_be() -> None:
    with pytest.raises(LengthError, match="bigger than the template"):
        _ = Traced((100.0,), (120.0,)).ratio
