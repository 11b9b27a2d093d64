"""Arrays of any kind of number become eight bits, or are refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from tracer.art.depth import eight_bits
from tracer.art.read import scan_of
from tracer.errors import ArtError

NUMBERS = st.one_of(
    arrays.boolean_dtypes(),
    arrays.integer_dtypes(endianness="?"),
    arrays.unsigned_integer_dtypes(endianness="?"),
    arrays.floating_dtypes(endianness="?"),
)


@given(NUMBERS.flatmap(lambda kind: arrays.arrays(kind, (20, 18))))
def test_any_numbers(array: np.ndarray) -> None:
    grey = eight_bits(array)
    assert grey.dtype == np.uint8
    assert grey.shape == array.shape
    sound = np.isfinite(array)
    # Order is kept: what is lighter does not become darker.
    order = np.argsort(array[sound], kind="stable")
    assert (np.diff(grey[sound][order].astype(int)) >= 0).all()
    assert (grey[np.isnan(array)] == 255).all()


def test_white_is_white_however_its_scale_is_rounded() -> None:
    array = np.full((20, 18), np.nan, np.float32)
    array[0, 0] = 1.3145917e16  # times 255 / 1.3145917e16 it is 254.99998 in 32 bits
    assert (eight_bits(array) == 255).all()


@pytest.mark.parametrize(
    ("array", "white"),
    [
        (np.array([[False, True]]), True),
        (np.array([[0, 1]]), 1),
        (np.array([[0.0, 1.0]]), 1.0),
        (np.array([[0, 255]], np.int64), 255),
        (np.array([[0, 1023]], np.uint16), 1023),
        (np.array([[0, 4095]], ">u2"), 4095),
        (np.array([[0, 65535]], np.int32), 65535),
        (np.array([[0, 2**31 - 1]], np.int32), 2**31 - 1),
        (np.array([[0, 2**64 - 1]], np.uint64), 2**64 - 1),
        (np.array([[-5.0, np.inf]]), np.inf),
    ],
)
def test_black_and_white_of_each_depth(array: np.ndarray, white: float) -> None:
    assert eight_bits(array).tolist() == [[0, 255]], white


@pytest.mark.parametrize("kind", ["complex64", "U3", "datetime64[s]", "object"])
def test_what_is_no_number(kind: str) -> None:
    with pytest.raises(ArtError, match="is no picture"):
        scan_of(np.zeros((20, 20), kind))
