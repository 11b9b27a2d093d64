"""Marks in colouring: the light that they let through, their width, and what joins them.

Densities of layers add, so what they let through multiplies (Beer 1852, Lambert 1760).
"""

import numpy as np
import pytest

from tracer.raster.density import as_wide, let_through, with_bridges

PENS = 4.0  # cells across a line
BROWN, GREEN, BLUE = (112, 74, 52), (112, 178, 92), (44, 62, 132)


def marked(below: tuple[int, int, int], mark: tuple[int, int, int]) -> float:
    """The part of the light that a mark lets through at its middle, as it is measured on colouring."""
    tints = [np.full((40, 40), round(250 * b / 255), np.uint8) for b in below]
    free = np.ones((40, 40), np.uint8)
    free[:, 17:23] = 0
    for tint, m in zip(tints, mark, strict=True):
        tint[:, 18:22] = np.round(tint[:, 18:22] * (m / 255))
    return float(let_through(tints, np.max(tints, axis=0), free, PENS)[20, 20])


@pytest.mark.parametrize("below", [BROWN, GREEN, BLUE, (150, 150, 152)])
def test_black_ink_lets_little_light_through_on_any_colouring(below: tuple[int, int, int]) -> None:
    assert marked(below, (12, 12, 12)) == pytest.approx(12 / 255, abs=0.06)  # the scan's dimmest greys


@pytest.mark.parametrize("below", [GREEN, (150, 150, 152)])
def test_another_wax_lets_through_what_it_spares(below: tuple[int, int, int]) -> None:
    coat = (169, 137, 115)  # brown, half as thick: 169 / 255 is the root of 112 / 255
    most = 169 if below[0] == 150 else 137  # green wax is dark but in the green
    assert marked(below, coat) == pytest.approx(most / 255, abs=0.02)


def test_nothing_is_said_without_colouring_near_by() -> None:
    tints = [np.full((40, 40), 120, np.uint8)] * 3
    assert not let_through(tints, tints[0], np.zeros((40, 40), np.uint8), PENS).any()


@pytest.mark.parametrize("width", [1, 2, 3, 4])
def test_what_is_narrower_goes_and_what_is_as_wide_stays_in_place(width: int) -> None:
    marks = np.zeros((30, 30), np.uint8)
    marks[5 : 5 + width, 3:27] = 1
    assert np.array_equal(as_wide(marks, width), marks)
    assert not as_wide(marks, width + 1).any()


def test_a_part_between_two_that_are_kept_stays_and_a_dead_end_goes() -> None:
    marks = np.zeros((30, 60), np.uint8)
    marks[14:17, 5:55] = 1
    kept = marks.copy()
    kept[:, 20:30] = 0  # a bridge
    kept[:, 45:] = 0  # a dead end
    whole = with_bridges(kept, marks)
    assert whole[14:17, 5:45].all()
    assert not whole[:, 45:].any()
