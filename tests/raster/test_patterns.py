"""Pictures of any size and kind can be looked at; plain ones come back as they are."""

import numpy as np
import pytest
from pen import Page

from tracer.art.read import scan_of
from tracer.raster.darkness import darkness_of
from tracer.raster.patterns import without_patterns


@pytest.mark.parametrize("size", [(16, 16), (16, 300), (300, 16), (63, 65), (64, 64), (65, 700), (700, 64)])
@pytest.mark.parametrize("coloured", [False, True])
def test_tiny_and_narrow_pictures(size: tuple[int, int], coloured: bool) -> None:
    grey = np.random.default_rng(1).integers(0, 256, size).astype(np.uint8)
    scan = scan_of(np.dstack([grey, grey, 255 - grey]) if coloured else grey)
    assert without_patterns(scan)[0].grey.shape == size
    assert darkness_of(scan)[0].shape == size


def test_a_plain_drawing_comes_back_as_it_is() -> None:
    scan = Page(400, 300).ring(200, 150, 90).line((30, 30), (370, 260)).scan
    found, mends = without_patterns(scan)
    assert found is scan
    assert not mends
