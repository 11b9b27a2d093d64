"""Wood to look at: growth rings, streaks and pores computed, not photographed.

The pattern is that of a flat-sawn board: rings round a pith that lies a little below the
face and tilts along the board, so that they come out as the usual nested arches.
"""

import zlib
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Map = NDArray[np.float32]


@dataclass(frozen=True)
class Look:
    """How a wood looks planed and unfinished, by eye; no source.

    Attributes
    ----------
    early, late : sRGB colours of the wood grown in spring and in summer.
    ring : distance between growth rings across the board in mm, 0 for none.
    streak, pore : strength of the fine streaks and of dark pores, 0..1.
    """

    early: tuple[int, int, int]
    late: tuple[int, int, int]
    ring: float
    streak: float = 0.5
    pore: float = 0.0


_LOOKS = {
    "maple": Look((236, 218, 190), (219, 193, 157), 5.0, 0.35),
    "cherry": Look((208, 158, 118), (183, 126, 88), 5.5, 0.5),
    "beech": Look((226, 194, 158), (205, 168, 128), 5.0, 0.4, 0.25),
    "oak": Look((214, 182, 138), (184, 146, 100), 5.5, 0.6, 0.9),
    "ash": Look((228, 208, 174), (197, 168, 126), 6.5, 0.5, 0.7),
    "walnut": Look((138, 104, 78), (101, 71, 51), 6.0, 0.7, 0.6),
    "poplar": Look((220, 212, 176), (196, 188, 148), 7.0, 0.5),
    "basswood": Look((235, 221, 196), (220, 202, 172), 7.0, 0.3),
    "alder": Look((212, 170, 132), (192, 147, 109), 6.0, 0.4),
    "cedar": Look((204, 148, 112), (168, 104, 74), 5.0, 0.6),
    "pine": Look((239, 213, 164), (213, 164, 104), 7.5, 0.5),
    "fir": Look((232, 200, 158), (194, 142, 96), 5.5, 0.6),
    "softwood plywood": Look((230, 198, 148), (202, 156, 104), 11.0, 0.7),
    "plywood": Look((234, 213, 178), (219, 192, 151), 12.0, 0.4),
    "mdf": Look((190, 160, 124), (190, 160, 124), 0.0, 0.0),
}
_PLAIN = Look((228, 204, 164), (204, 172, 126), 6.5)


def look_of(wood: str) -> Look:
    """Return the look of a wood by its name; the longest known name within it, else a plain pale wood."""
    known = [name for name in _LOOKS if name in wood.lower()]
    return _LOOKS[max(known, key=len)] if known else _PLAIN


def wood_face(wood: str, shape: tuple[int, int], *, px_per_mm: float, grain_deg: float) -> Map:
    """Return a board's face.

    Parameters
    ----------
    wood : its name; the same name gives the same board.
    shape : (H, W) pixels.
    px_per_mm : pixels per mm.
    grain_deg : direction of the grain, degrees from the width towards the height (y down).

    Returns
    -------
    (H, W, 3) float32 sRGB, 0..255.
    """
    from PIL import Image

    turn = grain_deg % 180
    look, seed = look_of(wood), zlib.crc32(wood.encode())
    if turn == 0:
        return _coloured(look, _late_wood(look, shape, px_per_mm, seed))
    if turn == 90:
        return _coloured(look, _late_wood(look, shape[::-1], px_per_mm, seed).T)
    rows, columns = shape
    side = int(np.ceil(np.hypot(rows, columns))) + 2
    square = Image.fromarray(_late_wood(look, (side, side), px_per_mm, seed))
    turned = np.asarray(square.rotate(-turn, Image.Resampling.BILINEAR), np.float32)
    top, left = (side - rows) // 2, (side - columns) // 2
    return _coloured(look, turned[top : top + rows, left : left + columns])


def _coloured(look: Look, late: Map) -> Map:
    """Mix the two colours: `late` 0 is early wood, 1 late wood, more is darker still."""
    early, step = np.array(look.early, np.float32), np.subtract(look.late, look.early).astype(np.float32)
    if not step.any():
        step = -early / 4
    return early + late[..., None] * step


def _late_wood(look: Look, shape: tuple[int, int], px_per_mm: float, seed: int) -> Map:
    """Return the share of late wood (H, W), about 0..1, with the grain along the rows."""
    chance = np.random.default_rng(seed)
    rows, columns = shape
    if look.ring == 0:
        speckle: Map = 0.6 * _noise(chance, shape, (1.2 * px_per_mm, 1.2 * px_per_mm))
        return speckle + 0.25 * _noise(chance, shape, (25 * px_per_mm, 25 * px_per_mm))
    along = np.arange(columns, dtype=np.float32)[None, :] / px_per_mm
    across = np.arange(rows, dtype=np.float32)[:, None] / px_per_mm
    pith = rows / px_per_mm * float(chance.uniform(0.25, 0.75))
    below = look.ring * float(chance.uniform(2, 5)) + along * float(chance.uniform(0.05, 0.12))
    sway = 1.2 * look.ring * _noise(chance, shape, (140 * px_per_mm, 45 * px_per_mm))
    ring = (np.hypot(across - pith, below) + sway) / look.ring
    year = 0.5 + 0.5 * _noise(chance, shape, (300 * px_per_mm, 3 * look.ring * px_per_mm))
    grown = ring - np.floor(ring)
    late = 0.12 + 0.75 * year * _ring_profile(grown, look.ring * px_per_mm)
    late += look.streak * 0.3 * _noise(chance, shape, (55 * px_per_mm, 0.5 * px_per_mm))
    if look.pore:
        dots = _noise(chance, shape, (5 * px_per_mm, 0.35 * px_per_mm)) - 0.35
        late += look.pore * 1.6 * np.clip(dots, 0, 0.4) * (1.2 - grown)
    return late.astype(np.float32)


def _ring_profile(grown: Map, ring_px: float) -> Map:
    """Return how dark the wood is through one year: slowly darker, then a step within about a pixel."""
    edge = max(0.12, 1.5 / ring_px)
    profile: Map = grown**2.5 * np.clip((1 - grown) / edge, 0, 1)
    return profile


def _noise(chance: np.random.Generator, shape: tuple[int, int], grain_px: tuple[float, float]) -> Map:
    """Return smooth noise (H, W), mostly within -1..1, whose grains are `grain_px` (long, high) pixels."""
    from PIL import Image

    rows, columns = shape
    sizes = zip((columns, rows), grain_px, strict=True)
    long, high = (max(1, min(n, round(n / max(grain, 1.0)) + 3)) for n, grain in sizes)
    coarse: Any = Image.fromarray(chance.standard_normal((high, long)).astype(np.float32) * 0.5)
    return np.asarray(coarse.resize((columns, rows), Image.Resampling.BICUBIC), np.float32)
