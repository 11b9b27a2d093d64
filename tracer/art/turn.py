"""The eight ways a picture may lie in its file (Exif 2.3, tag 274, Orientation)."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL.Image import Exif

ORIENTATION = 274


def turn_of(exif: "Exif") -> int:
    """Return the orientation entry, 1 where there is none or nonsense."""
    turn = exif.get(ORIENTATION, 1)
    return turn if isinstance(turn, int) and 1 <= turn <= 8 else 1


def lying(upright: NDArray[np.uint8], turn: int) -> NDArray[np.uint8]:
    """Return a view of an upright array (H, W[, 3]) whose rows and columns are those of the file.

    What is written into it in the file's order stands upright in `upright`, without a copy.
    """
    match turn:
        case 2:
            return upright[:, ::-1]
        case 3:
            return upright[::-1, ::-1]
        case 4:
            return upright[::-1]
        case 5:
            return upright.swapaxes(0, 1)
        case 6:
            return upright.swapaxes(0, 1)[::-1]
        case 7:
            return upright.swapaxes(0, 1)[::-1, ::-1]
        case 8:
            return upright.swapaxes(0, 1)[:, ::-1]
    return upright
