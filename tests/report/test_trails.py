"""Trails on random networks: every edge once, contiguous, and as few as Euler's bound."""

from itertools import pairwise

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.report.trails import SHARP, find_trails

ENDS = st.integers(1, 7).flatmap(
    lambda nodes: st.lists(
        st.tuples(st.integers(0, nodes - 1), st.integers(0, nodes - 1)), min_size=1, max_size=16
    )
)


def fan(count: int) -> np.ndarray:
    angles = np.random.default_rng(7).random(2 * count) * 2 * np.pi
    return np.column_stack([np.cos(angles), np.sin(angles)]).reshape(count, 2, 2)


@given(ENDS)
def test_every_edge_once_in_as_few_trails_as_can_be(ends: list[tuple[int, int]]) -> None:
    graph = nx.MultiGraph(ends)
    # Euler; the odd nodes as networkx counts them. One trail for a part with none.
    bound = sum(
        max(1, sum(graph.degree(node) % 2 for node in part) // 2) for part in nx.connected_components(graph)
    )
    trails = find_trails(ends, fan(len(ends)))
    assert len(trails) == bound
    assert sorted(step.edge for trail in trails for step in trail) == list(range(len(ends)))
    for trail in trails:
        stops = [ends[step.edge] if step.forward else ends[step.edge][::-1] for step in trail]
        assert all(a[1] == b[0] for a, b in pairwise(stops))


def test_straight_on_at_a_crossing() -> None:
    # Four arms from node 0, given as right, down, left, up: each trail must go right through.
    ends = [(0, 1), (0, 2), (0, 3), (0, 4)]
    toward = np.array([[1, 0], [0, 1], [-1, 0], [0, -1]], float)
    trails = find_trails(ends, np.stack([toward, -toward], axis=1))
    assert sorted(sorted(step.edge for step in trail) for trail in trails) == [[0, 2], [1, 3]]


def test_a_loop_is_let_in_where_it_meets() -> None:
    # A line through node 1 and a loop that starts and ends there are one trail.
    toward = np.array([[[1, 0], [-1, 0]], [[1, 0], [-1, 0]], [[0, 1], [0, -1]]], float)
    (trail,) = find_trails([(0, 1), (1, 2), (1, 1)], toward)
    assert [step.edge for step in trail][1] == 2


@given(st.integers(2, 8), st.integers(0, 10_000))
def test_a_star_is_followed_with_the_least_turning(arms: int, seed: int) -> None:
    # Against another library's matching of least weight (networkx); of an odd number one is left over.
    angles = np.random.default_rng(seed).random(arms) * 2 * np.pi
    toward = np.column_stack([np.cos(angles), np.sin(angles)])
    turn = np.arccos(np.clip(-toward @ toward.T, -1, 1))
    turn += np.where(turn > SHARP, SHARP, 0)
    graph = nx.Graph()
    graph.add_weighted_edges_from((i, j, turn[i, j]) for i in range(arms) for j in range(i))
    if arms % 2:
        graph.add_weighted_edges_from((i, "left over", 0.0) for i in range(arms))
    theirs = sum(
        graph.edges[pair]["weight"] for pair in nx.min_weight_matching(graph) if "left over" not in pair
    )
    trails = find_trails([(0, arm + 1) for arm in range(arms)], np.stack([toward, -toward], axis=1))
    ours = sum(turn[a.edge, b.edge] for trail in trails for a, b in pairwise(trail))
    assert ours == pytest.approx(theirs)


def test_many_arms_go_straight_on() -> None:
    angles = np.arange(20) * np.pi / 10
    toward = np.column_stack([np.cos(angles), np.sin(angles)])
    trails = find_trails([(0, arm + 1) for arm in range(20)], np.stack([toward, -toward], axis=1))
    assert all(abs(a.edge - b.edge) == 10 for trail in trails for a, b in pairwise(trail))


def test_no_turning_right_back_where_there_is_another_way() -> None:
    # A stem 0-1 that is followed twice, and a bar 2-0-3: straight on and right back turn no more in all.
    ends = [(0, 1), (0, 1), (0, 2), (0, 3)]
    toward = np.array([[0, 1], [0, 1], [-1, 0], [1, 0]], float)
    (trail,) = find_trails(ends, np.stack([toward, -toward], axis=1))
    assert {trail[0].edge, trail[-1].edge} == {2, 3}
