"""Views of upright arrays in the order of the file."""

import numpy as np
import pytest
from PIL import Image

from tracer.art.turn import lying, turn_of


@pytest.mark.parametrize("turn", range(1, 9))
def test_what_is_written_lying_stands_upright(turn: int) -> None:
    upright = np.zeros((2, 3) if turn < 5 else (3, 2), np.uint8)
    view = lying(upright, turn)
    assert view.shape == (2, 3)
    view[0, 0] = 1  # the file's first pixel
    # Exif 2.3, Orientation: the row and the column that the file's first pixel is to be in.
    corner = {1: (0, 0), 2: (0, -1), 3: (-1, -1), 4: (-1, 0), 5: (0, 0), 6: (0, -1), 7: (-1, -1), 8: (-1, 0)}
    assert upright[corner[turn]] == 1


@pytest.mark.parametrize("nonsense", [0, 9, "6", None, (1, 2)])
def test_nonsense_is_upright(nonsense: object) -> None:
    exif = Image.Exif()
    exif[274] = nonsense
    assert turn_of(exif) == 1
