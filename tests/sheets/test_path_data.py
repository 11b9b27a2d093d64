"""Path data that says the same curves, briefly; read back by svgpathtools, which is not ours."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from svgpathtools import parse_path

from tracer.sheets.path_data import path_data

coordinates = st.floats(-500, 500)
corners = st.lists(st.tuples(coordinates, coordinates), min_size=4, max_size=16)


def chain(points: list[tuple[float, float]]) -> np.ndarray:
    """Return a chain of cubics through each third point."""
    whole = np.array(points[: (len(points) - 1) // 3 * 3 + 1])
    return np.array([whole[k : k + 4] for k in range(0, len(whole) - 1, 3)])


def read(data: str) -> np.ndarray:
    return np.array([[(p.real, p.imag) for p in cubic.bpoints()] for cubic in parse_path(data)])


@given(corners)
def test_curves_come_back_to_a_hundredth(points: list[tuple[float, float]]) -> None:
    curves = chain(points)
    back = read(path_data(curves))
    assert back.shape == curves.shape
    assert np.abs(back - curves).max() < 0.00501


def test_errors_do_not_add_up_along_a_thousand_curves() -> None:
    x = np.arange(3001) * 0.0333
    whole = np.column_stack([x, x / 3])
    curves = np.array([whole[k : k + 4] for k in range(0, 3000, 3)])
    assert np.abs(read(path_data(curves)) - curves).max() < 0.00501


def test_a_chain_goes_on_where_the_one_before_ended() -> None:
    first = np.array([[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [3.0, 0.0]]])
    assert path_data(first, first + np.array([3.0, 0.0])) == "M0 0c1 0 2 0 3 0c1 0 2 0 3 0"
    assert path_data(first, first + np.array([0.0, 5.0])).count("M") == 2
    assert path_data() == ""


@pytest.mark.parametrize(
    ("step", "said"), [(0.5, ".5"), (-0.05, "-.05"), (10.0, "10"), (-12.3, "-12.3"), (-0.004, "0")]
)
def test_numbers_are_as_short_as_can_be(step: float, said: str) -> None:
    flat = np.array([[[0.0, 0.0], [0.0, 0.0], [0.0, 0.0], [step, 0.0]]])
    assert path_data(flat) == f"M0 0c0 0 0 0 {said} 0"
