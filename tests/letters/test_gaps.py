"""Ends that the grid leaves short of what they meet are led onto it; real gaps stay."""

import numpy as np
import pytest
from numpy.typing import NDArray

from tracer.geometry.joints import find_joints
from tracer.letters.gaps import REACH, drawn

Array = NDArray[np.float64]

LEG = np.array([(8, 21), (0, 0)], float)


def bar(short: float) -> Array:
    """A bar at height 7 that ends so much short of the leg."""
    return np.array([(8 / 3 + short, 7), (13, 7)])


@pytest.mark.parametrize("short", [0.1, 0.33, 0.5, -0.33])
def test_a_bar_goes_on_along_itself_to_the_leg(short: float) -> None:
    # the leg passes height 7 at x = 8 / 3, by proportion
    chain = drawn([LEG, bar(short)], 20.0)[1]
    assert chain[0, 0] == pytest.approx([8 / 3, 7], abs=1e-9)
    assert chain[-1, 3] == pytest.approx([13, 7])


def test_a_real_gap_stays() -> None:
    short = REACH * 1.1 / np.cos(np.arctan2(8, 21))
    assert drawn([LEG, bar(short)], 20.0)[1][0, 0] == pytest.approx([8 / 3 + short, 7])


def test_an_end_on_the_letters_edge_stays() -> None:
    line = bar(0.33)
    assert drawn([LEG - (line[0, 0], 0), line - (line[0, 0], 0)], 20.0)[1][0, 0] == pytest.approx([0, 7])
    assert drawn([LEG, line], 13.0)[1][0, 0] == pytest.approx([8 / 3, 7])


def test_a_bow_ends_on_its_own_further_stretch() -> None:
    # a 6: the bow closes half a step short of its own stem
    six = np.array(
        [
            *((11, 20), (9, 21), (6, 21), (3, 19), (1, 14), (0, 8), (1, 3), (4, 0), (8, 0), (11, 2)),
            *((12, 5), (11, 9), (8, 11), (5, 11), (2, 10), (0.5, 7)),
        ],
        float,
    )
    chains = drawn([six], 20.0)
    met = find_joints([(chains[0], False)], 0.05)
    assert len(met) == 1
    assert len(met[0].members) == 2


def test_a_ring_is_left_as_it_is() -> None:
    ring = np.array([(0, 0), (2, -1), (4, 0), (5, 2), (4, 4), (2, 5), (0, 4), (-1, 2), (0, 0)], float)
    near = np.array([(-1.3, 2), (-9, 2)])
    chains = drawn([ring, near], 20.0)
    assert np.array_equal(chains[0][0, 0], chains[0][-1, 3])
    assert find_joints([(chains[0], True), (chains[1], False)], 0.05)
