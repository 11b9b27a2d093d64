"""Skeletons drawn by hand become networks."""

import networkx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter, label
from skimage.morphology import skeletonize

from tracer.vector.network import LOOP, Network, skeleton_network

DRAWN = {
    "line": ("......./.#####./.......", 2, 1),
    "bent": ("#....../.#...../..####.", 2, 1),
    "T": ("#######/...#.../...#...", 4, 3),
    "X": ("#...#/.#.#./..#../.#.#./#...#", 5, 4),
    "plus": ("..#../..#../#####/..#../..#..", 5, 4),
    "ring": (".###./#...#/#...#/.###.", 0, 1),
    "ring with a tail": (".###.../#...###/#...#../.###...", 2, 2),
    "dot": (".../.#./...", 1, 0),
    "two lines": ("###.###", 4, 2),
    "nothing": (".../...", 0, 0),
    "corner pixel is no junction": ("###/..#/..#", 2, 1),
}


def network_of(name: str) -> tuple[Network, np.ndarray]:
    skeleton = np.array([[c == "#" for c in row] for row in DRAWN[name][0].split("/")])
    return skeleton_network(skeleton), skeleton


@pytest.mark.parametrize("name", DRAWN)
def test_nodes_and_branches_of(name: str) -> None:
    network, _ = network_of(name)
    assert (len(network.nodes), len(network.branches)) == DRAWN[name][1:]


@pytest.mark.parametrize("name", DRAWN)
def test_every_pixel_is_in_the_network_and_steps_are_neighbours(name: str) -> None:
    network, skeleton = network_of(name)
    points = [p for branch in network.branches for p in branch.points] + list(network.nodes.values())
    for y, x in np.argwhere(skeleton):
        assert min(np.abs(np.array(points) - (x + 0.5, y + 0.5)).max(axis=1)) <= 1
    for branch in network.branches:
        assert (np.abs(np.diff(branch.points, axis=0)).max(axis=1) == 1).all()
        assert all(skeleton[int(y), int(x)] for x, y in branch.points)


@pytest.mark.parametrize("name", ["ring"])
def test_a_ring_is_a_loop_without_nodes(name: str) -> None:
    (branch,) = network_of(name)[0].branches
    assert (branch.a, branch.b) == (LOOP, LOOP)
    assert len(branch.points) == 10


def test_arms_count_the_lines_at_a_node() -> None:
    arms = network_of("T")[0].arms()
    assert sorted(len(ends) for ends in arms.values()) == [1, 1, 1, 3]


@settings(max_examples=60)
@given(st.integers(0, 10**6), st.sampled_from([0.8, 1.5, 2.5]))
def test_networks_of_any_skeleton_have_its_parts_and_its_holes(seed: int, sigma: float) -> None:
    # Skeletons by scikit-image, parts and holes by scipy, those of the network by networkx.
    noise = np.random.default_rng(seed).normal(size=(40, 50))
    skeleton = np.pad(skeletonize(gaussian_filter(noise, sigma) > 0), 1)
    network = skeleton_network(skeleton)
    graph = networkx.MultiGraph()
    graph.add_nodes_from(network.nodes)
    for k, branch in enumerate(network.branches):
        loop = branch.a == LOOP
        graph.add_edge(*((("loop", k),) * 2 if loop else (branch.a, branch.b)))
    parts = networkx.number_connected_components(graph)
    assert parts == label(skeleton, np.ones((3, 3)))[1]
    # Neighbouring junction pixels are one node, and so may be all round a hole of one pixel.
    holes, size = label(~skeleton)
    larger = int((np.bincount(holes.ravel())[2:] > 1).sum()) if size > 1 else 0
    assert larger <= graph.number_of_edges() - graph.number_of_nodes() + parts <= size - 1
    ends = [node for node, arms in network.arms().items() if len(arms) == 1]
    lone = [
        (x + 0.5, y + 0.5)
        for y, x in np.argwhere(skeleton)
        if skeleton[y - 1 : y + 2, x - 1 : x + 2].sum() == 2
    ]
    assert {tuple(network.nodes[node]) for node in ends} >= set(lone)
