"""Places that no other of their group outdoes."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tracer.report.fronts import fronts

SEEDS = st.integers(0, 10_000)


@given(SEEDS, st.integers(1, 60), st.integers(1, 6))
def test_the_worst_by_any_rule_is_among_them(seed: int, count: int, groups: int) -> None:
    random = np.random.default_rng(seed)
    group = random.integers(0, groups, count)
    low, high = random.integers(0, 6, count) / 2.0, random.integers(0, 6, count) / 2.0
    found = [np.column_stack([low[own], high[own]]) for own in fronts(group, low, high)]
    assert len(found) == len(np.unique(group))
    for key, places in zip(np.unique(group), found, strict=True):
        own = group == key
        for slope in (0.0, 0.3, 1.0, 5.0):
            assert (slope * places[:, 1] - places[:, 0]).max() == (slope * high[own] - low[own]).max()


@given(SEEDS, st.integers(1, 60))
def test_none_outdoes_another(seed: int, count: int) -> None:
    random = np.random.default_rng(seed)
    low, high = random.random(count), random.integers(0, 9, count) / 9
    (own,) = fronts(np.zeros(count, np.intp), low, high)
    places = np.column_stack([low[own], high[own]])
    assert (np.diff(places[:, 0]) < 0).all()
    assert (np.diff(places[:, 1]) < 0).all()


def test_none_at_all() -> None:
    nothing = np.zeros(0)
    assert fronts(nothing.astype(np.intp), nothing, nothing) == []
