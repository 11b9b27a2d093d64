"""Order of runs: little carrying-over, inner before outer."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.model.plan import Leg, Run
from tracer.report.order import carrying_over, in_order

START = np.zeros(2)


def runs_at(ends: np.ndarray) -> list[Run]:
    return [
        Run(k, k, (Leg(k, 0.0, 1.0, retraced=False, curves=bezier.from_polyline(points)),))
        for k, points in enumerate(ends, start=1)
    ]


def length(runs: list[Run]) -> float:
    return float(np.hypot(*(runs[0].start - START))) + carrying_over(runs)


def least(ends: np.ndarray) -> float:
    """Exhaustive, over orders and directions, over the sets done (Held & Karp 1962)."""
    count = len(ends)
    best = {(1 << k, k, s): np.hypot(*ends[k, s]) for k in range(count) for s in (0, 1)}
    for size in range(2, count + 1):
        for done in itertools.combinations(range(count), size):
            mask = sum(1 << k for k in done)
            for k in done:
                for s in (0, 1):
                    best[mask, k, s] = min(
                        best[mask ^ (1 << k), j, r] + np.hypot(*(ends[k, s] - ends[j, 1 - r]))
                        for j in done
                        if j != k
                        for r in (0, 1)
                    )
    return float(min(value for (mask, _, _), value in best.items() if mask == 2**count - 1))


@settings(max_examples=15, deadline=None)
@given(st.integers(2, 7), st.integers(0, 10_000))
def test_near_the_least_by_exhaustive_search(count: int, seed: int) -> None:
    ends = np.random.default_rng(seed).random((count, 2, 2)) * 100
    ordered = in_order(runs_at(ends), {}, START)
    assert sorted(leg.stroke for run in ordered for leg in run.legs) == list(range(1, count + 1))
    assert least(ends) - 1e-6 <= length(ordered) <= 1.5 * least(ends)


def test_near_the_least_on_the_whole() -> None:
    ratios = []
    for seed in range(20):
        ends = np.random.default_rng(seed).random((6, 2, 2)) * 100
        ratios.append(length(in_order(runs_at(ends), {}, START)) / least(ends))
    assert np.mean(ratios) < 1.05


def test_low_ranks_first() -> None:
    ends = np.array([[[0, 0], [1, 0]], [[90, 0], [91, 0]], [[50, 0], [51, 0]]], float)
    ordered = in_order(runs_at(ends), {1: 2, 2: 0, 3: 1}, START)
    assert [run.legs[0].stroke for run in ordered] == [2, 3, 1]
    assert [run.number for run in ordered] == [1, 2, 3]


def test_carrying_over() -> None:
    ends = np.array([[[0, 0], [1, 0]], [[4, 4], [9, 9]]], float)
    assert carrying_over(runs_at(ends)) == pytest.approx(5.0)  # 3-4-5 triangle
