"""Repairs that leave the ink are undone, and be it between two points that lie on it."""

from itertools import pairwise

import numpy as np
import pytest
from pen import Page

from tracer.raster.ink import find_ink
from tracer.vector.explain import Explanation
from tracer.vector.follow import follow
from tracer.vector.links import End, Links
from tracer.vector.network import Branch, Network
from tracer.vector.samples import Samples, evenly

LEFT = [(60.0, 40.0), (60.0, 140.0), (100.0, 140.0)]
RIGHT = [(100.0, 140.0), (140.0, 140.0), (140.0, 40.0)]


@pytest.mark.parametrize(("cut", "leaves"), [(20, False), (120, True)])
def test_a_leap_from_one_arm_to_the_next_lies_on_ink_all_the_way(cut: int, leaves: bool) -> None:
    # The bridge of both arms is one point, the middle of the U's foot: from 20 px away it lies ahead.
    page = Page()
    for start, end in [*pairwise(LEFT), *pairwise(RIGHT)]:
        page = page.line(start, end, width=10)
    ways = [evenly(np.array(way)) for way in (LEFT, RIGHT)]
    samples = [Samples(way, np.full(len(way), 10.0), np.ones(len(way), bool), closed=False) for way in ways]
    nodes = {0: ways[0][0], 1: ways[0][-1], 2: ways[1][-1]}
    network = Network(nodes, (Branch(ways[0], 0, 1), Branch(ways[1], 1, 2)))
    one, other = (0, 1), (1, 0)
    links = Links({one: cut, other: cut}, {one: other, other: one}, {one: np.array([[100.0, 140.0]])})
    ink = find_ink(page.scan)
    assert ink.zoom == 1
    assert Explanation(ink, network, samples, links).off_ink() == ({one} if leaves else set())


MET = np.array([[96.0, 97.0]])
ASIDE = np.array([[104.0, 103.0]])
BETWEEN = np.column_stack([np.arange(97.0, 104), np.full(7, 100.0)])


@pytest.mark.parametrize(
    ("tails", "length"),
    [
        pytest.param({}, 160, id="all end"),
        pytest.param({(0, 1): MET, (3, 0): MET}, 84, id="two meet elsewhere"),
        pytest.param({(0, 1): MET, (3, 0): MET, (2, 0): ASIDE, (4, 0): ASIDE}, 76, id="all meet elsewhere"),
        pytest.param({(3, 0): BETWEEN}, 76, id="a repair runs there"),
    ],
)
def test_lines_that_end_on_either_side_of_a_short_way_are_joined_by_it(
    tails: dict[End, np.ndarray], length: float
) -> None:
    # The caps of bar and stems cover the way between both junctions: for itself it explains nothing.
    ways = [
        [(20.0, 100.0), (96.0, 100.0)],
        [(96.0, 100.0), (104.0, 100.0)],
        [(104.0, 100.0), (180.0, 100.0)],
        [(96.0, 100.0), (96.0, 40.0)],
        [(104.0, 100.0), (104.0, 160.0)],
    ]
    page = Page()
    for start, end in ways:
        page = page.line(start, end, width=10)
    points = [evenly(np.array(way)) for way in ways]
    samples = [Samples(way, np.full(len(way), 10.0), np.ones(len(way), bool), closed=False) for way in points]
    places = [(20, 100), (96, 100), (104, 100), (180, 100), (96, 40), (104, 160)]
    nodes = {k: np.array(place, float) for k, place in enumerate(places)}
    ends = [(0, 1), (1, 2), (2, 3), (1, 4), (2, 5)]
    network = Network(nodes, tuple(Branch(way, a, b) for way, (a, b) in zip(points, ends, strict=True)))
    links = Links(cuts={(k, side): 0 for k in (0, 2, 3, 4) for side in (0, 1)})
    links.tails.update(tails)
    ink = find_ink(page.scan)
    assert ink.zoom == 1
    Explanation(ink, network, samples, links).check()
    longest = max((line for line, *_ in follow(network, samples, links)), key=lambda line: len(line.points))
    assert np.ptp(longest.points[:, 0]) == pytest.approx(length, abs=1)
