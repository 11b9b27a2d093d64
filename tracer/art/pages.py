"""One page of a picture file, by Pillow."""

import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, BinaryIO

import numpy as np
from numpy.typing import NDArray

from tracer.art.admit import (
    KEPT,
    LARGEST,
    LARGEST_SHRUNK,
    MOST_PAGES,
    check_page,
    check_replay,
    check_size,
    shrinking,
)
from tracer.art.kinds import is_heic, raw_picture, unknown
from tracer.art.modes import Pixels, channels
from tracer.art.resolution import entry_of, is_camera
from tracer.art.sheet import Sheet
from tracer.art.turn import turn_of
from tracer.errors import ArtError

if TYPE_CHECKING:
    from PIL.Image import Image

logging.getLogger("PIL").addHandler(logging.NullHandler())  # what it complains of is said in a sentence

_REFUSED = {"EPS": "save it as PDF", "WMF": "save it as SVG, PDF or PNG"}
"""What Pillow opens only with the help of other programs."""

_LAYERED = {"PSD", "ICO", "ICNS", "CUR", "MPO"}
"""Formats whose frames are no pages: layers, the same in several sizes, what telephones add to a photo."""

_THUMBNAIL, _SUB_PICTURES, _DNG = 254, 330, 50706
"""TIFF entries (TIFF 6.0, TIFF/EP) by which raw pictures are known: their first page is a thumbnail."""

_REPLAYED = {"GIF", "PNG", "WEBP"}
"""Formats whose frames are drawn each over the last."""


def picture_page(file: BinaryIO, head: bytes, name: str, page: int) -> Sheet:
    """Return one page, counted from 1, of a picture file.

    Raises
    ------
    ArtError
        Where there is no such page, or no picture, or it is cut short, too small or too large.
    """
    if is_heic(head):
        _admit_heic(name)
    with _sentences(head, name), _opened(file, name) as image:
        notes = _turn_to(image, page, name)
        millions = image.width * image.height / 1e6
        shrunk = _draft(image, name)
        was, turn = _load(image)
        if was != 1:
            notes.append("turned upright as the file says")
        rest = shrinking(image.width, image.height)
        pixels, told = channels(image, turn=turn, shrink=rest)
        shrunk *= rest
        if shrunk > 1:
            notes.append(f"made {shrunk} times smaller: it has {millions:.0f} million pixels")
        from_camera = is_camera(image.getexif(), image.format)
        entry, ratio = entry_of(image, sideways=was > 4, shrunk=shrunk, from_camera=from_camera)
    if ratio != 1.0:
        height, width = pixels[0].shape
        check_size(width, height, name, largest=round(KEPT * min(ratio, 1 / ratio)))
        pixels = _squared(pixels, ratio)
        told.append("stretched so that its pixels are square, as the file says")
    return Sheet(*pixels, entry, shrunk, (*notes, *told), from_camera)


def _admit_heic(name: str) -> None:
    """Let Pillow read HEIC pictures where the extra is installed, else say how to get it."""
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        raise ArtError(
            f"{name} is a HEIC picture, which needs an extra: in the project's folder say "
            'pip install ".[heic]", or save the picture as JPEG.'
        ) from None
    register_heif_opener()


@contextmanager
def _sentences(head: bytes, name: str) -> Iterator[None]:
    """Say in one sentence whatever a decoder finds wrong with a file."""
    import PIL.Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    except PIL.UnidentifiedImageError:
        raise unknown(head, name) from None
    except PIL.Image.DecompressionBombError:
        most = LARGEST // 1_000_000
        raise ArtError(f"{name} claims to be larger than {most} million pixels: save it smaller.") from None
    except ArtError:
        raise
    except Exception as error:  # noqa: BLE001 - decoders raise whatever they like on broken files
        why = " ".join(str(error).split())[:200] or type(error).__name__
        raise ArtError(f"{name} is damaged or cut short ({why}): save or copy the picture again.") from None


@contextmanager
def _opened(file: BinaryIO, name: str) -> Iterator["Image"]:
    """Open a picture without decoding it; large JPEGs too, which can be made smaller on the way."""
    import PIL.Image
    from PIL.JpegImagePlugin import JpegImageFile

    file.seek(0)
    try:
        image: Image = PIL.Image.open(file)
    except PIL.Image.DecompressionBombError:
        file.seek(0)
        if file.read(3) != b"\xff\xd8\xff":
            raise
        file.seek(0)
        image = JpegImageFile(file)
    with image:
        if remedy := _REFUSED.get(image.format or ""):
            raise ArtError(f"{name} is a drawing that other programs must paint ({image.format}): {remedy}.")
        entries = getattr(image, "tag_v2", {})
        if _DNG in entries or (entries.get(_THUMBNAIL) == 1 and _SUB_PICTURES in entries):
            raise raw_picture(name)
        yield image


def _turn_to(image: "Image", page: int, name: str) -> list[str]:
    """Go to a page, counted from 1, and say which of how many it is."""
    if page > MOST_PAGES:
        raise ArtError(f"Page {page} of {name} is too far on: up to {MOST_PAGES} pages are gone to.")
    count = _count(image)
    notes = check_page(page, count, name)
    if page > 1:
        if image.format in _REPLAYED:
            check_replay(page, image.width, image.height, name)
        image.seek(page - 1)
    return notes


def _count(image: "Image") -> int:
    """Return the number of pages; of TIFF files, whose pages must be gone through, no more than needed."""
    if image.format in _LAYERED:
        return 1
    if image.format != "TIFF" or not getattr(image, "is_animated", False):
        return int(getattr(image, "n_frames", 1))
    count = 1
    try:
        while count < MOST_PAGES:
            image.seek(count)
            count += 1
    except Exception:  # noqa: BLE001, S110 - the end, or a broken page, which matters to nobody who took another
        pass
    image.seek(0)
    return count


def _draft(image: "Image", name: str) -> int:
    """Look at the size, and have a JPEG decoded smaller where it is too large; by how much is returned."""
    factor = 1  # progressive ones are held whole by their decoder
    if image.format in {"JPEG", "MPO"} and not image.info.get("progressive"):
        check_size(image.width, image.height, name, largest=LARGEST_SHRUNK)
        factor = min(shrinking(image.width, image.height), 8)
    if factor == 1:
        check_size(image.width, image.height, name)
        return _reduced(image)
    before = image.width
    image.draft(image.mode, (image.width // factor, image.height // factor))
    return round(before / image.width)


def _reduced(image: "Image") -> int:
    """Have a large JPEG 2000 picture decoded smaller; by how much is returned."""
    if image.format != "JPEG2000":
        return 1
    factor = shrinking(image.width, image.height, dear=True)
    if factor > 1:
        image.reduce = factor.bit_length() - 1  # type: ignore[method-assign,assignment]
    return factor


def _load(image: "Image") -> tuple[int, int]:
    """Decode, and return the orientation the file says, and what of it is still to be done.

    Pillow turns TIFF pages itself when it decodes them, and no others.
    """
    was = turn_of(image.getexif())
    image.load()
    return was, turn_of(image.getexif())


def _squared(pixels: Pixels, ratio: float) -> Pixels:
    """Stretch a picture whose pixels are `ratio` times as high as wide."""
    import PIL.Image

    def stretched(array: NDArray[np.uint8]) -> NDArray[np.uint8]:
        height, width = array.shape[:2]
        size = (width, round(height * ratio)) if ratio > 1 else (round(width / ratio), height)
        return np.array(PIL.Image.fromarray(array).resize(size, PIL.Image.Resampling.BICUBIC))

    grey, colour = pixels
    return stretched(grey), None if colour is None else stretched(colour)
