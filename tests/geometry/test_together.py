"""What hangs together against scipy's connected components, an outside reference."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from tracer.geometry.together import together


@given(st.integers(1, 30), st.lists(st.tuples(st.integers(0, 29), st.integers(0, 29)), max_size=40))
def test_groups_are_connected_components(count: int, links: list[tuple[int, int]]) -> None:
    pairs = np.array([(a % count, b % count) for a, b in links], np.intp).reshape(-1, 2)
    graph = coo_array((np.ones(len(pairs)), pairs.T), shape=(count, count))
    assert together(pairs, count).tolist() == connected_components(graph, directed=False)[1].tolist()


def test_a_long_chain_in_any_order_is_one() -> None:
    order = np.random.default_rng(2).permutation(2000)
    assert not together(np.column_stack([order[:-1], order[1:]]), 2000).any()
