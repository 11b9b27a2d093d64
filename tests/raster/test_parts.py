"""Connected parts of a mask, held against OpenCV's own measures."""

import cv2
import numpy as np
import pytest

from tracer.raster.parts import parts_of


@pytest.mark.parametrize("seed", range(12))
def test_areas_and_boxes_are_those_of_opencv(seed: int) -> None:
    """Source: cv2.connectedComponentsWithStats, which measures the paper, too, and takes far longer."""
    rng = np.random.default_rng(seed)
    mask = (rng.random(rng.integers(1, 50, 2)) < rng.random()).astype(np.uint8)
    parts = parts_of(mask)
    count, label, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    assert parts.count == count
    assert np.array_equal(parts.area[1:], stats[1:, cv2.CC_STAT_AREA])
    assert np.array_equal(parts.boxes[1:], stats[1:, :4])
    chosen = np.arange(count) % 2 > 0
    assert np.array_equal(parts.where(chosen), chosen[label])


def test_a_part_may_run_from_one_border_to_the_next_row() -> None:
    mask = np.array([[0, 0, 1], [1, 0, 0], [0, 0, 0]], np.uint8)
    assert sorted(parts_of(mask).boxes[1:].tolist()) == [[0, 1, 1, 1], [2, 0, 1, 1]]


def test_paper_alone_has_no_parts() -> None:
    parts = parts_of(np.zeros((4, 5), np.uint8))
    assert parts.count == len(parts.boxes) == 1
    assert not parts.where(np.ones(1, bool)).any()
