"""Skeletons drawn by hand become networks."""

import numpy as np
import pytest

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
