"""Repairs that leave the ink are undone, and be it between two points that lie on it."""

from itertools import pairwise

import numpy as np
import pytest
from pen import Page

from tracer.raster.ink import find_ink
from tracer.vector.explain import Explanation
from tracer.vector.links import Links
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
