"""A line's middle between edges that bulge: the pen's width and the steady edge say where it is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.raster.band import Edges, Ways, middles_of

PEN = 12.0


def edges(left: np.ndarray, right: np.ndarray, paler: float = 0.0) -> Edges:
    """Two lines to the right, 60 px apart, whose edges lie so far away."""
    count = len(left)
    x = np.tile(np.arange(count, dtype=float), 2)
    ways = Ways(np.column_stack([x, np.repeat([100.0, 160.0], count)]), np.array([0, count, 2 * count]), 1.0)
    away = np.tile(np.column_stack([left, right]), (2, 1))
    normals = np.tile([[0.0, 1.0]], (2 * count, 1))
    return Edges(ways, normals, away, np.full(2 * count, paler))


def rows(found: Edges) -> np.ndarray:
    """How far down from its own row each middle lies."""
    middle = middles_of(found, np.full(len(found.away), PEN), PEN)
    return middle[:, 1] - found.ways.points[:, 1]


def test_sound_edges_give_their_middle() -> None:
    at = np.full(80, PEN / 2)
    assert rows(edges(at - 1, at + 1)) == pytest.approx(1, abs=0.01)


@given(st.floats(0.3, 6), st.integers(25, 45), st.booleans())
def test_a_bulge_of_one_edge_moves_nothing(size: float, at: int, left: bool) -> None:
    x = np.arange(80)
    sound = np.full(80, PEN / 2)
    bulged = sound + size * np.exp(-(((x - at) / 6) ** 2))
    found = rows(edges(bulged, sound) if left else edges(sound, bulged))
    assert np.abs(found).max() < 0.35  # the mean of both edges is half the bulge off


def test_a_wavering_edge_counts_less_than_a_steady_one_however_long() -> None:
    x = np.arange(160)
    wavering = PEN / 2 + 3 + 2 * np.sin(2 * np.pi * x / 11)
    found = rows(edges(np.full(160, PEN / 2), wavering))
    assert np.abs(found[20:140]).max() < 0.4


@pytest.mark.parametrize(("paler", "side"), [(12.0, 1), (-12.0, -1)])
def test_of_two_steady_edges_the_one_with_paler_ink_is_wrong(paler: float, side: int) -> None:
    wide = np.full(120, PEN / 2 + 1.5)
    assert np.sign(rows(edges(wide, wide, paler))).min() == side if side > 0 else True
    assert rows(edges(wide, wide, paler)) == pytest.approx(1.5 * side, abs=0.3)


def test_where_no_edge_is_seen_a_line_goes_straight_on() -> None:
    left, right = np.full(80, PEN / 2 - 1), np.full(80, PEN / 2 + 1)
    left[30:45] = right[30:45] = np.nan
    assert rows(edges(left, right)) == pytest.approx(1, abs=0.05)


@given(st.floats(-2, 2), st.floats(-3, 3), st.floats(0.5, 12))
def test_smoothing_leaves_straight_lines(slope: float, first: float, pixels: float) -> None:
    values = np.tile(first + slope * np.arange(40.0), 2)[:, None]
    ways = edges(np.full(40, 6.0), np.full(40, 6.0)).ways
    assert ways.smooth(values, pixels) == pytest.approx(values, abs=1e-9)


def test_lines_do_not_pull_at_each_other() -> None:
    at = np.full(40, PEN / 2)
    found = edges(at, at)
    found.ways.points[:40, 1] += 0.0
    found.away[40:] += [-2.0, 2.0]
    middle = middles_of(found, np.full(80, PEN), PEN)[:, 1]
    assert middle[:40] == pytest.approx(100, abs=1e-3)
    assert middle[40:] == pytest.approx(162, abs=1e-2)
