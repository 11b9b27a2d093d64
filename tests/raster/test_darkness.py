"""What is dark in a picture, and what of it is left out."""

import numpy as np
import pytest
from numpy.typing import NDArray

from tracer.model.scan import Scan
from tracer.raster import darkness

Grey = NDArray[np.uint8]


def _coloured_in(height: int, width: int) -> Grey:
    """Return black lines 16 pixels wide on white paper (H, W, 3), one field between them coloured in."""
    page = np.full((height, width, 3), 255, np.uint8)
    page[60:240, 60:240] = (250, 170, 60)
    for at in range(44, width - 60, 196):
        page[:, at : at + 16] = 25
        page[at : at + 16] = 25
    return page


def _found(page: Grey) -> tuple[Grey, list[tuple[float, float, float]]]:
    scan = Scan(page.mean(axis=2).astype(np.uint8), page, None, "unknown", "page.png")
    dark, mends, _ = darkness.darkness_of(scan)
    return dark, [(m.x, m.y, m.size_px) for m in mends if m.kind == "colouring left out"]


def test_a_large_coloured_picture_has_the_ink_and_the_areas_of_a_smaller_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    page = _coloured_in(641, 807)
    dark, areas = _found(page)
    monkeypatch.setattr(darkness, "LARGE", 640 * 806 // 3)  # now it is looked at in half the size
    again, moved = _found(page)
    assert again.shape == dark.shape == page.shape[:2]
    assert again[150, 100] < 12  # the colouring is gone
    assert again[150, 52] > 200  # the line beside it is not
    lines = np.abs((again[400] > 127).astype(int) - (dark[400] > 127))
    assert lines.sum() <= 4  # the edges of the four lines across this row: each within a pixel
    assert len(areas) == len(moved) == 1
    assert moved[0][2] == pytest.approx(areas[0][2], rel=0.1)
    assert np.array(moved[0][:2]) == pytest.approx((150, 150), abs=5)
