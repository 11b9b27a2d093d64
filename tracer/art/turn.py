"""The eight ways a picture may lie in its file (Exif 2.3, tag 274, Orientation)."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL.Image import Exif, Image

ORIENTATION = 274

_FROM_THE_START = (1, 2, 5, 8)
"""Orientations in which the file's first row comes at the top or at the left."""


def turn_of(exif: "Exif") -> int:
    """Return the orientation entry, 1 where there is none or nonsense."""
    turn = exif.get(ORIENTATION, 1)
    return turn if isinstance(turn, int) and 1 <= turn <= 8 else 1


def turned(band: "Image", turn: int) -> "Image":
    """Return a band of a file's rows upright: rows still, or columns where the picture lies on its side."""
    from PIL.Image import Transpose

    how = {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }
    return band.transpose(how[turn]) if turn in how else band


def place_of(rows: slice, upright: NDArray[np.uint8], turn: int) -> NDArray[np.uint8]:
    """Return the view of an upright array (H, W[, 3]) into which those rows of the file go once turned."""
    lying = turn > 4
    if turn not in _FROM_THE_START:
        whole = upright.shape[1 if lying else 0]
        rows = slice(whole - rows.stop, whole - rows.start)
    return upright[:, rows] if lying else upright[rows]
