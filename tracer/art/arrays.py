"""Arrays as pictures, and pictures as images to save."""

import io
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tracer.art.admit import check_size
from tracer.art.depth import eight_bits
from tracer.art.resolution import scale_of
from tracer.art.sheet import Entry
from tracer.errors import ArtError
from tracer.model.scan import Scan
from tracer.reading import AS_IT_IS, Reading

if TYPE_CHECKING:
    from PIL.Image import Image


def scan_of(array: NDArray[np.generic], reading: Reading = AS_IT_IS, *, name: str = "array") -> Scan:
    """Return a Scan of an array (H, W) or (H, W, 3) of red, green, blue; 0 black to 255 white.

    Truth values are black and white, floating point arrays are taken as 0 to 1 where nothing
    in them is larger, counts by the depth that their largest needs (8, 10, 12 or 16 bits).

    Raises
    ------
    ArtError
        For other shapes, what is no number, and sizes that are too small or too large.
    """
    if array.ndim not in (2, 3) or (array.ndim == 3 and array.shape[2] != 3):
        raise ArtError(f"An array of shape {array.shape} is no picture: (H, W) or (H, W, 3) is needed.")
    check_size(array.shape[1], array.shape[0], name)
    pixels = eight_bits(array)
    size = scale_of(reading, Entry(None, "unknown"), array.shape[1], array.shape[0], 1.0)
    if pixels.ndim == 2:
        return Scan(pixels, None, size.mm_per_px, size.words, name)
    return Scan(_luma(pixels), pixels, size.mm_per_px, size.words, name)


def image_of(scan: Scan) -> "Image":
    """Return a scan as a picture to save."""
    import PIL.Image

    return PIL.Image.fromarray(scan.grey if scan.colour is None else scan.colour)


def _luma(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return luma (H, W) of red, green, blue (ITU-R BT.601)."""
    import PIL.Image

    return np.array(PIL.Image.fromarray(pixels).convert("L"))


def png_of(scan: Scan) -> bytes:
    """Return a scan as the bytes of a PNG."""
    buffer = io.BytesIO()
    image_of(scan).save(buffer, "PNG", compress_level=1)
    return buffer.getvalue()
