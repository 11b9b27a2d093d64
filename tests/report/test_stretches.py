"""A tour mended: never longer, and no turn or move left that would shorten it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.report import stretches
from tracer.report.stretches import mended


def length(ends: np.ndarray, start: np.ndarray) -> float:
    """From `start` through the runs in this order, with the best choice of their directions."""
    cost, here = np.zeros(1), start[None]
    for run in ends:
        gap = np.hypot(*(run[:, None] - here[None]).transpose(2, 0, 1))
        cost, here = (gap + cost[None]).min(axis=1), run[::-1]
    return float(cost.min())


@settings(deadline=None)
@given(st.integers(1, 30), st.integers(0, 10_000), st.integers(1, 3))
def test_never_longer_and_every_run_in_its_group(count: int, seed: int, groups: int) -> None:
    rng = np.random.default_rng(seed)
    ends, group = rng.random((count, 2, 2)) * 100, np.sort(rng.integers(groups, size=count))
    order = mended(ends, np.zeros(2), group)
    assert sorted(order) == list(range(count))
    assert (group[order] == group).all()
    as_given = np.hypot(*(ends[:, 0] - np.vstack([[0, 0], ends[:-1, 1]])).T).sum()
    assert length(ends[order], np.zeros(2)) <= as_given + 1e-6


@pytest.mark.parametrize("seed", range(4))
def test_no_turn_and_no_move_is_left(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    # Points, so that directions play no part: all turns, and moves of up to three, tried one by one.
    monkeypatch.setattr(stretches, "NEAREST", 100)
    ends = np.repeat(np.random.default_rng(seed).random((14, 1, 2)) * 100, 2, axis=1)
    ends = ends[mended(ends, np.zeros(2), np.zeros(14, dtype=np.intp))]
    best = length(ends, np.zeros(2))
    for i in range(14):
        for j in range(i + 1, 15):
            turned = np.concatenate([ends[:i], ends[i:j][::-1], ends[j:]])
            assert length(turned, np.zeros(2)) > best - 1e-5
            rest = np.concatenate([ends[:i], ends[j:]])
            for k in range(len(rest) + 1 if j - i <= 3 else 0):
                for own in (ends[i:j], ends[i:j][::-1]):
                    assert length(np.concatenate([rest[:k], own, rest[k:]]), np.zeros(2)) > best - 1e-5


@pytest.mark.parametrize("seed", range(4))
def test_every_change_saves_what_it_says(seed: int) -> None:
    ends = np.random.default_rng(seed).random((12, 2, 2)) * 100
    points = np.concatenate([[[0, 0]], ends[:, 0], ends[:, 1]])
    came = np.random.default_rng(seed).permutation(np.arange(1, 13)) + 12 * (np.arange(12) % 2)
    near = np.argsort(np.hypot(*(points[:, None] - points).transpose(2, 0, 1)), axis=1)[:, :8]

    def walked(order: np.ndarray) -> float:
        left = np.append(0, stretches._other(order, 12)[:-1])
        return float(np.hypot(*(points[order] - points[left]).T).sum())

    changes = stretches._changes(stretches._Tour(points, came), near, np.zeros(12, dtype=np.intp))
    assert len(changes[0]) > 10
    for saved, first, stop, to, turn in zip(*changes, strict=True):
        own = stretches._other(came[first:stop], 12)[::-1] if turn else came[first:stop]
        rest = np.delete(came, slice(first, stop))
        after = np.insert(rest, to if to <= first else to - (stop - first), own)
        assert walked(came) - walked(after) == pytest.approx(saved)
