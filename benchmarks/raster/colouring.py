"""Crayon, felt pen and water colour over printed lines."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.raster.paper import clouds, dense, light_of, tooth
from sample_art.crayon import CELLS, Rubbing, hatched

Layer = NDArray[np.float32]
Mask = NDArray[np.bool_]
Colour = tuple[int, int, int]

BRIGHT: tuple[Colour, ...] = (
    (250, 208, 60), (112, 178, 92), (138, 198, 232), (240, 150, 74), (240, 150, 178)
)  # fmt: skip
"""Yellow, green, light blue, orange, pink."""

STRONG: tuple[Colour, ...] = (
    (214, 40, 48), (28, 120, 190), (30, 130, 70), (236, 110, 40), (222, 60, 130), (250, 200, 30)
)  # fmt: skip
"""Red, blue, green, orange, magenta, yellow."""

DARK: tuple[Colour, ...] = ((44, 62, 132), (96, 56, 128), (112, 74, 52), (36, 82, 66))
"""Dark blue, violet, brown, bottle green: as they look when laid on thickly."""

GREY_WAX: Colour = (150, 150, 152)

LEAST_AREA = 60.0
"""Square mm of an area that a child colours in."""


@dataclass(frozen=True)
class Wax:
    """How a child colours in: colours, how hard it presses, how many patches.

    `hazy` is the part of the light that thick wax throws back whatever is under it: it makes black lines
    grey. `again` is how often a patch gets a second colour over half of it, which sticks half as well.
    """

    colours: tuple[Colour, ...]
    press: tuple[float, float]
    patches: tuple[int, int]
    hazy: float
    again: float = 0.0


LIGHT_WAX = Wax(BRIGHT, (0.4, 0.6), (3, 5), 0.03)
HEAVY_WAX = Wax(BRIGHT + STRONG, (0.75, 1.0), (5, 8), 0.06, again=0.3)
DARK_WAX = Wax((*DARK, GREY_WAX), (0.6, 0.95), (4, 6), 0.06, again=0.5)


def crayoned(light: Layer, cover: Layer, wax: Wax, rng: np.random.Generator, per_mm: float) -> Layer:
    """Return a printed sheet (H, W, 3) coloured in with wax, over the lines too."""
    grain = tooth(cover.shape, rng, per_mm)
    taken = None
    for patch in patches(cover, rng, per_mm, int(rng.integers(*wax.patches, endpoint=True))):
        left = patch if taken is None else patch & ~taken
        taken = patch if taken is None else patch | taken
        light = _rubbed(light, left, wax, grain, rng, press=1.0)
        if rng.random() < wax.again:
            half = left & (np.arange(left.shape[1]) > np.median(np.nonzero(left)[1])) if left.any() else left
            light = _rubbed(light, half, wax, grain, rng, press=0.5)
    return light


def _rubbed(
    light: Layer, patch: Mask, wax: Wax, grain: Layer, rng: np.random.Generator, *, press: float
) -> Layer:
    """Return a sheet with one patch coloured in."""
    colour = wax.colours[rng.integers(len(wax.colours))]
    press *= float(rng.uniform(*wax.press))
    rub = Rubbing("", "", float(rng.uniform(0, 180)), press=press, spacing=1.4)
    per_mm = grain.shape[1] * CELLS / patch.shape[1]
    thick = hatched(patch, rub, (grain.shape[1], grain.shape[0]), rng, per_mm=per_mm)
    hazy = max(wax.hazy, 0.12) if colour == GREY_WAX else wax.hazy
    return laid(light, _caught(thick, grain), colour, hazy)


def laid(light: Layer, cover: Layer, colour: Colour, hazy: float) -> Layer:
    """Return a sheet (H, W, 3) under a layer: light passes by density, and some comes back from the layer."""
    rows, columns = np.flatnonzero(cover.any(axis=1)), np.flatnonzero(cover.any(axis=0))
    if not len(rows):
        return light
    box = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    haze = (hazy * cover[box])[..., None]
    result = light.copy()
    result[box] = light[box] * dense(cover[box], colour) * (1 - haze) + haze * light_of(colour)
    return result


def _caught(thick: Layer, grain: Layer) -> Layer:
    """Return how much wax (H, W), 0 to 1, stays on: the bumps take it, the pits stay white."""
    cover = np.clip((thick * 1.9 - 0.62 + 0.38 * grain) * 1.5, 0, 1) * np.minimum(thick * 2, 1)
    return cv2.GaussianBlur(cover.astype(np.float32), (0, 0), 0.6)


FELT: tuple[Colour, ...] = (
    (255, 226, 40), (250, 120, 30), (222, 40, 52), (236, 80, 150), (30, 150, 80), (30, 100, 196),
    (104, 60, 156), (124, 76, 48),
)  # fmt: skip
"""Yellow, orange, red, pink, green, blue, violet, brown."""


def felted(light: Layer, cover: Layer, rng: np.random.Generator, per_mm: float) -> Layer:
    """Return a printed sheet (H, W, 3) coloured in with felt pens: even dye, double where strokes overlap."""
    fibres = tooth(cover.shape, rng, per_mm)
    for patch in patches(cover, rng, per_mm, int(rng.integers(4, 7))):
        inside = _bled(patch, cover.shape, rng, per_mm)
        stripes = _stripes(cover.shape, rng, per_mm)
        amount = inside * (0.62 + 0.38 * stripes) * (1 + 0.06 * fibres)
        light = laid(light, amount.astype(np.float32), FELT[rng.integers(len(FELT))], 0.0)
    return light


def _stripes(shape: tuple[int, int], rng: np.random.Generator, per_mm: float) -> Layer:
    """Return where neighbouring strokes of a broad pen lie over each other (H, W), 0 or 1, edges soft."""
    turn, pitch, both = rng.uniform(0, np.pi), rng.uniform(2.2, 3.6), rng.uniform(0.15, 0.4)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32) / np.float32(per_mm)
    across = x * np.cos(turn) + y * np.sin(turn) + 0.35 * clouds(shape, rng, 12 * per_mm)
    place = np.abs((across / pitch) % 1 - 0.5)
    return np.asarray(np.clip((place - 0.5 + both / 2) * pitch * per_mm + 0.5, 0, 1), np.float32)


def _bled(patch: Mask, shape: tuple[int, int], rng: np.random.Generator, per_mm: float) -> Layer:
    """Return a patch (H, W), 0 to 1, whose edge runs along the paper's fibres."""
    far = _depth(patch, shape)
    far = far + 0.25 * clouds(shape, rng, 0.5 * per_mm) + 0.5 * clouds(shape, rng, 5 * per_mm)
    return np.asarray(np.clip(far / 0.25 + 0.5, 0, 1), np.float32)


def _depth(patch: Mask, shape: tuple[int, int]) -> Layer:
    """Return how many mm each pixel (H, W) lies inside the patch's edge, negative outside."""
    grey = patch.astype(np.uint8)
    inner, outer = (cv2.distanceTransform(m, cv2.DIST_L2, 5) for m in (grey, 1 - grey))
    return cv2.resize((inner - outer) / np.float32(CELLS), shape[::-1], interpolation=cv2.INTER_LINEAR)


def washed(light: Layer, cover: Layer, rng: np.random.Generator, per_mm: float) -> Layer:
    """Return a printed sheet (H, W, 3) painted with washes: pooled at their edges, cloudy, some opaque."""
    grain = tooth(cover.shape, rng, per_mm)
    colours = STRONG + DARK
    for patch in patches(cover, rng, per_mm, int(rng.integers(4, 7))):
        far = _depth(patch, cover.shape) + 0.8 * clouds(cover.shape, rng, 6 * per_mm)
        inside = np.clip(far / 0.2 + 0.5, 0, 1)
        pooled = 1 + rng.uniform(0.4, 1.0) * np.exp(-np.maximum(far, 0) / 0.5)
        cloudy = np.maximum(0.2, 1 + 0.3 * clouds(cover.shape, rng, 8 * per_mm) + 0.08 * grain)
        amount = (rng.uniform(0.2, 0.6) * inside * pooled * cloudy).astype(np.float32)
        opaque = rng.uniform(0.05, 0.2) if rng.random() < 0.4 else 0.0
        light = laid(light, np.minimum(amount, 1.2), colours[rng.integers(len(colours))], opaque)
    return light


def patches(cover: Layer, rng: np.random.Generator, per_mm: float, count: int) -> list[Mask]:
    """Return what is coloured in, as masks of `CELLS` a mm: areas that lines enclose, else ovals on lines."""
    shape = tuple(round(side / per_mm * CELLS) for side in cover.shape)
    ink = cv2.resize(cover, shape[::-1], interpolation=cv2.INTER_AREA) > 0.5
    free = (~ink).astype(np.uint8)
    total, labels, stats, _ = cv2.connectedComponentsWithStats(free, connectivity=4)
    enclosed = [
        k for k in range(1, total)
        if stats[k, cv2.CC_STAT_AREA] > LEAST_AREA * CELLS**2 and stats[k, 0] > 0 and stats[k, 1] > 0
    ]  # fmt: skip
    spots = np.argwhere(ink)
    chosen = [_spilt(labels == k, rng) for k in rng.permutation(enclosed)[:count]]
    return chosen + [_oval(ink.shape, spots, rng) for _ in range(count - len(chosen))]


def _spilt(area: Mask, rng: np.random.Generator) -> Mask:
    """Return an area coloured in over its line here and there."""
    side = 2 * int(CELLS * rng.uniform(0.8, 2.5)) + 1
    return cv2.dilate(area.astype(np.uint8), cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))) > 0


def _oval(shape: tuple[int, ...], spots: NDArray[np.intp], rng: np.random.Generator) -> Mask:
    """Return an oval about a place on a line."""
    mask = np.zeros(shape, np.uint8)
    y, x = spots[rng.integers(len(spots))]
    axes = (int(CELLS * rng.uniform(8, 26)), int(CELLS * rng.uniform(8, 26)))
    cv2.ellipse(mask, (int(x), int(y)), axes, float(rng.uniform(0, 180)), 0, 360, 1, -1)
    return mask > 0
