"""Grouping about a few levels, against exhaustive search."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.report.clusters import best_levels, nearest

Array = np.ndarray

_LENGTHS = st.integers(1, 400).map(lambda n: n / 16)
_VALUES = st.lists(st.tuples(_LENGTHS, st.integers(1, 100)), min_size=1, max_size=12)
_LEVELS = st.lists(_LENGTHS, min_size=1, max_size=9, unique=True).map(sorted)


def misfit(values: Array, weights: Array, levels: Array) -> float:
    return float((weights * np.abs(values[:, None] - levels[None, :]).min(axis=1) ** 2).sum())


def split(pairs: list[tuple[float, int]]) -> tuple[Array, Array]:
    values, weights = np.array(pairs, float).T
    return values, weights


@given(_VALUES, _LEVELS, st.integers(1, 4), st.sampled_from([0.0, 0.5, 5.0]))
def test_as_good_as_exhaustive_search(
    pairs: list[tuple[float, int]], had: list[float], most: int, apart: float
) -> None:
    # Brute force over all sets of levels
    values, weights = split(pairs)
    levels = np.array(had)
    chosen = best_levels(values, weights, levels, most=most, apart=apart)
    sets = [
        np.array(one)
        for count in range(1, most + 1)
        for one in combinations(had, count)
        if count == 1 or np.diff(one).min() >= apart
    ]
    best = min(misfit(values, weights, one) for one in sets)
    assert misfit(values, weights, levels[chosen]) == pytest.approx(best, rel=1e-6, abs=1e-6)
    assert len(chosen) <= most
    assert (np.diff(levels[chosen]) >= apart).all()
    fewer = [misfit(values, weights, one) for one in sets if len(one) < len(chosen)]
    assert min(fewer, default=np.inf) > best


def free_clusters(values: Array, weights: Array, most: int) -> float:
    """The least misfit about free centres: every way to cut the sorted values into groups."""
    order = np.argsort(values)
    x, w = values[order], weights[order]
    best = np.inf
    for cuts in combinations(range(1, len(x)), min(most, len(x)) - 1):
        groups = zip(np.split(x, cuts), np.split(w, cuts), strict=True)
        best = min(best, sum(float((v * (g - np.average(g, weights=v)) ** 2).sum()) for g, v in groups))
    return best


@given(_VALUES, st.integers(1, 3))
def test_with_levels_close_together_it_is_clustering_about_free_means(
    pairs: list[tuple[float, int]], most: int
) -> None:
    # Fisher (1958): the best groups of values on a line are stretches of the sorted values,
    # each about its weighted mean; here found by trying all cuts
    values, weights = split(pairs)
    step = 0.05
    levels = np.arange(0.0, 26.0, step)
    found = misfit(values, weights, levels[best_levels(values, weights, levels, most=most)])
    best = free_clusters(values, weights, most)
    assert best - 1e-6 <= found <= best + weights.sum() * (step / 2) ** 2 + 1e-6


@given(_VALUES, _LEVELS, st.randoms())
def test_the_order_of_values_is_immaterial(pairs: list[tuple[float, int]], had: list[float], chance) -> None:  # type: ignore[no-untyped-def]
    shuffled = chance.sample(pairs, len(pairs))
    levels = np.array(had)
    first, second = (best_levels(*split(one), levels, most=3) for one in (pairs, shuffled))
    assert misfit(*split(pairs), levels[first]) == pytest.approx(misfit(*split(pairs), levels[second]))


@given(_VALUES, _LEVELS, st.sampled_from([0.25, 2.0, 8.0]))
def test_all_made_larger_gives_the_same_levels(
    pairs: list[tuple[float, int]], had: list[float], scale: float
) -> None:
    values, weights = split(pairs)
    levels = np.array(had)
    plain = best_levels(values, weights, levels, most=3)
    large = best_levels(values * scale, weights, levels * scale, most=3)
    assert misfit(values, weights, levels[plain]) == pytest.approx(misfit(values, weights, levels[large]))


def test_nearest() -> None:
    assert nearest(np.array([0.0, 1.4, 1.5, 1.6, 9.0]), np.array([1.0, 2.0])).tolist() == [0, 0, 0, 1, 1]
