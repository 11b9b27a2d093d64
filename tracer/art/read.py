"""A picture file as a Scan: upright, on white, eight bits, with a size that can be trusted."""

import hashlib
import io
import os
import warnings
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tracer.errors import ArtError
from tracer.model.scan import Scan
from tracer.reading import AS_IT_IS, Reading

if TYPE_CHECKING:
    from PIL.Image import Image

LARGEST = 120_000_000
"""Pixels beyond which a picture is refused before it is decoded (A3 at 600 dpi has 70 million)."""

SMALLEST = 16
"""Pixels a side below which there is nothing to follow."""

_MAKE = 271
"""Number of the EXIF entry that names a camera's make (Exif 2.3)."""

BELIEVABLE_DPI = (100.0, 2500.0)
"""Cameras and web pages write 72 or 96 whatever the size is: such entries are not believed."""


def read_picture(path: Path, reading: Reading = AS_IT_IS) -> Scan:
    """Return the picture in `path`.

    What `reading` says of its size wins; without it the file's own entry is taken where it
    is believable, else the size is unknown.

    Raises
    ------
    ArtError
        Where there is no such file, or no picture in it, or it is cut short, too
        small or too large.
    """
    data = _bytes_of(path)
    image = _decoded(data, path.name)
    mm_per_px, source = _scale(image, reading.dpi)
    upright, notes = _upright(image)
    grey, colour = _channels(upright, notes)
    return Scan(
        grey,
        colour,
        mm_per_px,
        source,
        path.name,
        hashlib.sha256(data).hexdigest(),
        tuple(notes),
        from_camera=_MAKE in image.getexif(),
    )


def scan_of(array: NDArray[np.generic], *, dpi: float | None = None, name: str = "array") -> Scan:
    """Return a Scan of an array (H, W) or (H, W, 3) of red, green, blue; 0 black to 255 white.

    Floating point arrays are taken as 0 to 1, 16 bit ones as 0 to 65535.
    """
    if array.ndim not in (2, 3) or (array.ndim == 3 and array.shape[2] != 3):
        raise ArtError(f"An array of shape {array.shape} is no picture: (H, W) or (H, W, 3) is needed.")
    _check_size(array.shape[1], array.shape[0], name)
    pixels = _eight_bits(array)
    mm_per_px, source = (25.4 / dpi, f"{dpi:g} dpi, as said") if dpi else (None, "unknown")
    if pixels.ndim == 2:
        return Scan(pixels, None, mm_per_px, source, name)
    return Scan(_grey(pixels), pixels, mm_per_px, source, name)


def _bytes_of(path: Path) -> bytes:
    """Return the file's bytes, or say why there are none."""
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise ArtError(f"There is no file {path}: check the name and the folder.") from None
    except IsADirectoryError:
        raise ArtError(f"{path} is a folder: name the picture in it.") from None
    except OSError as error:
        if isinstance(error, PermissionError) and os.path.isdir(path):  # noqa: PTH112 - Path.is_dir may raise
            raise ArtError(f"{path} is a folder: name the picture in it.") from None
        raise ArtError(f"{path} cannot be read: {error.strerror or error}.") from None
    if not data:
        raise ArtError(f"{path} is empty (0 bytes): save or copy the picture again.")
    return data


def _decoded(data: bytes, name: str) -> "Image":
    """Decode the first page of a picture whose size was checked before."""
    import PIL.Image

    _admit_heic(data, name)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            image = PIL.Image.open(io.BytesIO(data))
            _check_size(image.width, image.height, name)
            image.load()
    except PIL.UnidentifiedImageError:
        raise ArtError(
            f"{name} is no picture that can be read here: PNG, JPEG, TIFF, WebP, GIF and BMP are."
        ) from None
    except PIL.Image.DecompressionBombError:
        most = LARGEST // 1_000_000
        raise ArtError(f"{name} is larger than {most} million pixels: save it smaller.") from None
    except ArtError:
        raise
    except Exception as error:  # noqa: BLE001 - decoders raise whatever they like on broken files
        raise ArtError(f"{name} is damaged or cut short ({error}): save or copy the picture again.") from None
    return image


def _admit_heic(data: bytes, name: str) -> None:
    """Let Pillow read HEIC pictures where the extra is installed, else say how to get it.

    The brand of an ISO base media file stands in its bytes 8 to 12, after "ftyp" (ISO/IEC 14496-12).
    """
    if data[4:8] != b"ftyp" or data[8:12] not in (b"heic", b"heix", b"mif1", b"msf1"):
        return
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        raise ArtError(
            f"{name} is a HEIC picture, which needs an extra: in the project's folder say "
            'pip install ".[heic]", or save the picture as JPEG.'
        ) from None
    register_heif_opener()


def _check_size(width: int, height: int, name: str) -> None:
    """Refuse pictures with nothing to follow, or too many pixels to hold."""
    if min(width, height) < SMALLEST:
        raise ArtError(f"{name} is {width} x {height} pixels: at least {SMALLEST} x {SMALLEST} are needed.")
    if width * height > LARGEST:
        raise ArtError(
            f"{name} is {width} x {height} pixels, {width * height / 1e6:.0f} million; "
            f"up to {LARGEST // 1_000_000} million are read: save it smaller (300 dpi is plenty)."
        )


def _scale(image: "Image", dpi: float | None) -> tuple[float | None, str]:
    """Return mm per pixel and where that comes from."""
    if dpi:
        return 25.4 / dpi, f"{dpi:g} dpi, as said"
    entry = image.info.get("dpi")
    if not entry:
        return None, "unknown: the file says no resolution"
    across, down = (float(x) for x in entry)
    if _MAKE in image.getexif():  # a camera knows nothing of the paper's size
        return None, f"unknown: a camera wrote {across:g} dpi, which says nothing of the paper"
    low, high = BELIEVABLE_DPI
    if not (low <= across <= high and abs(across - down) <= 0.01 * across):
        return None, f"unknown: the file's {across:g} x {down:g} dpi is not believable"
    return 25.4 / across, f"{across:g} dpi, from the file"


def _upright(image: "Image") -> tuple["Image", list[str]]:
    """Turn the picture the way its EXIF entry says it is to be seen."""
    from PIL import ImageOps

    notes = []
    if getattr(image, "n_frames", 1) > 1:
        notes.append(f"the first of {image.n_frames} pages was taken")  # type: ignore[attr-defined]
    if image.getexif().get(274, 1) != 1:  # tag 274, Orientation (Exif 2.3)
        image = ImageOps.exif_transpose(image)
        notes.append("turned upright as the file says")
    return image, notes


def _channels(image: "Image", notes: list[str]) -> tuple[NDArray[np.uint8], NDArray[np.uint8] | None]:
    """Return grey (H, W) and colour (H, W, 3) or None, with transparent parts taken as white."""
    import PIL.Image

    if image.mode in ("I", "F") or image.mode.startswith("I;16"):
        return _eight_bits(np.asarray(image)), None
    if image.has_transparency_data:
        rgba = image.convert("RGBA")
        image = PIL.Image.new("RGBA", rgba.size, "white")
        image.alpha_composite(rgba)
        notes.append("transparent parts were taken as white")
    if image.mode in ("1", "L"):
        return np.asarray(image.convert("L")), None
    pixels = np.asarray(image.convert("RGB"))
    if np.array_equal(pixels[..., 0], pixels[..., 1]) and np.array_equal(pixels[..., 0], pixels[..., 2]):
        return np.ascontiguousarray(pixels[..., 0]), None
    return _grey(pixels), pixels


def _grey(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return luma (H, W) of red, green, blue (ITU-R BT.601)."""
    return (pixels @ np.array([0.299, 0.587, 0.114], np.float32)).round().astype(np.uint8)


def _eight_bits(array: NDArray[np.generic]) -> NDArray[np.uint8]:
    """Return any depth as eight bits: unit floats, 16 bit counts, or 0..255."""
    if array.dtype == np.uint8:
        return np.ascontiguousarray(array)
    values = np.nan_to_num(array.astype(np.float32))
    top = float(values.max(initial=0.0))
    full = 1.0 if top <= 1.0 else 255.0 if top <= 255.0 and array.dtype != np.uint16 else 65535.0
    scaled: NDArray[np.uint8] = np.clip(values * (255.0 / full), 0, 255).astype(np.uint8)
    return scaled


def image_of(scan: Scan) -> "Image":
    """Return a scan as a picture to save."""
    import PIL.Image

    return PIL.Image.fromarray(scan.grey if scan.colour is None else scan.colour)
