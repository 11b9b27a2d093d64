"""How large a pixel is on the art's own paper: what is said, else what the file says, if believable."""

from math import hypot, isfinite
from typing import TYPE_CHECKING, Any

from tracer.art.sheet import Entry
from tracer.errors import ArtError
from tracer.reading import Known, Reading

if TYPE_CHECKING:
    from PIL.Image import Exif, Image

BELIEVABLE_DPI = (100.0, 2500.0)
"""Cameras and web pages write 72 or 96 whatever the size is: such entries are not believed."""

SCREENS = (144.0, 192.0)
"""The same twice over, as pictures of dense screens have; no scanner offers them."""

ROUNDED = 0.02
"""Dots per inch: PNG and BMP count whole pixels to the metre, of which one is 0.025 dots to the inch."""

UNEQUAL_DPI = (50.0, 2500.0)
"""Two unlike numbers were written by a machine that meant them: facsimile has 204 x 98 (ITU-T T.4)."""

SQUARE = 0.01
"""Pixels whose sides differ by less are square."""

LONGEST_PIXEL = 4.0
"""Sides of a pixel in a ratio beyond this are nobody's scan."""

NEAREST = 20.0
"""Pixels between two points below which a length between them measures little: 1 px is 5 % of it."""

MAKE, RESOLUTION_UNIT = 271, 296
X_RESOLUTION, Y_RESOLUTION = 282, 283
EXPOSURES = (33434, 33437, 34855, 37386)  # exposure time, aperture, sensitivity, focal length
FILE_SOURCE = 41728
EXIF_IFD = 0x8769


def scale_of(reading: Reading, entry: Entry, width: int, height: int, shrunk: float) -> Entry:
    """Return mm a pixel and where that comes from; `width`, `height` are of the pixels handed on.

    Raises
    ------
    ArtError
        Where the points of a known length are outside the picture, or too near to measure by.
    """
    if reading.dpi is not None and not entry.of_page:
        return Entry(25.4 * shrunk / reading.dpi, f"{reading.dpi:g} dpi, as said")
    if reading.art_width is not None:
        return Entry(reading.art_width / width, f"{reading.art_width:g} mm wide, as said")
    if reading.known is not None:
        return _measured(reading.known, width * shrunk, height * shrunk, shrunk)
    return entry


def _measured(known: Known, width: float, height: float, shrunk: float) -> Entry:
    """Return the scale by a length known between two points."""
    for x, y in (known.a, known.b):
        if not (0 <= x <= width and 0 <= y <= height):
            raise ArtError(
                f"The point ({x:g}, {y:g}) of the known length is outside the picture, which is "
                f"{width:.0f} x {height:.0f} pixels: give both points in pixels from its top left corner."
            )
    apart = hypot(known.b[0] - known.a[0], known.b[1] - known.a[1])
    if apart < NEAREST:
        raise ArtError(
            f"The points of the known length are {apart:.1f} pixels apart; {NEAREST:.0f} are needed: "
            "measure something longer."
        )
    ends = " and ".join(f"({x:g}, {y:g})" for x, y in (known.a, known.b))
    return Entry(known.length * shrunk / apart, f"{known.length:g} mm between {ends}, as said")


def entry_of(image: "Image", *, sideways: bool, shrunk: float, from_camera: bool) -> tuple[Entry, float]:
    """Return what a picture's file says of its pixels, and their height over their width once upright.

    `sideways` says that turning it upright changes its sides. A pixel that is not square is
    counted by its shorter side: the picture is to be stretched along the other.
    """
    said = _dpi_of(image)
    if said is None:
        return Entry(None, "unknown: the file says no resolution"), _upright(_aspect_of(image), sideways)
    across, down = said
    if from_camera:
        return Entry(None, f"unknown: a camera wrote {across:g} dpi, which says nothing of the paper"), 1.0
    if abs(across - down) <= SQUARE * across:
        if believable(across):
            return Entry(25.4 * shrunk / across, f"{_told(across)} dpi, from the file"), 1.0
    elif all(UNEQUAL_DPI[0] <= x <= UNEQUAL_DPI[1] for x in said) and _mild(across / down):
        words = f"{_both(across, down)} dpi, from the file"
        return Entry(25.4 * shrunk / max(said), words), _upright(across / down, sideways)
    return Entry(None, f"unknown: the file's {_both(across, down)} dpi is not believable"), 1.0


def believable(dpi: float) -> bool:
    """Say whether somebody meant this resolution."""
    low, high = BELIEVABLE_DPI
    return low - ROUNDED <= dpi <= high + ROUNDED and all(abs(dpi - screen) > 0.05 for screen in SCREENS)


def _told(dpi: float) -> str:
    """Say a resolution in whole numbers where it is off them by no more than a format's rounding."""
    return f"{dpi:.0f}" if abs(dpi - round(dpi)) < ROUNDED else f"{dpi:g}"


def _both(across: float, down: float) -> str:
    return _told(across) if across == down else f"{_told(across)} x {_told(down)}"


def is_camera(exif: "Exif", kind: str | None) -> bool:
    """Say whether a camera took a picture, by what Exif 2.3 has cameras write.

    In TIFF files the maker of a scanner stands in the same place (TIFF 6.0), and a file may say
    outright that it came from a scanner (FileSource 1 and 2).
    """
    details = exif.get_ifd(EXIF_IFD)
    source = details.get(FILE_SOURCE)
    if source in (1, 2, b"\1", b"\2"):
        return False
    if source in (3, b"\3") or any(tag in details for tag in EXPOSURES):
        return True
    return kind != "TIFF" and MAKE in exif


def _dpi_of(image: "Image") -> tuple[float, float] | None:
    """Return dots per inch across and down, from the format's own entry, else from EXIF's."""
    if found := _pair(image.info.get("dpi")):
        return found
    exif = image.getexif()
    inches = {2: 1.0, 3: 2.54}.get(exif.get(RESOLUTION_UNIT, 2))
    found = _pair((exif.get(X_RESOLUTION), exif.get(Y_RESOLUTION)))
    return (found[0] * inches, found[1] * inches) if found and inches else None


def _aspect_of(image: "Image") -> float:
    """Return the height of a pixel over its width where the file says only that."""
    said = image.info.get("aspect") or (image.info.get("jfif_unit") == 0 and image.info.get("jfif_density"))
    across, down = _pair(said) or (1.0, 1.0)
    return across / down if _mild(across / down) else 1.0


def _mild(ratio: float) -> bool:
    """Say whether sides of a pixel in this ratio are unlike, and yet a scanner's."""
    return abs(ratio - 1.0) > SQUARE and 1 / LONGEST_PIXEL <= ratio <= LONGEST_PIXEL


def _upright(ratio: float, sideways: bool) -> float:  # noqa: FBT001
    return 1 / ratio if sideways else ratio


def _pair(entry: Any) -> tuple[float, float] | None:
    """Return two positive numbers, or None where a file has nonsense in their place."""
    try:
        across, down = (float(x) for x in entry)
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return (across, down) if all(isfinite(x) and x > 0 for x in (across, down)) else None
