"""Drawings as pictures: drawn clean, scanned, coloured in, at several resolutions; all seeded by name."""

import math
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import resvg_py
from numpy.typing import NDArray

from benchmarks.strokes.art import Art, digest
from sample_art.crayon import COLOURS, paper_grain

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]
Layer = NDArray[np.float32]

INCH = 25.4
"""mm."""

TURN_DEG = 0.7
"""How far a sheet lies askew on the scanner."""

BLUR = 1.0
"""Pixels: sigma of the scanner's lens."""

LIGHT = (255.0, 185.0)
"""Grey of the paper in the lightest and the darkest corner."""

NOISE = 6.0
"""Grey levels: sigma of the scanner's noise."""

QUALITY = 75
"""Of the scan's JPEG."""


@dataclass(frozen=True)
class Level:
    """How a drawing becomes a picture.

    Attributes
    ----------
    name : on the command line and in the tables.
    dpi : pixels an inch.
    scan : turned, blurred, badly lit, noisy and compressed; else drawn clean.
    wax : coloured in under the lines.
    """

    name: str
    dpi: float
    scan: bool
    wax: bool = False


LEVELS = {
    level.name: level
    for level in (
        Level("clean", 200, scan=False),
        Level("scan", 200, scan=True),
        Level("crayon", 200, scan=True, wax=True),
        Level("low", 96, scan=True),
        Level("web", 96, scan=False),
        Level("fine", 300, scan=True),
    )
}


@dataclass(frozen=True, eq=False)
class Shot:
    """A drawing at a level.

    Attributes
    ----------
    pixels : (H, W) or (H, W, 3) of red, green, blue.
    mm_per_px : mm of the page to a pixel.
    turn : angle the page was turned by about its middle, radians.
    size : (width, height) of the page, mm.
    """

    pixels: Picture
    mm_per_px: float
    turn: float
    size: tuple[float, float]

    def to_page(self, points: Array) -> Array:
        """Return points (n, 2) in art pixels as page mm of the sheet before it was turned."""
        return (points * self.mm_per_px - self._middle) @ self._turned + self._middle

    def to_pixels(self, points: Array) -> Array:
        """Return points (n, 2) in page mm as art pixels."""
        return ((points - self._middle) @ self._turned.T + self._middle) / self.mm_per_px

    @property
    def _middle(self) -> Array:
        """The page's middle."""
        return np.array(self.size) / 2

    @property
    def _turned(self) -> Array:
        """The turn as a matrix."""
        c, s = math.cos(self.turn), math.sin(self.turn)
        return np.array([[c, -s], [s, c]])

    def save(self, path: Path) -> Path:
        """Write the picture as a PNG (its JPEG damage is in the pixels)."""
        pixels = self.pixels if self.pixels.ndim == 2 else self.pixels[..., ::-1]
        cv2.imwrite(str(path), pixels, [cv2.IMWRITE_PNG_COMPRESSION, 1])
        return path


def shoot(art: Art, level: Level) -> Shot:
    """Return a drawing's picture at a level."""
    turn = math.radians(TURN_DEG) if level.scan else 0.0
    shot = Shot(np.zeros((1, 1), np.uint8), INCH / level.dpi, turn, art.size)
    grey = drawn(art, shot)
    rng = np.random.default_rng(digest(f"{art.name} {level.name}"))
    pixels = grey.astype(np.float32)
    if level.wax:
        pixels = _coloured(pixels, art, shot, rng)
    return Shot(_scanned(pixels, rng) if level.scan else grey, shot.mm_per_px, turn, art.size)


def drawn(art: Art, shot: Shot) -> Picture:
    """Return the strokes antialiased in black on white (H, W)."""
    turn = f"rotate({math.degrees(shot.turn):.6f} {art.size[0] / 2:.6f} {art.size[1] / 2:.6f})"
    paths = "".join(f'<path d="{d}"/>' for d in art.paths)
    return painted(
        f'<g transform="{turn}" stroke-width="{art.pen:.5f}">{paths}</g>', art.size, shot.mm_per_px
    )


def painted(strokes: str, size: tuple[float, float], mm_per_px: float) -> Picture:
    """Return SVG strokes, page mm, in black on white (H, W), with round ends and joins."""
    width, height = (round(side / mm_per_px) for side in size)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width * mm_per_px:.6f} '
        f'{height * mm_per_px:.6f}" width="{width}" height="{height}">'
        '<rect width="100%" height="100%" fill="#fff"/>'
        f'<g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round">{strokes}</g></svg>'
    )
    data = resvg_py.svg_to_bytes(svg_string=svg, width=width, height=height, skip_system_fonts=True)
    return np.asarray(cv2.imdecode(np.frombuffer(bytes(data), np.uint8), cv2.IMREAD_GRAYSCALE))


def _scanned(pixels: Layer, rng: np.random.Generator) -> Picture:
    """Return what a cheap scanner makes of it."""
    data = cv2.imencode(".jpg", exposed(pixels, rng), [cv2.IMWRITE_JPEG_QUALITY, QUALITY])[1]
    read = np.asarray(cv2.imdecode(data, cv2.IMREAD_UNCHANGED))
    return read if read.ndim == 2 else np.ascontiguousarray(read[..., ::-1])


def exposed(pixels: Layer, rng: np.random.Generator) -> Picture:
    """Return a sheet blurred, badly lit and noisy, in the drawing library's order of colours."""
    blurred = cv2.GaussianBlur(pixels, (0, 0), BLUR)
    height, width = blurred.shape[:2]
    fall = 0.6 * np.linspace(0, 1, width)[None, :] + 0.4 * np.linspace(0, 1, height)[:, None]
    light = (1 - (1 - LIGHT[1] / LIGHT[0]) * fall).astype(np.float32)
    lit = blurred * (light if blurred.ndim == 2 else light[..., None])
    noisy = lit + NOISE * rng.standard_normal(lit.shape, np.float32)
    whole = np.clip(noisy, 0, 255).astype(np.uint8)
    return whole if whole.ndim == 2 else np.ascontiguousarray(whole[..., ::-1])


def _coloured(grey: Layer, art: Art, shot: Shot, rng: np.random.Generator) -> Layer:
    """Return the drawing (H, W, 3) with wax rubbed on under its lines, one patch a colour."""
    page = np.ones((*grey.shape, 3), np.float32)
    grain = paper_grain(grey.shape, rng, 1.1)
    for colour in rng.permutation(list(COLOURS))[:3]:
        wax = _rubbed(grey.shape, art, shot, rng)
        cover = np.clip((wax * 1.9 - 0.62 + 0.38 * grain) * 1.5, 0, 1) * np.minimum(wax * 2, 1)
        page *= 1 - 0.9 * cover[..., None] * (1 - np.array(COLOURS[colour], np.float32) / 255)
    return page * grey[..., None]


def _rubbed(shape: tuple[int, int], art: Art, shot: Shot, rng: np.random.Generator) -> Layer:
    """Return how thickly (H, W, 0 to 1) wax lies in one patch of hatching somewhere on the drawing."""
    wax = np.zeros(shape, np.float32)
    middle = art.lines[rng.integers(len(art.lines))].points.mean(axis=0)
    reach = rng.uniform(15, 35)
    angle = rng.uniform(0, math.pi)
    along = np.array([math.cos(angle), math.sin(angle)])
    across = np.array([-along[1], along[0]])
    for offset in np.arange(-reach, reach, 1.5):
        half = math.sqrt(reach**2 - offset**2) + rng.uniform(-0.9, 2.0)
        places = middle + across * offset + np.linspace(-half, half, 12)[:, None] * along
        spots = (places + rng.normal(0, 0.2, places.shape)) / shot.mm_per_px
        rub = np.zeros(shape, np.float32)
        thick = max(2, round(rng.uniform(1.3, 2.3) / shot.mm_per_px))
        cv2.polylines(
            rub, [np.round(16 * spots).astype(np.int32)], isClosed=False, color=1.0, thickness=thick,
            lineType=cv2.LINE_AA, shift=4,
        )  # fmt: skip
        wax = 1 - (1 - wax) * (1 - rub * np.float32(rng.uniform(0.45, 0.75)))
    return cv2.GaussianBlur(wax, (0, 0), 1.2)
