"""Least retraced length against another library's matching; against every walk: test_runs."""

import networks
import networkx as nx
import numpy as np
import pytest
import shapes
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import Delaunay

from tracer.job import Job
from tracer.report import retrace
from tracer.report.network import Network, build_network
from tracer.report.retrace import retraced_edges
from tracer.report.shortest import Ways


def mesh(size: int, seed: int, clusters: int = 0) -> Network:
    """Straight strokes between scattered points, a third of Delaunay's left out, all in one part."""
    rng = np.random.default_rng(seed)
    points = rng.random((size, 2)) * 300
    if clusters:
        points = rng.random((clusters, 2))[rng.integers(clusters, size=size)] * 3000 + points / 10
    graph = nx.Graph(
        [tuple(sorted(p)) for t in Delaunay(points).simplices for p in ((t[0], t[1]), (t[1], t[2]))]
    )
    tree = nx.minimum_spanning_edges(graph, data=False)
    kept = {tuple(sorted(pair)) for pair in tree} | {pair for pair in graph.edges if rng.random() < 0.5}
    return networks.network_of([(int(a), int(b)) for a, b in sorted(kept)], points)


def distances(network: Network) -> np.ndarray:
    """By scipy, an outside reference: all odd nodes from all others."""
    odd, size = np.flatnonzero(network.degrees % 2), len(network.points)
    lengths = network.lengths[list(network.shortest.values())]
    graph = coo_array((lengths, np.array(list(network.shortest)).T), shape=(size, size)).tocsr()
    return dijkstra(graph, directed=False, indices=odd)[:, odd]


@pytest.mark.parametrize("size", [20, 60])
def test_matching_as_another_library_has_it(size: int) -> None:
    points = np.random.default_rng(size).random((size, 2)) * 300
    distance = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    graph = nx.Graph()
    graph.add_weighted_edges_from((i, j, distance[i, j]) for i in range(size) for j in range(i))
    graph.add_weighted_edges_from((i, size + extra, 0.0) for i in range(size) for extra in range(2))
    theirs = sum(graph.edges[edge]["weight"] for edge in nx.min_weight_matching(graph))  # networkx
    ours = retrace.matched(distance)
    assert ours is not None
    assert len(ours) == size // 2 - 1
    assert sum(distance[i, j] for i, j in ours) == pytest.approx(theirs, abs=1e-2)


@pytest.mark.parametrize(("seed", "clusters"), [(0, 0), (1, 20), (2, 40)])
def test_near_pairs_alone_are_within_one_per_cent(seed: int, clusters: int) -> None:
    network = mesh(440, seed, clusters)
    distance = distances(network)
    assert len(distance) > retrace.EXACT_TO
    whole = retrace.matched(distance)
    assert whole is not None
    exact = sum(distance[i, j] for i, j in whole)
    again = network.lengths[retraced_edges(network)].sum()
    assert exact - 1e-3 * len(whole) <= again <= 1.01 * exact


def test_where_near_pairs_do_not_suffice_all_are_offered(monkeypatch: pytest.MonkeyPatch) -> None:
    # Four far fans of three: with two others offered to each, every fan keeps one open, and only two may be.
    monkeypatch.setattr(retrace, "EXACT_TO", 4)
    monkeypatch.setattr(retrace, "NEAREST", 2)
    centres = np.array([[0, 0], [900, 0], [1800, 0], [2700, 0]], float)
    tips = np.array([[-9, 9], [-9, -9], [0, 9.5]])
    points = np.concatenate([centres, *(centre + tips for centre in centres)])
    pairs = [(0, 1), (1, 2), (2, 3), *((fan, 4 + 3 * fan + tip) for fan in range(4) for tip in range(3))]
    network = networks.network_of(pairs, points)
    again = retraced_edges(network)
    degrees = network.degrees + np.bincount(network.ends[again].ravel(), minlength=len(points))
    assert (degrees % 2).sum() == 2


def test_no_length_is_gone_over_where_one_trail_does() -> None:
    job = Job()
    layout = shapes.layout_of(shapes.drawing_of("OLIVER"), job=job)
    network = build_network([s for s in layout.strokes if s.number != 6], layout.joints)  # without E's bar
    assert len(retraced_edges(network)) == 0


def test_a_pair_that_only_one_of_two_knows_is_offered_and_followed() -> None:
    network = networks.network_of([(0, 1), (1, 2)], np.array([[0, 0], [5, 0], [9, 0]], float))
    one, other = np.flatnonzero(network.degrees % 2).tolist()
    known, before = Ways(network).leading(other)
    assert retrace.distances([{one: 0.0}, known], [one, other]).tolist() == [[0.0, 9.0], [9.0, 0.0]]
    followed = retrace._followed(network, [one, other], [{one: one}, before], [(0, 1)])
    assert sorted(followed) == [0, 1]
