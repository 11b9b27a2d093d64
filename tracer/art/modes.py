"""Pixels of any of Pillow's modes as grey and colour, eight bits, on white paper.

Pillow's traps: 16 bits become white when made 8 plainly; transparent parts show whatever colour
stands below them; LAB needs a profile; colour is stored where there is none. Work goes in bands,
so that a page of 70 million pixels is never held twice.
"""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tracer.art.depth import eight_bits, highest
from tracer.art.turn import place_of, turned

if TYPE_CHECKING:
    from PIL.Image import Image

BAND = 128
"""Rows of a band: a power of two, since bands may be made smaller."""

Pixels = tuple[NDArray[np.uint8], NDArray[np.uint8] | None]


def channels(image: "Image", *, turn: int = 1, shrink: int = 1) -> tuple[Pixels, list[str]]:
    """Return grey (H, W), colour (H, W, 3) or None, and what was done, in words.

    Parameters
    ----------
    image : a decoded picture of any mode.
    turn : how it is to be turned, as EXIF's orientation says it, 1 to 8.
    shrink : how many pixels go into one along each side: their mean, on white paper.
    """
    plain, notes = _plain(image)
    pixels = collected(_shrunk(map(plain, bands(image)), shrink), _size(image, shrink), turn)
    if notes and (ink := _ink_in_alpha(image, pixels[0])):
        again, why = ink
        pixels = collected(_shrunk(map(again, bands(image)), shrink), _size(image, shrink), turn)
        notes = [why]
    return pixels, notes


def bands(image: "Image") -> Iterator["Image"]:
    """Cut a picture into bands of rows."""
    for top in range(0, image.height, BAND):
        yield image.crop((0, top, image.width, min(top + BAND, image.height)))


def collected(parts: Iterator["Image"], size: tuple[int, int], turn: int = 1) -> Pixels:
    """Put bands of mode L or RGB together, turned upright; colour only where there is any.

    `size` is the width and height of all bands together, before they are turned.
    """
    width, height = size
    grey = np.empty((height, width) if turn < 5 else (width, height), np.uint8)
    colour: NDArray[np.uint8] | None = None
    top = 0
    for part in parts:
        rows, band = slice(top, top + part.height), turned(part, turn)
        plane = _grey_plane(band) if colour is None else None
        place_of(rows, grey, turn)[...] = np.asarray(
            band.convert("L") if plane is None else plane
        )  # ITU-R BT.601
        if plane is None and colour is None:
            colour = np.repeat(grey[..., None], 3, axis=2)  # all bands before were grey
        if colour is not None:
            place_of(rows, colour, turn)[...] = np.asarray(band)
        top += part.height
    return grey, colour


def _grey_plane(band: "Image") -> "Image | None":
    """Return what a band of mode L or RGB shows if that is grey, else None."""
    if band.mode == "L":
        return band
    planes = band.split()
    first = planes[0].tobytes()
    return planes[0] if all(first == plane.tobytes() for plane in planes[1:]) else None


def _size(image: "Image", shrink: int) -> tuple[int, int]:
    return -(-image.width // shrink), -(-image.height // shrink)


def _shrunk(parts: Iterator["Image"], shrink: int) -> Iterator["Image"]:
    """Make bands smaller by the mean of their pixels."""
    for band in parts:
        yield band.reduce(shrink) if shrink > 1 else band


def _plain(image: "Image") -> tuple[Callable[["Image"], "Image"], list[str]]:
    """Return what makes a band of this picture mode L or RGB, and what is to be said of it."""
    if image.mode in ("I", "F") or image.mode.startswith("I;16"):
        return _deep(image), []
    if image.has_transparency_data and not _opaque(image):
        return _on_white, ["transparent parts were taken as white"]
    if image.mode in ("1", "L"):
        return lambda band: band.convert("L"), []
    return lambda band: band.convert("RGB"), []


def _opaque(image: "Image") -> bool:
    """Say whether a picture has an alpha channel in which nothing is transparent."""
    return image.mode in ("RGBA", "LA", "PA") and image.getchannel("A").getextrema()[0] == 255


def _on_white(band: "Image") -> "Image":
    """Lay a band on white paper (Porter & Duff's "over")."""
    import PIL.Image

    above = band.convert("LA").convert("RGBA") if band.mode == "La" else band.convert("RGBA")
    paper = PIL.Image.new("RGBA", above.size, "white")
    paper.alpha_composite(above)
    return paper.convert("RGB")


def _deep(image: "Image") -> Callable[["Image"], "Image"]:
    """Return what brings bands of more than eight bits to eight, alike for all of them."""
    import PIL.Image

    top = max(highest(np.asarray(band)) for band in bands(image))
    inverted = getattr(image, "tag_v2", {}).get(262) == 0  # WhiteIsZero (TIFF 6.0): Pillow minds it at 8 bits
    clear = image.info.get("transparency")

    def brought_down(band: "Image") -> "Image":
        values = np.asarray(band)
        grey = eight_bits(values, top)
        if inverted:
            np.subtract(255, grey, out=grey)
        if isinstance(clear, int | float):
            grey[values == clear] = 255
        return PIL.Image.fromarray(grey)

    return brought_down


def _ink_in_alpha(image: "Image", grey: NDArray[np.uint8]) -> tuple[Callable[["Image"], "Image"], str] | None:
    """Say how a picture is to be seen that is blank on white paper, though something is drawn.

    White lines on nothing are drawn for dark screens: what is opaque is ink. Where all is
    transparent nobody meant the channel (32 bit BMP and TGA files): it is left out.
    """
    if grey.min() < 200:
        return None
    import PIL.Image

    alphas = [_alpha(band) for band in bands(image)]
    low, high = min(alpha.min() for alpha in alphas), max(alpha.max() for alpha in alphas)
    if high == 0:
        return _without_alpha, "all of it is transparent: that was ignored"
    if int(high) - int(low) < 128:
        return None
    return (
        lambda band: PIL.Image.fromarray(255 - _alpha(band)),
        "light lines on a transparent ground: what is opaque was taken as ink",
    )


def _alpha(band: "Image") -> NDArray[np.uint8]:
    return np.asarray(band.convert("RGBA").getchannel("A"))


def _without_alpha(band: "Image") -> "Image":
    return band.convert("RGBA").convert("RGB")
