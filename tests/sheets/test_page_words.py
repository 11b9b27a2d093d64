"""Lengths on the report's page: long ways in metres and feet, each as fine as the other."""

import pytest
from sheets.plans import small_plan

from tracer.lengths import parse_length
from tracer.sheets.page_words import PageWords


@pytest.mark.parametrize(("units", "said"), [("in", "8.4 ft (2.6 m)"), ("mm", "2.6 m (8.4 ft)")])
def test_a_long_way_is_as_fine_in_feet_as_in_metres(units, said) -> None:
    """2568 mm are 8.425 ft: 1 ft is 304.8 mm exactly (NIST, 1959)."""
    words = PageWords(small_plan(units=units))
    assert words.way(2568.0) == said
    for mm in (2040.0, 2568.0, 7777.0):
        for one in words.way(mm).strip(")").split(" ("):
            assert parse_length(one) == pytest.approx(mm, abs=50.01)
