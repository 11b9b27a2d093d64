"""Middles of ink in colouring: the light they let through, and what joins them.

Densities of layers add, so what they let through multiplies (Beer 1852, Lambert 1760).
"""

import numpy as np
import pytest

from tracer.raster.middles import ink_middles, let_through

PENS = 5.0  # cells across a line
BLACK = 10**-1.55  # printing black (common practice: densities of 1.4 to 1.8)
BROWN, GREEN, BLUE = ((np.array(c) / 255) ** 2.2 for c in ((112, 74, 52), (112, 178, 92), (44, 62, 132)))


def page(below: np.ndarray, mark: np.ndarray | float, long: int = 60, floor: float = 0.02) -> np.ndarray:
    """Light of a line five cells wide on colouring, and the gleam of the surface."""
    light = np.broadcast_to(below, (60, 80, 3)).astype(np.float32).copy()
    light[28:33, 10 : 10 + long] *= mark
    return floor + light


@pytest.mark.parametrize("below", [BROWN, GREEN, BLUE, np.ones(3)])
def test_black_ink_lets_3_percent_through_on_any_colouring(below: np.ndarray) -> None:
    least, _ = let_through(page(below, BLACK), 0.02, PENS)
    clear = below.max()
    assert least[30, 40] == pytest.approx((BLACK * clear + 0.002) / (clear + 0.004), abs=0.005)
    assert least[10, 40] > 0.9


@pytest.mark.parametrize(("below", "wax"), [(BROWN, BROWN), (GREEN, GREEN), (BLUE, BLUE)])
def test_a_second_wax_lets_through_what_it_spares(below: np.ndarray, wax: np.ndarray) -> None:
    least, most = let_through(page(below, wax), 0.02, PENS)
    assert least[30, 40] > (below * wax).max() / below.max() > 0.1
    assert not ink_middles(least, most, PENS).any()


def test_an_edge_of_something_dark_is_no_line() -> None:
    light = np.ones((60, 80, 3), np.float32)
    light[30:] = BLACK
    assert not ink_middles(*let_through(light, 0.0, PENS), PENS).any()


def test_lines_and_dots_are_found_and_scraps_are_not() -> None:
    def found(long: int) -> bool:
        return bool(ink_middles(*let_through(page(GREEN, BLACK, long), 0.02, PENS), PENS).any())

    assert found(60)
    assert found(5)  # a dot
    assert not found(2)


def test_pale_ink_is_ink_where_it_joins_ink() -> None:
    light = page(BLUE, BLACK)
    light[28:33, 36:44] = 0.02 + 0.4 * BLUE  # a coat of wax throws light back here
    light[5:10, 36:44] = 0.02 + 0.4 * BLUE  # and alike where nothing is beside it
    middles = ink_middles(*let_through(light, 0.02, PENS), PENS)
    assert middles[30, 12:68].all()
    assert not middles[:20].any()
