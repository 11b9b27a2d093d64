"""A sheet to draw on with pens and brushes: white, grey tones, four times as fine as its picture."""

from collections.abc import Sequence
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

Array = NDArray[np.float64]
Layer = NDArray[np.float32]
Points = Sequence[tuple[float, float]]

FINE = 4
"""Pixels of the sheet to a pixel of the picture, a side."""


class Sheet:
    """White paper `width` x `height` pixels; places and widths are in pixels, tones 0 black to 1 white."""

    def __init__(self, width: int, height: int) -> None:
        self.tones: Layer = np.ones((height * FINE, width * FINE), np.float32)

    def fill(self, points: Array, tone: float = 0.0) -> None:
        """Fill a closed outline (n, 2)."""
        cv2.fillPoly(self.tones, [_fixed(points)], tone, cv2.LINE_8, 4)

    def line(self, points: Array, widths: float | Array, tone: float = 0.0) -> None:
        """Draw along a polyline (n, 2) with a round pen, `widths` (m,) spread evenly along it."""
        size = np.append(0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
        wide = np.atleast_1d(np.asarray(widths, float))
        along = np.linspace(0, size[-1], max(2, int(size[-1] * 4)))
        spots = np.column_stack([np.interp(along, size, points[:, k]) for k in (0, 1)])
        radii = np.interp(along, np.linspace(0, size[-1], len(wide)), wide) / 2
        for (x, y), r in zip(_fixed(spots), np.round(radii * FINE * 16).astype(int), strict=True):
            cv2.circle(self.tones, (int(x), int(y)), int(r), tone, -1, cv2.LINE_8, 4)

    def shape(self, points: Array, width: float, fill: float = 1.0) -> None:
        """Draw a closed outline that hides what lies behind it."""
        self.fill(points, fill)
        self.line(points, width)

    def write(self, words: str, font: Path, size: float, place: tuple[float, float]) -> None:
        """Write words in an outline face; `place` is the left end of their base line."""
        self.tones[self.letters(words, font, size, place) > 0] = 0

    def letters(self, words: str, font: Path, size: float, place: tuple[float, float]) -> NDArray[np.uint8]:
        """Return where the sheet is covered by words, 0 or 255."""
        page = Image.new("L", self.tones.shape[::-1])
        face = ImageFont.truetype(str(font), round(size * FINE))
        x, y = (v * FINE for v in place)
        ImageDraw.Draw(page).text((x, y), words, fill=255, font=face, anchor="ls")
        return np.where(np.asarray(page) > 127, 255, 0).astype(np.uint8)

    def picture(self) -> Layer:
        """Return the picture (H, W), 0 to 255."""
        return 255 * cv2.resize(self.tones, None, fx=1 / FINE, fy=1 / FINE, interpolation=cv2.INTER_AREA)


def curve(points: Points | Array, *, closed: bool = False) -> Array:
    """Return a smooth curve (n, 2) through points (a cubic spline over the chords)."""
    from scipy.interpolate import CubicSpline

    knots = np.array([*points, points[0]] if closed else points, float)
    along = np.append(0, np.cumsum(np.hypot(*np.diff(knots, axis=0).T)))
    spline = CubicSpline(along, knots, bc_type="periodic" if closed else "natural")
    return np.asarray(spline(np.linspace(0, along[-1], max(8, int(along[-1] * 2)))))


def oval(x: float, y: float, across: float, down: float, turn: float = 0.0) -> Array:
    """Return an ellipse (n, 2) with half axes `across` and `down`, turned by `turn` radians."""
    t = np.linspace(0, 2 * np.pi, max(24, int(4 * (across + down))))
    u, v = across * np.cos(t), down * np.sin(t)
    c, s = np.cos(turn), np.sin(turn)
    return np.column_stack([x + c * u - s * v, y + s * u + c * v])


def wavering(points: Array, rng: np.random.Generator, size: float, reach: float) -> Array:
    """Return a polyline that a hand would draw: moved by noise of `size` pixels, smooth over `reach`."""
    noise = cv2.GaussianBlur(rng.standard_normal((len(points), 2)), (1, 0), 0.1, sigmaY=reach)
    return points + size * noise / max(float(noise.std()), 1e-9)


def _fixed(points: Array) -> NDArray[np.int32]:
    """Return points in sixteenths of the sheet's pixels, counted from the middle of the first."""
    return np.round(16 * (np.asarray(points, float) * FINE - 0.5)).astype(np.int32)
