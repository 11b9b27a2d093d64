"""Order of runs: little carrying-over, inner before outer, one depth stop before the next."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
import shapes
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.routes import solved
from tracer.geometry import bezier
from tracer.model.plan import Leg, Run
from tracer.report import runs as routes
from tracer.report import tour
from tracer.report.network import build_network
from tracer.report.order import carrying_over, in_order
from tracer.report.runs import turned_round

START = np.zeros(2)


def runs_at(ends: np.ndarray) -> list[Run]:
    return [
        Run(k, k, (Leg(k, 0.0, 1.0, retraced=False, curves=bezier.from_polyline(points)),))
        for k, points in enumerate(ends, start=1)
    ]


def scattered(count: int, seed: int, size: float = 300.0) -> np.ndarray:
    """Ends (n, 2, 2) of runs; with odd seeds both ends of each lie near each other."""
    ends = np.random.default_rng(seed).random((count, 2, 2)) * size
    ends[:, 1] = np.where(seed % 2, ends[:, 0] + 0.2 * (ends[:, 1] - ends[:, 0]), ends[:, 1])
    return ends


def length(runs: list[Run]) -> float:
    return float(np.hypot(*(runs[0].start - START))) + carrying_over(runs)


def least(ends: np.ndarray, level: np.ndarray) -> float:
    """Exhaustive, over all orders that keep the levels apart, and both directions of each run."""
    best = np.inf
    groups = [itertools.permutations(np.flatnonzero(level == one)) for one in np.unique(level)]
    for parts in itertools.product(*groups):
        cost = {0: 0.0}
        here = START[None]
        for run in itertools.chain(*parts):
            gap = np.hypot(*(ends[run][:, None] - here[None]).transpose(2, 0, 1))
            cost = {side: min(cost[k] + gap[side, k] for k in cost) for side in (0, 1)}
            here = ends[run, ::-1]
        best = min(best, *cost.values())
    return float(best)


def least_over_sets(ends: np.ndarray) -> float:
    """Exhaustive, over orders and directions, over the sets done (Held & Karp 1962)."""
    count = len(ends)
    best = {(1 << k, k, s): float(np.hypot(*ends[k, s])) for k in range(count) for s in (0, 1)}
    gap = np.hypot(*(ends[:, :, None, None] - ends[None, None]).transpose(4, 0, 1, 2, 3)).tolist()
    for size in range(2, count + 1):
        for done in itertools.combinations(range(count), size):
            mask = sum(1 << k for k in done)
            for k, s in itertools.product(done, (0, 1)):
                others = ((j, r) for j in done if j != k for r in (0, 1))
                best[mask, k, s] = min(best[mask ^ (1 << k), j, r] + gap[k][s][j][1 - r] for j, r in others)
    return min(value for (mask, _, _), value in best.items() if mask == 2**count - 1)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 5), st.integers(0, 10_000), st.integers(1, 3))
def test_few_runs_in_the_least_of_all_orders(count: int, seed: int, levels: int) -> None:
    ends, level = scattered(count, seed), np.random.default_rng(seed).integers(levels, size=count)
    ordered = in_order(runs_at(ends), dict(enumerate(level.tolist(), start=1)), START)
    assert sorted(leg.stroke for run in ordered for leg in run.legs) == list(range(1, count + 1))
    assert length(ordered) == pytest.approx(least(ends, level))


@pytest.mark.parametrize("seed", [0, 1])
def test_nine_runs_in_the_least_of_all_orders(seed: int) -> None:
    ends = scattered(9, seed)
    assert length(in_order(runs_at(ends), {}, START)) == pytest.approx(least_over_sets(ends))


@pytest.mark.parametrize("count", [5, 7, 8])
def test_mending_alone_is_near_the_least(count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    # What orders many runs, tried on few: within 5 % on the whole, and never more than 30 % off.
    ends = [scattered(count, seed) for seed in range(12)]
    best = np.array([length(in_order(runs_at(one), {}, START)) for one in ends])
    monkeypatch.setattr(tour, "EXACT_TO", 0)
    mended = np.array([length(in_order(runs_at(one), {}, START)) for one in ends])
    assert (mended >= best - 1e-6).all()
    assert mended.sum() <= 1.05 * best.sum()
    assert (mended <= 1.3 * best).all()


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
@pytest.mark.parametrize(("count", "seed"), [(100, 0), (151, 1)])
def test_many_runs_within_12_per_cent_of_a_general_solver(count: int, seed: int) -> None:
    pytest.importorskip("ortools", reason="needs the extra [bench]")
    ends = scattered(count, seed)
    assert length(in_order(runs_at(ends), {}, START)) <= 1.12 * solved(ends, START, seconds=2.0)


def test_low_ranks_first() -> None:
    ends = np.array([[[0, 0], [1, 0]], [[90, 0], [91, 0]], [[50, 0], [51, 0]]], float)
    ordered = in_order(runs_at(ends), {1: 2, 2: 0, 3: 1}, START)
    assert [run.legs[0].stroke for run in ordered] == [2, 3, 1]
    assert [run.number for run in ordered] == [1, 2, 3]


@pytest.mark.parametrize("count", [6, 40])
def test_one_depth_stop_before_the_next_and_ranks_within(count: int) -> None:
    rng = np.random.default_rng(5)
    rank = dict(enumerate(rng.integers(3, size=count).tolist(), start=1))
    runs = [replace(run, stop=1 + run.number % 2) for run in runs_at(scattered(count, 4))]
    keys = [(run.stop, rank[run.legs[0].stroke]) for run in in_order(runs, rank, START)]
    assert keys == sorted(keys)


@settings(max_examples=20, deadline=None)
@given(st.integers(2, 30), st.integers(0, 10_000), st.randoms(use_true_random=False))
def test_the_order_given_does_not_matter(count: int, seed: int, random: object) -> None:
    # On a coarse grid, where many ways are equally long.
    ends = np.unique(np.round(scattered(count, seed, 4.0)), axis=0)
    runs = runs_at(ends)
    shuffled = [turned_round(run) if random.random() < 0.5 else run for run in runs]  # type: ignore[attr-defined]
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    one, two = (in_order(some, {}, START) for some in (runs, shuffled))
    if len({tuple(sorted(map(tuple, run))) for run in ends.tolist()}) == len(ends):
        assert [run.legs[0].stroke for run in one] == [run.legs[0].stroke for run in two]
        assert length(one) == pytest.approx(length(two))


def test_a_ring_begins_where_the_router_is_carried_least() -> None:
    # From (0, 0) to a ring of four cubics about (50, 0): its nearest cubic's end is (40, 0).
    drawing = shapes.drawing_from([shapes.ring((50, 0), 10)])
    (run,) = in_order(routes.without_retracing(build_network(drawing.strokes, ())), {}, START)
    assert run.start == pytest.approx([40, 0])
    assert run.end == pytest.approx([40, 0])
    (leg,) = run.legs
    assert bezier.points_at(drawing.strokes[0].curves, np.array([leg.start % 4])) == pytest.approx(
        np.array([[40.0, 0.0]])
    )
    assert abs(leg.end - leg.start) == 4


def test_a_closed_run_begins_at_a_corner_or_where_another_groove_passes() -> None:
    # A drop: one corner at (100, 50), farther than the round side at (50, 50).
    drop = shapes.Part(
        np.concatenate(
            [shapes.arc((70, 50), 20, 60, 300).curves, shapes.line((80, 32.7), (100, 50), (80, 67.3)).curves]
        ),
        closed=True,
    )
    drawing = shapes.drawing_from([drop])
    (run,) = in_order(routes.without_retracing(build_network(drawing.strokes, ())), {}, START)
    assert run.start == pytest.approx([100, 50], abs=0.1)
    # Two rings that cross at (50, 50 -+ 17.3): one closed run, begun there and not on a smooth way.
    drawing = shapes.drawing_from([shapes.ring((40, 50), 20), shapes.ring((60, 50), 20)])
    network = build_network(drawing.strokes, drawing.joints)
    (run,) = in_order(routes.without_retracing(network), {}, START)
    assert run.start == pytest.approx([50, 50 - np.sqrt(300)], abs=0.5)
    assert run.end == pytest.approx(run.start, abs=0.1)


def test_carrying_over() -> None:
    ends = np.array([[[0, 0], [1, 0]], [[4, 4], [9, 9]]], float)
    assert carrying_over(runs_at(ends)) == pytest.approx(5.0)  # 3-4-5 triangle


def test_nothing_to_order() -> None:
    assert in_order([], {}, START) == []
