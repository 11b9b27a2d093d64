"""Many polylines at once give what a library gives for each alone."""

from random import Random

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter1d

from tracer.vector.bundle import Bundle, bundled, evenly, smoothed

Drawn = list[tuple[list[tuple[float, float]], bool]]

coordinates = st.integers(-500, 500).map(lambda n: n / 8)
polylines = st.lists(
    st.tuples(
        st.lists(st.tuples(coordinates, coordinates), min_size=2, max_size=30, unique=True), st.booleans()
    ),
    min_size=1,
    max_size=5,
)


def bundle_of(drawn: Drawn) -> Bundle:
    return bundled([np.array(points) for points, _ in drawn], [closed for _, closed in drawn])


@settings(max_examples=40)
@given(polylines, st.sampled_from([0.4, 1.0, 1.7, 3.0]))
def test_smoothing_is_the_gaussian_of_each_polyline(drawn: Drawn, sigma: float) -> None:
    # scipy.ndimage: a closed one goes round, an open one on turned about its ends (odd reflection).
    radius = int(np.ceil(3 * sigma))
    drawn = [(points, closed) for points, closed in drawn if closed or len(points) > radius]
    if not drawn:
        return
    bundle = bundle_of(drawn)
    found = smoothed(bundle, sigma)
    for points, own, closed in zip(
        bundle.split(bundle.points), found.split(found.points), bundle.closed, strict=True
    ):
        if closed:
            expected = gaussian_filter1d(points, sigma, axis=0, mode="wrap", radius=radius)
        else:
            wide = np.pad(points, ((radius, radius), (0, 0)), mode="reflect", reflect_type="odd")
            expected = gaussian_filter1d(wide, sigma, axis=0, radius=radius)[radius:-radius]
        np.testing.assert_allclose(own, expected, atol=1e-9)


@pytest.mark.parametrize(
    "count",
    [
        pytest.param(
            n,
            marks=pytest.mark.xfail(
                n < 6,
                strict=True,
                reason="continued past its far end a short polyline is no longer odd about its near one",
            ),
        )
        for n in (2, 3, 5, 6, 20)
    ],
)
def test_ends_of_open_polylines_stay_however_short(count: int) -> None:
    # Pixels of a branch, one apart, smoothed as they are for a line of eight pixels.
    points = np.column_stack([np.arange(count), np.arange(count) % 2]).astype(float)
    found = smoothed(bundled([points], [False]), 1.5).points
    assert found[[0, -1]] == pytest.approx(points[[0, -1]], abs=1e-9)


@settings(max_examples=40)
@given(polylines, st.sampled_from([0.3, 1.0, 7.0]))
def test_resampling_is_interpolation_along_each_polyline(drawn: Drawn, spacing: float) -> None:
    bundle = bundle_of(drawn)
    found = evenly(bundle, spacing)
    for points, own, closed in zip(
        bundle.split(bundle.points), found.split(found.points), bundle.closed, strict=True
    ):
        line = shapely.LineString(np.concatenate([points, points[:1]]) if closed else points)
        parts = max(1, round(line.length / spacing))
        along = np.arange(parts + (not closed)) * line.length / parts
        assert len(own) == len(along)
        expected = shapely.get_coordinates(shapely.line_interpolate_point(line, along))
        np.testing.assert_allclose(own, expected, atol=1e-6)


@settings(max_examples=40)
@given(polylines, st.integers(-6, 6))
def test_neighbours_go_round_closed_polylines_and_stop_at_open_ends(drawn: Drawn, reach: int) -> None:
    bundle = bundle_of(drawn)
    beside = bundle.points[bundle.beside(reach)]
    for points, own, closed in zip(
        bundle.split(bundle.points), bundle.split(beside), bundle.closed, strict=True
    ):
        index = np.arange(len(points)) + reach
        expected = np.take(points, index, axis=0, mode="wrap" if closed else "clip")
        assert np.array_equal(own, expected)


@settings(max_examples=40)
@given(polylines, st.randoms(use_true_random=False))
def test_medians_are_those_of_each_polyline(drawn: Drawn, random: Random) -> None:
    bundle = bundle_of(drawn)
    values = np.array([random.uniform(-9, 9) for _ in range(len(bundle.points))])
    expected = [np.median(own) for own in bundle.split(values)]
    np.testing.assert_allclose(bundle.medians(values), expected)
