"""A drawing as a picture in a file, and where its page lies in the picture."""

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from benchmarks.strokes.art import Art
from benchmarks.strokes.degrade import INCH, TURN_DEG, Shot, drawn
from tracer.geometry import affine

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]
Layer = NDArray[np.float32]

DPI = 200
"""Of everything that comes from a scanner."""

MAKE = 271
"""EXIF tag of the camera's maker (Exif 2.3)."""

MAKER = "Hedgerow Cameras"
"""A maker of our own."""


@dataclass(frozen=True, eq=False)
class Placed:
    """A picture (H, W[, 3]) red, green, blue, and the map (2, 3) from its art pixels to page mm."""

    pixels: Picture
    matrix: Array

    @property
    def mm_per_px(self) -> float:
        """Page mm to an art pixel."""
        return math.sqrt(abs(float(np.linalg.det(self.matrix[:, :2]))))

    def to_page(self, points: Array) -> Array:
        """Return points (n, 2) in art pixels as page mm."""
        return affine.apply(self.matrix, points)

    def to_pixels(self, points: Array) -> Array:
        """Return points (n, 2) in page mm as art pixels."""
        return (points - self.matrix[:, 2]) @ np.linalg.inv(self.matrix[:, :2]).T


@dataclass(frozen=True, eq=False)
class Sheet:
    """A whole sheet of paper in a photograph.

    Attributes
    ----------
    name : of the paper.
    size : (width, height), mm.
    corner : (x, y) of its top left corner in page mm: the page is printed in its middle.
    corners_px : (4, 2) its corners in the photograph, clockwise from top left.
    """

    name: str
    size: tuple[float, float]
    corner: tuple[float, float]
    corners_px: Array


@dataclass(frozen=True, eq=False)
class Aged:
    """A drawing as somebody has it.

    Attributes
    ----------
    art : as it was drawn: the pen may be another than the source's.
    placed : the picture before it is written. Of a photograph the map is only the best that keeps angles.
    dpi : what the file says, None where it says nothing.
    quality : of the JPEG, None for a PNG.
    camera : the file names a camera.
    sheet : None for what was scanned.
    """

    art: Art
    placed: Placed
    dpi: float | None = None
    quality: int | None = None
    camera: bool = False
    sheet: Sheet | None = None

    def save(self, folder: Path, stem: str) -> Path:
        """Write the picture, and return its path."""
        image = Image.fromarray(self.placed.pixels)
        dpi = {} if self.dpi is None else {"dpi": (self.dpi, self.dpi)}
        path = folder / f"{stem}.{'png' if self.quality is None else 'jpg'}"
        if self.quality is None:
            image.save(path, compress_level=1, **dpi)
            return path
        exif = Image.Exif()
        if self.camera:
            exif[MAKE] = MAKER
        image.save(path, quality=self.quality, exif=exif, **dpi)
        return path


def scanner_frame(art: Art, *, dpi: float = DPI, turn_deg: float = TURN_DEG) -> Shot:
    """Return the frame of a page that lies a little askew on the scanner."""
    return Shot(np.zeros((1, 1), np.uint8), INCH / dpi, math.radians(turn_deg), art.size)


def coverage(art: Art, shot: Shot) -> Layer:
    """Return how much of each pixel (H, W), 0 to 1, the pen covers."""
    return 1 - drawn(art, shot).astype(np.float32) / 255


def placed(pixels: Picture, shot: Shot) -> Placed:
    """Return a picture with the map of its frame."""
    origin, x, y = shot.to_page(np.array([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]))
    return Placed(pixels, np.column_stack([x - origin, y - origin, origin]))
