"""Wood to look at: growth rings, streaks, pores and knots computed, not photographed.

The pattern is that of a flat-sawn board: rings round a pith that lies a little below the
face and tilts along the board, so that they come out as the usual nested arches. Veneers
of plywood are peeled off the log, and their lines wander.
"""

import math
import zlib

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.sheets.wood_looks import Look, look_of

Map = NDArray[np.float32]
Picture = NDArray[np.uint8]

_FINEST, _MOST = 6.0, 1_200_000  # pixels per mm, and in all, beyond which a face is blown up
_SMOOTH = 4  # pixels between the places at which the rings are computed; they are smooth
_KNOTTY = 0.13  # share of a board's width, at either edge, that has the knots: carvers choose such boards
_DARKEST = 1.5  # late wood's share in the darkest pore
_TONES, _PATCHES = 256, 32  # steps of tone, and of going over to the other colour


def wood_face(wood: str, shape: tuple[int, int], *, px_per_mm: float, grain_deg: float) -> Picture:
    """Return a board's face.

    Parameters
    ----------
    wood : its name; the same name gives the same board.
    shape : (H, W) pixels.
    px_per_mm : pixels per mm.
    grain_deg : direction of the grain, degrees from the width towards the height (y down).

    Returns
    -------
    (H, W, 3) uint8 sRGB.
    """
    look = look_of(wood)
    less = min(1.0, _FINEST / px_per_mm, math.sqrt(_MOST / (shape[0] * shape[1])))
    rows, columns = (max(1, round(side * less)) for side in shape)
    seed = zlib.crc32(wood.encode())
    tone, patch = _laid(look, (rows, columns), px_per_mm * less, seed, grain_deg % 180)
    place = patch.astype(np.uint16) * _TONES + tone
    face = np.take(_colours(look).reshape(-1, 3), place, axis=0)
    return _blown_up(face, shape) if less < 1 else face


def _blown_up(face: Picture, shape: tuple[int, int]) -> Picture:
    """Return a picture (h, w, 3) blown up to `shape`."""
    return np.asarray(cv2.resize(face, shape[::-1]), np.uint8)


def _laid(
    look: Look, shape: tuple[int, int], px_per_mm: float, seed: int, turn: float
) -> tuple[Picture, Picture]:
    """Return tone and patch (H, W) with the grain turned by `turn` degrees, 0..180."""
    from PIL import Image

    if turn == 0:
        return _grown(look, shape, px_per_mm, seed)
    if turn == 90:
        tone, patch = _grown(look, shape[::-1], px_per_mm, seed)
        return tone.T, patch.T
    rows, columns = shape
    side = int(np.ceil(np.hypot(rows, columns))) + 2
    top, left = (side - rows) // 2, (side - columns) // 2
    square = _grown(look, (side, side), px_per_mm, seed)
    turned = (Image.fromarray(one).rotate(-turn, Image.Resampling.BILINEAR) for one in square)
    tone, patch = (np.asarray(one)[top : top + rows, left : left + columns] for one in turned)
    return tone, patch


def _colours(look: Look) -> Picture:
    """Return the colour (_PATCHES, _TONES, 3) of each patch and tone."""
    early, late, drift = (np.array(colour, np.float64) for colour in (look.early, look.late, look.drift))
    late_share = np.linspace(0, _DARKEST, _TONES)[None, :, None]
    patch = np.linspace(0, 1, _PATCHES)[:, None, None]
    ground = early + patch * (drift - early)
    return np.clip(ground + late_share * (late - early) * (1 - 0.3 * patch), 0, 255).astype(np.uint8)


def _grown(look: Look, shape: tuple[int, int], px_per_mm: float, seed: int) -> tuple[Picture, Picture]:
    """Return tone and patch (H, W) with the grain along the rows."""
    chance = np.random.default_rng(seed)
    late = _pressed(chance, shape, px_per_mm) if look.ring == 0 else _late(look, chance, shape, px_per_mm)
    late *= np.float32((_TONES - 1) / _DARKEST)
    np.clip(late, 0, _TONES - 1, out=late)
    patch = _noise(chance, shape, (500 * px_per_mm, 30 * px_per_mm), most=0.45)
    patch = np.clip((patch + np.float32(0.45)) * np.float32(_PATCHES - 1), 0, _PATCHES - 1)
    return late.astype(np.uint8), patch.astype(np.uint8)


def _pressed(chance: np.random.Generator, shape: tuple[int, int], px_per_mm: float) -> Map:
    """Return how dark (H, W) pressed fibres are: a felt of fine specks, alike everywhere."""
    late = _noise(chance, shape, (0.9 * px_per_mm, 0.45 * px_per_mm), most=0.3)
    late = late + _noise(chance, shape, (0.45 * px_per_mm, 0.9 * px_per_mm), most=0.3)
    late += _noise(chance, shape, (18 * px_per_mm, 18 * px_per_mm), most=0.06)
    late += np.float32(0.35)
    return late


def _late(look: Look, chance: np.random.Generator, shape: tuple[int, int], px_per_mm: float) -> Map:
    """Return the share of late wood (H, W), about 0..1, more in pores and knots."""
    ring = _rings(look, chance, shape, px_per_mm)
    knots = _knots(look, chance, shape, px_per_mm)
    for place, near, _ in knots:
        ring[place] += 1.1 * np.exp(-(near**2) / 3)
    grown = ring - np.floor(ring)
    late = _ring_profile(grown, look.ring * px_per_mm, abrupt=look.abrupt)
    late *= np.float32(look.strong)
    late += np.float32(0.12)
    late = late + _noise(chance, shape, (60 * px_per_mm, 0.55 * px_per_mm), most=0.22 * look.streak)
    if look.pore:
        dots = _noise(chance, shape, (5 * px_per_mm, 0.4 * px_per_mm), most=1.0)
        dots = np.clip(dots - np.float32(0.35), 0, 0.45)
        late += np.float32(1.7 * look.pore) * dots * (1.15 - grown)
    for strength, dark, size in ((look.fleck, 0.9, (2.4, 0.55)), (look.ray, -0.7, (9.0, 1.4))):
        if strength:
            dots = _noise(chance, shape, (size[0] * px_per_mm, size[1] * px_per_mm), most=1.0)
            late += np.float32(dark * strength) * np.clip(dots - np.float32(0.72), 0, 0.4)
    for place, near, whirl in knots:
        inside = np.clip((1.0 - near) * 6, 0, 1)
        rim = np.exp(-((near - 1.0) ** 2) / 0.02)
        late[place] += inside * (0.85 + 0.18 * whirl - late[place]) + 0.35 * rim
    return late


def _rings(look: Look, chance: np.random.Generator, shape: tuple[int, int], px_per_mm: float) -> Map:
    """Return how many years (H, W) lie between each place and the pith, by way of a coarser map."""
    full, px_per_mm = shape, px_per_mm / _SMOOTH
    rows, columns = (max(2, -(-side // _SMOOTH)) for side in shape)
    shape = rows, columns
    along = np.arange(columns, dtype=np.float32)[None, :] / np.float32(px_per_mm)
    across = np.arange(rows, dtype=np.float32)[:, None] / np.float32(px_per_mm)
    pith = rows / px_per_mm * float(chance.uniform(0.3, 0.7))
    tilt = look.arches * float(chance.uniform(0.07, 0.12))
    below = look.ring * float(chance.uniform(1.0, 2.0)) + along * np.float32(tilt)
    if look.arches < 0.5:
        pith -= rows / px_per_mm + 60.0
    ring = (across - np.float32(pith)) ** 2 + below**2
    np.sqrt(ring, out=ring)
    ring /= np.float32(look.ring)
    ring += _noise(chance, shape, (170 * px_per_mm, 34 * px_per_mm), most=look.wild)
    ring += _noise(chance, shape, (26 * px_per_mm, 5 * px_per_mm), most=0.1)
    return np.asarray(cv2.resize(ring, full[::-1], interpolation=cv2.INTER_CUBIC), np.float32)


def _ring_profile(grown: Map, ring_px: float, *, abrupt: bool) -> Map:
    """Return how dark the wood is through one year: slowly darker, then a step within about a pixel."""
    edge = np.float32(max(0.12, 1.5 / ring_px))
    profile = grown * grown
    if abrupt:
        profile *= profile
    profile *= np.minimum((1 - grown) / edge, 1)
    return profile


def _knots(
    look: Look, chance: np.random.Generator, shape: tuple[int, int], px_per_mm: float
) -> list[tuple[tuple[slice, slice], Map, Map]]:
    """Return for each knot the part of the face about it, the distance in its radii, and its own rings."""
    rows, columns = shape
    count = round(look.knots * rows * columns / px_per_mm**2 / 1e6 + 0.4)
    found = []
    for x, edge, size in chance.uniform((0, -_KNOTTY, 2.5), (columns, _KNOTTY, 6.5), (count, 3)):
        radius, y = size * px_per_mm, edge % 1.0 * rows
        left, right = (int(np.clip(x + side * 5.5 * radius, 0, columns)) for side in (-1, 1))
        top, low = (int(np.clip(y + side * 4 * radius, 0, rows)) for side in (-1, 1))
        v, u = np.mgrid[top:low, left:right].astype(np.float32)
        near = np.sqrt(((u - x) / (1.35 * radius)) ** 2 + ((v - y) / radius) ** 2).astype(np.float32)
        found.append(((slice(top, low), slice(left, right)), near, np.cos(near * size * 4)))
    return found


def _noise(
    chance: np.random.Generator, shape: tuple[int, int], grain_px: tuple[float, float], *, most: float
) -> Map:
    """Return smooth noise (H, W), mostly within `most` of 0, its grains `grain_px` (long, high) pixels."""
    rows, columns = shape
    sizes = zip((columns, rows), grain_px, strict=True)
    long, high = (max(1, min(n, round(n / max(grain, 1.0)) + 3)) for n, grain in sizes)
    coarse = chance.standard_normal((high, long)).astype(np.float32) * np.float32(most / 2)
    return np.asarray(cv2.resize(coarse, (columns, rows), interpolation=cv2.INTER_CUBIC), np.float32)
