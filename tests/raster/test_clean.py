"""Specks off and pinholes filled, each once."""

import numpy as np

from tracer.raster.clean import clean


def test_a_dropped_speck_leaves_no_plug_behind() -> None:
    # A ring of 8 pixels round one of paper: the hole in it is not filled once it is gone.
    mask = np.zeros((40, 40), np.uint8)
    mask[20:23, 20:23] = 1
    mask[21, 21] = 0
    cleaned, mends = clean(mask, 255 * mask, 8.0, 1.0)
    assert not cleaned.any()
    assert [mend.kind for mend in mends] == ["speck dropped"]
