"""Light on paper: tooth, optical density that adds up, and the scanner that looks at it."""

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.strokes.degrade import exposed
from sample_art.crayon import paper_grain

Picture = NDArray[np.uint8]
Layer = NDArray[np.float32]

GAMMA = 2.2
"""Grey levels are about this root of the light (IEC 61966-2-1 approximately)."""

TONER = 1.55
"""Optical density of printed black over paper (common practice: 1.4 to 1.8)."""

SHEEN = 0.02
"""Part of the light that a surface throws back before it gets to paper or ink (common practice: 1 to 4 %)."""

TOOTH = (0.12, 0.45)
"""mm: finest and coarsest bumps of drawing paper."""


def light_of(grey: float | tuple[float, ...] | Layer) -> Layer:
    """Return the light, 0 to 1, of grey levels 0 to 255."""
    return np.asarray((np.asarray(grey, np.float32) / 255) ** GAMMA, np.float32)


def greys_of(light: Layer) -> Layer:
    """Return the grey levels, 0 to 255, of light."""
    return np.asarray(255 * np.clip(light, 0, 1) ** (1 / GAMMA), np.float32)


def printed(cover: Layer, paper: tuple[float, ...] = (250, 250, 248), density: float = TONER) -> Layer:
    """Return paper (H, W, 3) of a grey printed on; `cover` (H, W) is how much of a pixel has ink."""
    left = 1 - cover * np.float32(1 - 10**-density)
    return light_of(paper) * left[..., None]


def dense(cover: Layer, colour: tuple[float, ...]) -> Layer:
    """Return what a transparent layer lets through (H, W, 3): `colour` on white where `cover` is 1.

    Density is proportional to how much lies there, and adds up (Beer 1852, Lambert 1760).
    """
    return np.exp(cover[..., None] * np.log(np.maximum(light_of(colour), 1e-3)))


def tooth(shape: tuple[int, int], rng: np.random.Generator, per_mm: float) -> Layer:
    """Return the paper's bumps (H, W): noise of mean 0, deviation 1, between the sizes of `TOOTH`."""
    fine, coarse = (max(size * per_mm / 2, 0.4) for size in TOOTH)
    noise = rng.standard_normal(shape, np.float32)
    band = cv2.GaussianBlur(noise, (0, 0), fine) - cv2.GaussianBlur(noise, (0, 0), coarse)
    return np.asarray(band / band.std(), np.float32)


def clouds(shape: tuple[int, int], rng: np.random.Generator, size_px: float) -> Layer:
    """Return noise (H, W) of mean 0, deviation 1, about `size_px` coarse; made on a small copy."""
    step = max(1, int(size_px / 4))
    small = paper_grain((-(-shape[0] // step) + 2, -(-shape[1] // step) + 2), rng, size_px / step)
    return np.asarray(cv2.resize(small, shape[::-1], interpolation=cv2.INTER_CUBIC), np.float32)


def scanned(light: Layer, rng: np.random.Generator) -> Picture:
    """Return what the strokes' benchmark's scanner makes of a sheet (H, W, 3)."""
    return np.ascontiguousarray(exposed(greys_of(SHEEN + (1 - SHEEN) * light), rng)[..., ::-1])
