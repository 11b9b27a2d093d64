"""Affine maps against scikit-image's transforms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.transform import AffineTransform, SimilarityTransform

from tracer.geometry import affine

numbers = st.floats(-100, 100)
POINTS = np.array([[0.0, 0.0], [3.0, -7.0], [120.5, 33.0]])


@given(st.floats(0.01, 100), st.floats(-7, 7), numbers, numbers)
def test_scale_then_turn_then_shift_is_a_similarity(factor: float, angle: float, x: float, y: float) -> None:
    # Outside reference: scikit-image's SimilarityTransform.
    ours = affine.compose(affine.translation(x, y), affine.rotation(angle), affine.scaling(factor))
    theirs = SimilarityTransform(scale=factor, rotation=angle, translation=(x, y))
    assert affine.apply(ours, POINTS) == pytest.approx(theirs(POINTS), abs=1e-6)
    assert affine.scale_of(ours) == pytest.approx(factor)


def test_the_last_map_named_is_the_first_applied() -> None:
    shift, double = affine.translation(1, 0), affine.scaling(2)
    assert affine.apply(affine.compose(shift, double), np.array([1.0, 1.0])) == pytest.approx([3, 2])
    assert affine.apply(affine.compose(double, shift), np.array([1.0, 1.0])) == pytest.approx([4, 2])


def test_a_quarter_turn_takes_x_to_y() -> None:
    assert affine.apply(affine.rotation(np.pi / 2), np.array([1.0, 0.0])) == pytest.approx([0, 1])


def test_any_leading_shape_is_mapped() -> None:
    curves = np.arange(16.0).reshape(2, 4, 2)
    theirs = AffineTransform(translation=(5, 6))
    mapped = affine.apply(affine.translation(5, 6), curves)
    assert mapped.reshape(-1, 2) == pytest.approx(theirs(curves.reshape(-1, 2)))
    assert mapped.shape == curves.shape


def test_a_mirror_keeps_lengths() -> None:
    assert affine.scale_of(np.array([[-3.0, 0, 1], [0, 3, 2]])) == pytest.approx(3)
