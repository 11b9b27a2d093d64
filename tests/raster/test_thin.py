"""Thinning: the skeleton is connected as the ink is, one pixel thick, in the middle, as long as the line."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from pen import Page
from scipy.ndimage import distance_transform_edt, label
from skimage.morphology import skeletonize

from tracer.raster.binarize import depths
from tracer.raster.thin import NEIGHBOURS, SIMPLE, thin

EIGHT = np.ones((3, 3))
MASKS = arrays(bool, st.tuples(st.integers(1, 24), st.integers(1, 24)), elements=st.booleans())


def thinned(mask: np.ndarray) -> np.ndarray:
    # cv2 has no distance in a mask without paper: the picture stands on some.
    padded = np.pad(mask, 1)
    return thin(padded, depths(padded.astype(np.uint8)))[1:-1, 1:-1]


def topology(mask: np.ndarray) -> tuple[int, int]:
    """Parts of ink (eight neighbours) and of paper (four), the paper all round counted."""
    return label(mask, EIGHT)[1], label(~np.pad(mask, 1))[1]


def blobs(seed: int, sigma: float) -> np.ndarray:
    from scipy.ndimage import gaussian_filter

    return gaussian_filter(np.random.default_rng(seed).normal(size=(90, 110)), sigma) > 0


def test_simple_pixels_are_those_that_change_no_topology() -> None:
    # By the definition itself: the parts of ink and paper counted with and without the middle pixel.
    places = [(1, 2), (0, 2), (0, 1), (0, 0), (1, 0), (2, 0), (2, 1), (2, 2)]
    for code in range(256):
        block = np.zeros((3, 3), bool)
        for bit, place in enumerate(places):
            block[place] = code >> bit & 1
        with_it = block.copy()
        with_it[1, 1] = True
        assert SIMPLE[code] == (topology(block) == topology(with_it) and code != 0)
        assert NEIGHBOURS[code] == block.sum()


@given(MASKS)
@settings(max_examples=300, deadline=None)
def test_topology_of_any_mask_is_kept(mask: np.ndarray) -> None:
    skeleton = thinned(mask)
    assert not (skeleton & ~mask).any()
    assert topology(skeleton) == topology(mask)


@pytest.mark.parametrize("sigma", [1.0, 2.0, 4.0])
@pytest.mark.parametrize("seed", [1, 2])
def test_blobs_keep_their_topology_and_no_pixel_could_go(seed: int, sigma: float) -> None:
    mask = blobs(seed, sigma)
    skeleton = thinned(mask)
    assert topology(skeleton) == topology(mask) == topology(skeletonize(mask))
    padded = np.pad(skeleton, 1)
    around = np.zeros(padded.shape, int)
    for bit, step in enumerate([(0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0), (1, 1)]):
        around += np.roll(padded, (-step[0], -step[1]), (0, 1)).astype(int) << bit
    around = around[1:-1, 1:-1]
    assert not (skeleton & SIMPLE[around] & (NEIGHBOURS[around] > 1)).any()  # only ends could


@pytest.mark.parametrize("width", [1.0, 3.0, 6.0, 7.0, 12.0])
@pytest.mark.parametrize("angle_deg", [0, 17, 45, 90])
def test_a_line_has_its_own_length_and_middle(width: float, angle_deg: int) -> None:
    a = np.radians(angle_deg)
    start, end = (np.array([150.3, 100.6]) + s * 70 * np.array([np.cos(a), np.sin(a)]) for s in (-1, 1))
    skeleton = thinned(Page().line(tuple(start), tuple(end), width=width).grey < 128)
    y, x = np.nonzero(skeleton)
    along = (np.column_stack([x, y]) + 0.5 - start) @ (np.cos(a), np.sin(a))
    aside = (np.column_stack([x, y]) + 0.5 - start) @ (-np.sin(a), np.cos(a))
    assert np.abs(aside[(along > width / 2) & (along < 140 - width / 2)]).max() < 1.1
    assert along.min() < 2 + width / 4  # reference: the parallel thinning stops anywhere within the cap
    assert along.max() > 138 - width / 4


def test_the_skeleton_lies_deeper_than_that_of_parallel_thinning() -> None:
    mask = Page().ring(150, 100, 60, width=9).line((20, 20), (280, 180), width=7).grey < 128
    depth = distance_transform_edt(mask)
    assert depth[thinned(mask)].mean() > depth[skeletonize(mask)].mean() - 0.01


def test_hair_beside_a_thick_line_is_not_eaten() -> None:
    mask = Page().line((40, 100), (260, 100), width=20).line((60, 84), (240, 84), width=2).grey < 128
    skeleton = thinned(mask)
    assert topology(skeleton) == topology(mask)
    assert skeleton[80:88].any(axis=0).sum() > 174


def test_a_rough_edge_leaves_no_spurs() -> None:
    rng = np.random.default_rng(7)
    mask = np.zeros((60, 300), bool)
    for column in range(20, 280):
        top, bottom = 25 + rng.integers(-1, 2), 35 + rng.integers(-1, 2)
        mask[top:bottom, column] = True
    skeleton = thinned(mask)
    around = sum(np.roll(skeleton, (r, c), (0, 1)).astype(int) for r in (-1, 0, 1) for c in (-1, 0, 1)) - 1
    assert (skeleton & (around == 1)).sum() == 2
