import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry.swept import untouched


def line(*points):
    return np.array(points, float)


def test_a_disc_along_the_middle_leaves_a_strip_at_each_side():
    found = untouched([line((-50, 50), (250, 50))], 30.0, (200.0, 100.0), pitch=5.0)
    assert found.area == pytest.approx(200 * 40)
    assert len(found.rings) == 2
    levels = np.unique(found.hatching[:, :, 1])
    np.testing.assert_allclose(levels, [2.5, 7.5, 12.5, 17.5, 82.5, 87.5, 92.5, 97.5])
    np.testing.assert_allclose(np.sort(found.hatching[:, :, 0], axis=1), [[0, 200]] * 8)


def test_a_disc_that_stands_still_takes_its_circle():
    found = untouched([line((100, 50), (100, 50))], 40.0, (200.0, 100.0), pitch=5.0)
    assert found.area == pytest.approx(200 * 100 - math.pi * 40**2, rel=1e-3)


def test_nothing_is_left_where_the_disc_passes_over_all():
    found = untouched([line((0, 50), (200, 50))], 80.0, (200.0, 100.0), pitch=5.0)
    assert (found.rings, found.area, found.hatching.shape) == ((), 0.0, (0, 2, 2))


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 2**31))
def test_hatching_is_off_the_lines_by_the_radius_and_all_that_is_is_hatched(seed):
    """Against distances to many points along the lines, to 1.3 per cent of the radius."""
    random = np.random.default_rng(seed)
    lines = [random.uniform(0, 200, (4, 2)) for _ in range(3)]
    found = untouched(lines, 30.0, (200.0, 150.0), pitch=7.0)
    steps = [pair for points in lines for pair in pairwise(points)]
    dense = np.concatenate([a + np.linspace(0, 1, 200)[:, None] * (b - a) for a, b in steps])
    for y in np.arange(3.5, 150.0, 7.0):
        x = np.arange(0.5, 200.0, 3.0)
        away = np.hypot(x[:, None] - dense[:, 0], y - dense[:, 1]).min(axis=1)
        here = np.sort(found.hatching[np.abs(found.hatching[:, 0, 1] - y) < 1e-6][:, :, 0], axis=1)
        hatched = ((x[:, None] > here[:, 0]) & (x[:, None] < here[:, 1])).any(axis=1)
        assert hatched[away > 30.4].all()
        assert not hatched[away < 29.6].any()
