"""What all samples along a line are asked."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tracer.vector.samples import median


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=60))
def test_the_median_is_numpys(values: list[float]) -> None:
    # Outside reference: numpy.median.
    assert median(np.array(values)) == np.median(values)
