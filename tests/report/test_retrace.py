"""Least retraced length against exhaustive search and against another library's matching."""

import itertools

import networkx as nx
import numpy as np
import pytest
import shapes
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Joint, Stroke
from tracer.report import retrace
from tracer.report.network import Network, build_network
from tracer.report.retrace import retraced_edges

PAIRS = st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=1, max_size=9)


def network_of(pairs: list[tuple[int, int]], points: np.ndarray) -> Network:
    """One straight stroke for each pair of points, joined at them."""
    strokes = [
        Stroke(number, bezier.from_polyline(points[list(pair)]), closed=False, kind="line")
        for number, pair in enumerate(pairs, start=1)
    ]
    members: dict[int, list[tuple[int, float]]] = {}
    for stroke, (a, b) in zip(strokes, pairs, strict=True):
        members.setdefault(a, []).append((stroke.number, 0.0))
        members.setdefault(b, []).append((stroke.number, 1.0))
    return build_network(strokes, [Joint(points[node], tuple(met)) for node, met in members.items()])


def odd_count(network: Network, again: tuple[int, ...]) -> int:
    degrees = network.degrees + np.bincount(network.ends[list(again)].ravel(), minlength=len(network.points))
    return int((degrees % 2).sum())


@settings(max_examples=300)
@given(PAIRS, st.integers(0, 10_000))
def test_least_length_by_exhaustive_search(pairs: list[tuple[int, int]], seed: int) -> None:
    pairs = [(a, b) for a, b in pairs if a != b]
    assume(pairs and nx.is_connected(nx.Graph(pairs)))
    network = network_of(pairs, np.random.default_rng(seed).random((6, 2)) * 100)
    subsets = itertools.chain.from_iterable(
        itertools.combinations(range(len(pairs)), k) for k in range(len(pairs) + 1)
    )
    least = min(network.lengths[list(s)].sum() for s in subsets if odd_count(network, s) <= 2)
    again = retraced_edges(network)
    assert odd_count(network, tuple(again.tolist())) <= 2
    assert network.lengths[again].sum() == pytest.approx(least, abs=1e-2)


@pytest.mark.parametrize("size", [20, 60])
def test_matching_as_another_library_has_it(size: int) -> None:
    points = np.random.default_rng(size).random((size, 2)) * 300
    distance = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    graph = nx.Graph()
    graph.add_weighted_edges_from((i, j, distance[i, j]) for i in range(size) for j in range(i))
    graph.add_weighted_edges_from((i, size + extra, 0.0) for i in range(size) for extra in range(2))
    theirs = sum(graph.edges[edge]["weight"] for edge in nx.min_weight_matching(graph))  # networkx
    ours = retrace._match(distance, np.ones(distance.shape, dtype=bool))
    assert ours is not None
    assert len(ours) == size // 2 - 1
    assert sum(distance[i, j] for i, j in ours) == pytest.approx(theirs, abs=1e-2)


def test_near_pairs_alone_are_within_one_per_cent() -> None:
    points = np.random.default_rng(3).random((150, 2)) * 300
    distance = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    whole = retrace._match(distance, np.ones(distance.shape, dtype=bool))
    near = retrace._match(distance, retrace._nearest(distance, retrace.NEAREST))
    assert whole is not None
    assert near is not None
    exact = sum(distance[i, j] for i, j in whole)
    assert exact - 1e-3 <= sum(distance[i, j] for i, j in near) <= 1.01 * exact


def test_no_length_is_gone_over_where_one_trail_does() -> None:
    job = Job()
    layout = shapes.layout_of(shapes.drawing_of("OLIVER"), job=job)
    network = build_network([s for s in layout.strokes if s.number != 6], layout.joints)  # without E's bar
    assert len(retraced_edges(network)) == 0
