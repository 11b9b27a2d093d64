"""Shortest ways against scipy's Dijkstra, an outside reference."""

from types import SimpleNamespace
from typing import Any

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from tracer.report.shortest import Ways

SIZE = 12
nodes = st.integers(0, SIZE - 1)
edges = st.dictionaries(
    st.tuples(nodes, nodes).filter(lambda pair: pair[0] < pair[1]), st.floats(0.1, 9.0), max_size=25
)


def network(lengths: dict[tuple[int, int], float]) -> Any:
    return SimpleNamespace(
        points=np.zeros((SIZE, 2)),
        lengths=np.array(list(lengths.values())),
        shortest={pair: k for k, pair in enumerate(lengths)},
    )


def expected(lengths: dict[tuple[int, int], float]) -> np.ndarray:
    ends = np.array(list(lengths), np.intp).reshape(-1, 2)
    graph = coo_array((np.array(list(lengths.values())), ends.T), shape=(SIZE, SIZE)).tocsr()
    return dijkstra(graph, directed=False)


@given(edges, st.floats(0.0, 30.0))
def test_ways_are_as_long_as_they_can_be_short(lengths: dict[tuple[int, int], float], reach: float) -> None:
    ways, known = Ways(network(lengths)), expected(lengths)
    for start in range(SIZE):
        found, before = ways.leading(start, reach)
        inside = np.flatnonzero(known[start] <= reach)
        assert sorted(found) == inside.tolist()
        assert np.allclose([found[k] for k in inside], known[start, inside])
        for node in inside[inside != start].tolist():
            a, b = sorted((node, before[node]))
            assert np.isclose(found[before[node]] + lengths[a, b], found[node])


@given(edges, st.sets(nodes), st.integers(1, 5))
def test_a_search_ends_with_the_nearest_that_are_wanted(
    lengths: dict[tuple[int, int], float], wanted: set[int], most: int
) -> None:
    found, _ = Ways(network(lengths)).leading(0, to=wanted, most=most)
    far = np.sort(expected(lengths)[0, sorted(wanted)])
    far = far[np.isfinite(far)][:most]
    assert np.allclose([way for node, way in found.items() if node in wanted], far)
