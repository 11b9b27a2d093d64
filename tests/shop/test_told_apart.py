"""Lengths that differ read differently; inches by the definition of 25.4 mm [international yard, 1959]."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.shop.told_apart import ToldApart


@pytest.mark.parametrize(
    ("lengths", "said"),
    [
        ((1.2, 1.0), ["1.2 mm (0.047 in)", "1 mm (0.039 in)"]),  # 3.02 and 2.52 64ths: both 3/64
        ((1.5875, 3.175), ["1.59 mm (1/16 in)", "3.18 mm (1/8 in)"]),
        ((1.5875, 1.5875), ["1.59 mm (1/16 in)"] * 2),  # one and the same need no telling apart
        ((1.0,), ["1 mm (3/64 in)"]),
    ],
)
def test_decimals_come_only_where_fractions_are_alike(lengths, said):
    told = ToldApart.of(lengths, "mm")
    assert [told.both(mm) for mm in lengths] == said


@given(st.lists(st.integers(1, 400), min_size=2, max_size=5, unique=True))
def test_depths_a_twentieth_of_a_millimetre_apart_never_read_alike(steps):
    """0.05 mm is 0.00197 in: two of the last decimal."""
    depths = [0.05 * step for step in steps]
    told = ToldApart.of(depths, "in")
    assert len({told.own(depth) for depth in depths}) == len(depths)
