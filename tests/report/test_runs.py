"""Runs against every walk there is: fewest plunges, least gone over again, every groove cut once."""

from collections import Counter
from itertools import pairwise

import networks
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.model.plan import Run
from tracer.report import runs as routes
from tracer.report.runs import turned_round


def again(runs: list[Run]) -> float:
    return sum(bezier.length(leg.curves) for run in runs for leg in run.legs if leg.retraced)


@settings(max_examples=300, deadline=None)
@given(networks.PAIRS, st.integers(0, 10_000))
def test_as_few_and_as_short_as_the_best_of_all_walks(pairs: networks.Pairs, seed: int) -> None:
    rng = np.random.default_rng(seed)
    network = networks.network_of(pairs, rng.random((6, 2)) * 100, rng)
    plunges, length = networks.least_by_every_walk(pairs, network.lengths, again=True)
    runs = routes.with_retracing(network)
    assert len(runs) == plunges == routes.plunges_with_retracing(network)
    assert again(runs) == pytest.approx(length, abs=1e-2)  # the matching counts in 0.1 micrometre
    plunges, length = networks.least_by_every_walk(pairs, network.lengths, again=False)
    runs = routes.without_retracing(network)
    assert len(runs) == plunges == routes.plunges_without_retracing(network)
    assert again(runs) == length == 0.0


@settings(max_examples=100, deadline=None)
@given(networks.PAIRS, st.integers(0, 10_000), st.booleans())
def test_every_groove_is_cut_once_and_legs_follow_on(pairs: networks.Pairs, seed: int, retrace: bool) -> None:
    rng = np.random.default_rng(seed)
    network = networks.network_of(pairs, rng.random((6, 2)) * 100, rng)
    runs = routes.with_retracing(network) if retrace else routes.without_retracing(network)
    for run in [*runs, *(turned_round(run) for run in runs)]:
        for before, after in pairwise(run.legs):
            assert np.allclose(before.curves[-1, 3], after.curves[0, 0], atol=1e-9)
    cut = Counter(leg.stroke for run in runs for leg in run.legs if not leg.retraced)
    assert cut == Counter(range(1, len(pairs) + 1))
    # What is gone over again is gone over once: never three times over one groove.
    assert max(Counter(leg.stroke for run in runs for leg in run.legs).values()) <= 2


@settings(max_examples=100, deadline=None)
@given(networks.PAIRS, st.integers(0, 10_000), st.floats(0, 6.3), st.booleans())
def test_turning_and_mirroring_change_no_count_and_no_length(
    pairs: networks.Pairs, seed: int, angle: float, mirror: bool
) -> None:
    points = np.random.default_rng(seed).random((6, 2)) * 100
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    other = points @ turn * (np.array([-1.0, 1.0]) if mirror else 1.0)
    one, two = (networks.network_of(pairs, at) for at in (points, other))
    assert routes.plunges_without_retracing(one) == routes.plunges_without_retracing(two)
    a, b = routes.with_retracing(one), routes.with_retracing(two)
    assert len(a) == len(b) <= routes.plunges_without_retracing(one)
    assert again(a) == pytest.approx(again(b), abs=1e-2)
    assert sum(bezier.length(run.curves) for run in a) == pytest.approx(
        sum(bezier.length(run.curves) for run in b), abs=1e-2
    )


def test_turned_round_it_cuts_what_it_comes_to_first() -> None:
    # T: bar 1-0-2, stem 0-3. One run goes over half the bar, or the stem, again.
    points = np.array([[0, 0], [-30, 0], [30, 0], [0, 20]], float)
    (run,) = routes.with_retracing(networks.network_of([(0, 1), (0, 2), (0, 3)], points))
    assert again([run]) == pytest.approx(20)  # the stem, the shortest of the three
    back = turned_round(run)
    assert [leg.stroke for leg in back.legs] == [leg.stroke for leg in run.legs][::-1]
    first = Counter[int]()
    for leg in back.legs:
        assert leg.retraced == (first[leg.stroke] > 0)
        first[leg.stroke] += 1
