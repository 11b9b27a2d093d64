"""How bright a carved face is under a lamp: the slopes of the walls, and the shadows they throw."""

import numpy as np
from numpy.typing import NDArray

from tracer.sheets.relief import part_holding

Array = NDArray[np.float64]
Map = NDArray[np.float32]
Mask = NDArray[np.bool_]
Places = NDArray[np.int64]

_LIGHT = np.array([-0.62, -0.48, 0.62])  # from the upper left, low, as a lamp on a bench
_AMBIENT, _DIM = 0.42, 0.14  # share of the room's light, and how much less of it reaches the bottom
_MARGIN = 2  # pixels about a groove that softening may change


def shade(depth: Map, px_per_mm: float) -> Map:
    """Return how bright each pixel (H, W) of the face is, 1 on the flat.

    Lambert's law for the slope of the walls, the shadow of the near wall, and some
    darkness towards the bottom, where less of the room's light comes in.
    """
    bright = np.ones(depth.shape, np.float32)
    deep = depth > 0
    if not deep.any():
        return bright
    part = part_holding(deep, _MARGIN + 1)
    bright[part] = _shaded(depth[part], px_per_mm)
    return bright


def _shaded(depth: Map, px_per_mm: float) -> Map:
    """Return the brightness where grooves are, and whole wood about them unless the board ends there."""
    deepest = float(depth.max())
    rim = _MARGIN + int(np.ceil(deepest / _climb() * px_per_mm)) + 1
    padded = np.pad(depth, rim, mode="edge")
    lit = np.ones(padded.shape, np.float32)
    where = np.flatnonzero(_near(np.pad(depth > 0, rim)))
    lit.ravel()[where] = _lit(padded, where, deepest, px_per_mm)
    _soften(lit, where)
    return lit[rim:-rim, rim:-rim]


def _climb() -> float:
    """Return how far (mm) the light rises in each mm across the board."""
    return float(_LIGHT[2] / np.hypot(_LIGHT[0], _LIGHT[1]))


def _near(mask: Mask) -> Mask:
    """Return the mask grown by `_MARGIN` pixels both ways; its border of that width must be empty."""
    for _ in range(_MARGIN):
        mask = mask | np.roll(mask, 1, 0) | np.roll(mask, -1, 0)
        mask = mask | np.roll(mask, 1, 1) | np.roll(mask, -1, 1)
    return mask


def _lit(padded: Map, where: Places, deepest: float, px_per_mm: float) -> Map:
    """Return the brightness at `where`, places in the flattened `padded` depths."""
    flat, wide = padded.ravel(), padded.shape[1]
    scale = np.float32(px_per_mm / 2)
    right = (flat[where + 1] - flat[where - 1]) * scale
    down = (flat[where + wide] - flat[where - wide]) * scale
    light = (_LIGHT / _LIGHT[2]).astype(np.float32)
    facing = (1 + light[0] * right + light[1] * down) / np.sqrt(1 + right * right + down * down)
    direct = np.maximum(facing, 0) * (1 - _shadow(padded, where, deepest, px_per_mm))
    ambient = _AMBIENT - _DIM * flat[where] / np.float32(deepest)
    lit: Map = (ambient + (1 - _AMBIENT) * direct).astype(np.float32)
    return lit


def _shadow(padded: Map, where: Places, deepest: float, px_per_mm: float) -> Map:
    """Return how much, 0..1, walls towards the lamp stand in its light at `where`.

    How high the wood stands over each pixel's ray, as far as the longest shadow: twice as far with
    each step, as what is seen from a pixel, and from the one where that ends, is seen from both.
    """
    toward = _LIGHT[:2] / np.hypot(_LIGHT[0], _LIGHT[1])
    far = deepest / _climb() * px_per_mm
    over, reach = -padded, 1
    while reach < 2 * far:
        across, down = (round(-float(part * reach)) for part in toward)
        drop = np.float32(np.hypot(across, down) * _climb() / px_per_mm)
        ahead = over[: -down or None, : -across or None] - drop
        np.maximum(over[down:, across:], ahead, out=over[down:, across:])
        reach *= 2
    shadow: Map = np.clip((over.ravel()[where] + padded.ravel()[where]) * np.float32(px_per_mm), 0, 1)
    return shadow


def _soften(field: Map, where: Places) -> None:
    """Average `field` at `where` over neighbours by 1-2-1 both ways, so that upright walls are not jagged."""
    flat = field.ravel()
    for step in (1, field.shape[1]):
        flat[where] = (flat[where - step] + 2 * flat[where] + flat[where + step]) / 4
