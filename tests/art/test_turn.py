"""Bands of a file's rows, upright and in their place."""

import numpy as np
import pytest
from PIL import Image

from tracer.art.turn import place_of, turn_of, turned


@pytest.mark.parametrize("turn", range(1, 9))
def test_rows_of_the_file_stand_upright(turn: int) -> None:
    pixels = np.arange(15, dtype=np.uint8).reshape(5, 3)
    upright = np.zeros((5, 3) if turn < 5 else (3, 5), np.uint8)
    for rows in (slice(0, 2), slice(2, 5)):
        place_of(rows, upright, turn)[...] = np.asarray(turned(Image.fromarray(pixels[rows]), turn))
    # Exif 2.3, Orientation: the sides on which the file's first row and first column are to be.
    first = {1: "top left", 2: "top right", 3: "bottom right", 4: "bottom left"}
    first |= {5: "left top", 6: "right top", 7: "right bottom", 8: "left bottom"}
    side = {"top": upright[0], "bottom": upright[-1], "left": upright[:, 0], "right": upright[:, -1]}
    row, column = first[turn].split()
    backwards = column in ("right", "bottom"), row in ("right", "bottom")
    assert np.array_equal(side[row], pixels[0][:: -1 if backwards[0] else 1])
    assert np.array_equal(side[column], pixels[:, 0][:: -1 if backwards[1] else 1])


@pytest.mark.parametrize("nonsense", [0, 9, "6", None, (1, 2)])
def test_nonsense_is_upright(nonsense: object) -> None:
    exif = Image.Exif()
    exif[274] = nonsense
    assert turn_of(exif) == 1
