"""Paper that is not plain: ruled, squared, folded, printed on the back, screened."""

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.raster.paper import clouds, dense
from benchmarks.raster.sheet import coverage
from benchmarks.strokes.art import Art
from benchmarks.strokes.degrade import Shot

Layer = NDArray[np.float32]

RULINGS = ((120, 150, 215), (150, 170, 190), (150, 190, 225), (170, 170, 175))
"""Blue and grey printing inks of ruled paper, at full strength."""

MARGIN_RED = (228, 120, 130)


def ruled(shape: tuple[int, int], rng: np.random.Generator, shot: Shot, *, squared: bool) -> Layer:
    """Return what ruling lets through (H, W, 3): lines 7 to 9 mm apart, often a margin; or 5 mm squares.

    Common practice of school paper, no source; lines of 0.15 to 0.3 mm.
    """
    u, v = _page_axes(shape, shot)
    colour = RULINGS[rng.integers(len(RULINGS))]
    wide, strength = rng.uniform(0.15, 0.3), rng.uniform(0.6, 1.0)
    pitch = 5.0 if squared else rng.uniform(7, 9)
    offset = rng.uniform(0, pitch, 2)
    cover = _comb(v - offset[1], pitch, wide, shot.mm_per_px)
    if squared:
        cover = np.maximum(cover, _comb(u - offset[0], pitch, wide, shot.mm_per_px))
    light = dense(strength * cover, colour)
    if not squared and rng.random() < 0.5:
        edge = _edges(np.abs(u - rng.uniform(15, 35)), wide, shot.mm_per_px)
        light = light * dense(strength * edge, MARGIN_RED)
    return light


def _page_axes(shape: tuple[int, int], shot: Shot) -> tuple[Layer, Layer]:
    """Return each pixel centre's page mm, across and down (H, W)."""
    c, s = math.cos(shot.turn), math.sin(shot.turn)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)
    x, y = (x + 0.5) * np.float32(shot.mm_per_px), (y + 0.5) * np.float32(shot.mm_per_px)
    return c * x + s * y, c * y - s * x


def _comb(place: Layer, pitch: float, wide: float, mm_per_px: float) -> Layer:
    """Return how much of each pixel a comb of lines covers."""
    return _edges(np.abs((place + pitch / 2) % pitch - pitch / 2), wide, mm_per_px)


def _edges(away: Layer, wide: float, mm_per_px: float) -> Layer:
    """Return how much of each pixel a line covers whose middle is `away` mm off."""
    over = (wide / 2 - away) / mm_per_px + 0.5
    return np.clip(over, 0, min(1.0, wide / mm_per_px)).astype(np.float32)


def folded(shape: tuple[int, int], rng: np.random.Generator, per_mm: float) -> Layer:
    """Return the light (H, W, 1) on a sheet with a fold: a dark ridge in a soft shade on one side."""
    upright = rng.random() < 0.5
    turn = rng.normal(0, 0.01) + (0 if upright else math.pi / 2)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32) / np.float32(per_mm)
    middle = np.array(shape[::-1]) / per_mm * rng.uniform(0.3, 0.7, 2)
    away = (x - middle[0]) * math.cos(turn) + (y - middle[1]) * math.sin(turn)
    away = away + 0.25 * clouds(shape, rng, 20 * per_mm)
    wide, reach = rng.uniform(0.25, 0.7), rng.uniform(5, 14)
    uneven = 1 + 0.2 * clouds(shape, rng, 2 * per_mm)
    ridge = rng.uniform(0.35, 0.65) * np.exp(-((away / wide) ** 2)) * uneven
    shade = rng.uniform(0.2, 0.45) * np.exp(-np.abs(away) / reach) * np.where(away > 0, 1.0, 0.45)
    return np.clip(np.exp(-1.6 * ridge) * (1 - shade), 0.02, 1)[..., None].astype(np.float32)


def shone_through(other: Art, shape: tuple[int, int], rng: np.random.Generator, shot: Shot) -> Layer:
    """Return what the printed back lets through (H, W, 1): mirrored, blurred in the paper, faint."""
    back = coverage(other, Shot(shot.pixels, shot.mm_per_px, -shot.turn, other.size))[:, ::-1]
    moved = np.float32([[1, 0, rng.uniform(-40, 40)], [0, 1, rng.uniform(-40, 40)]])
    back = cv2.warpAffine(np.ascontiguousarray(back), moved, shape[::-1])
    soft = cv2.GaussianBlur(back, (0, 0), rng.uniform(0.25, 0.6) / shot.mm_per_px)
    uneven = 1 + 0.15 * clouds(shape, rng, 3 / shot.mm_per_px)
    return np.exp(-rng.uniform(0.15, 0.4) * soft * uneven)[..., None].astype(np.float32)


def screened(areas: Layer, rng: np.random.Generator, per_mm: float) -> Layer:
    """Return how much of each pixel (H, W) black dots cover: a screen of 55 to 85 lines an inch over `areas`.

    `areas` (H, W) is the tone, 0 to 1, that the dots stand for. The screen lies at 45 degrees (common
    practice).
    """
    fine = 3
    pitch = 25.4 / rng.uniform(55, 85) * per_mm * fine
    turn = math.radians(45 + rng.uniform(-2, 2))
    y, x = np.mgrid[0 : areas.shape[0] * fine, 0 : areas.shape[1] * fine].astype(np.float32)
    u = (x * math.cos(turn) + y * math.sin(turn)) * np.float32(2 * math.pi / pitch)
    v = (y * math.cos(turn) - x * math.sin(turn)) * np.float32(2 * math.pi / pitch)
    spot = (np.cos(u) + np.cos(v)) / 2
    tone = cv2.resize(areas, None, fx=fine, fy=fine, interpolation=cv2.INTER_LINEAR)
    ranks = np.sort(spot.ravel()[:: max(1, spot.size // 20000)])
    limit = np.interp(1 - tone, np.linspace(0, 1, len(ranks)), ranks)
    dots = ((spot > limit) & (tone > 0.01)).astype(np.float32)
    return cv2.resize(dots, areas.shape[::-1], interpolation=cv2.INTER_AREA)
