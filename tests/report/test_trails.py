"""Trails on random networks: every edge once, contiguous, and as few as Euler's bound."""

from itertools import pairwise

import networkx as nx
import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tracer.report.trails import find_trails

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
