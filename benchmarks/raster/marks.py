"""Lines that are not evenly black: pencil on tooth, ballpoint, felt pens, and copies of copies."""

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.raster.paper import clouds, dense, light_of, tooth

Layer = NDArray[np.float32]

GRADES = {"2H": 0.30, "H": 0.38, "HB": 0.50, "B": 0.62, "2B": 0.74, "4B": 0.92}
"""Optical density of a firm line of each grade of pencil (estimated; graphite shines, hence under 1)."""


def pencilled(cover: Layer, rng: np.random.Generator, per_mm: float) -> Layer:
    """Return a pencil drawing (H, W, 3): graphite caught by the bumps, under a pressure that varies.

    Hard grades leave less and are broken more by the tooth.
    """
    density = GRADES[str(rng.choice(list(GRADES)))]
    bumps = tooth(cover.shape, rng, per_mm)
    press = 0.75 + 0.13 * clouds(cover.shape, rng, 12 * per_mm) + 0.05 * clouds(cover.shape, rng, 3 * per_mm)
    profile = cv2.GaussianBlur(cover, (0, 0), 0.08 * per_mm)
    rough = rng.uniform(0.25, 0.5)
    caught = np.clip(1.9 * (press * profile - 0.28 + rough * bumps), 0, 1.1) * np.minimum(1, 2 * profile)
    uneven = 1 + 0.01 * bumps + 0.012 * clouds(cover.shape, rng, 20 * per_mm)
    left = uneven * 10 ** (-density * caught)
    return np.asarray(light_of((246, 245, 240)) * left[..., None], np.float32)


BALLPOINT = ((34, 52, 150), (28, 30, 40), (190, 40, 50))
"""Blue, black, red."""

FIBRE_TIP = ((200, 36, 44), (30, 84, 180), (24, 120, 70), (104, 50, 150), (214, 96, 20), (90, 56, 36))
"""Red, blue, green, violet, orange, brown."""


def written(cover: Layer, rng: np.random.Generator, per_mm: float) -> Layer:
    """Return a ballpoint drawing (H, W, 3) on paper that has yellowed: streaky, skipping here and there."""
    bumps = tooth(cover.shape, rng, per_mm)
    flow = 0.95 + 0.12 * clouds(cover.shape, rng, 6 * per_mm) + 0.10 * bumps
    skips = np.clip(2.6 + 1.0 * clouds(cover.shape, rng, 0.5 * per_mm), 0.3, 1)
    ink = (cover * np.clip(flow, 0.3, 1.2) * skips).astype(np.float32)
    yellow = tuple(np.array((250, 249, 246)) - rng.random() * np.array((10, 22, 54)))
    uneven = 1 + 0.012 * bumps + 0.03 * clouds(cover.shape, rng, 30 * per_mm)
    paper = light_of(yellow) * uneven[..., None]
    return np.asarray(paper * dense(ink, BALLPOINT[rng.integers(len(BALLPOINT))]), np.float32)


BLACK_FELT = (34, 32, 40)

BLEEDS = (0.04, 0.16)
"""mm that the dye of a felt pen runs over its line, and along single fibres (estimated)."""

RESTS = (0.05, 0.4)
"""Pens by which a line's end is wider where the pen rested before it was lifted (estimated)."""


def felt_drawn(
    cover: Layer, ends: NDArray[np.float64], pen: float, rng: np.random.Generator, per_mm: float
) -> Layer:
    """Return lines (H, W, 3) drawn with a felt pen `pen` mm wide on paper that soaks its dye up.

    `ends` (n, 2) are where lines begin and end, px: there the pen rests and the dye pools, here and there.
    Along the edges dye runs out along the paper's fibres, which lie in all directions.
    """
    drawn = (cover > 0.5).astype(np.uint8)
    inner, outer = (cv2.distanceTransform(m, cv2.DIST_L2, 5) for m in (drawn, 1 - drawn))
    far = cv2.GaussianBlur((inner - outer) / np.float32(per_mm), (0, 0), 0.7)
    y, x = np.mgrid[0 : cover.shape[0], 0 : cover.shape[1]].astype(np.float32)
    pooled = np.zeros_like(cover)
    for u, v in ends[rng.random(len(ends)) < 0.6]:
        radius = pen * (0.5 + rng.uniform(*RESTS))
        blob = radius - np.hypot(x - u, y - v).astype(np.float32) / np.float32(per_mm)
        far, pooled = np.maximum(far, blob), np.maximum(pooled, np.clip(blob / radius, 0, 1))
    far = far + BLEEDS[0] + BLEEDS[1] * np.maximum(fibres(cover.shape, rng, per_mm), 0)
    amount = np.clip(far / 0.12 + 0.5, 0, 1) * (
        0.9 + 0.3 * pooled + 0.05 * clouds(cover.shape, rng, 2 * per_mm)
    )
    colour = BLACK_FELT if rng.random() < 0.6 else FIBRE_TIP[rng.integers(len(FIBRE_TIP))]
    return np.asarray(light_of((250, 250, 248)) * dense(amount.astype(np.float32), colour), np.float32)


def fibres(shape: tuple[int, int], rng: np.random.Generator, per_mm: float) -> Layer:
    """Return the paper's fibres (H, W), mean 0, deviation 1: streaks of 1 by 0.06 mm in eight directions."""
    size = round(per_mm) | 1
    most = np.full(shape, -np.inf, np.float32)
    for turn in rng.uniform(0, np.pi) + np.arange(8) * np.pi / 8:
        kernel = np.zeros((size, size), np.float32)
        reach = size / 2 * np.array([np.cos(turn), np.sin(turn)])
        ends = [tuple((16 * (size // 2 + side * reach)).astype(int).tolist()) for side in (-1, 1)]
        cv2.line(kernel, *ends, 1.0, max(1, round(0.06 * per_mm)), cv2.LINE_AA, 4)
        streaks = cv2.filter2D(rng.standard_normal(shape, np.float32), -1, kernel)
        most = np.maximum(most, streaks / streaks.std())
    return np.asarray((most - most.mean()) / most.std(), np.float32)


def copied(cover: Layer, rng: np.random.Generator, per_mm: float) -> Layer:
    """Return how much toner (H, W), 0 to 1, a worn copier leaves: hard edges, dropouts, specks."""
    noise = tooth(cover.shape, rng, per_mm)
    worn = clouds(cover.shape, rng, 25 * per_mm)
    level = cv2.GaussianBlur(cover, (0, 0), 0.1 * per_mm) + 0.12 * noise
    ink = np.clip((level - 0.5) * 4 + 0.5, 0, 1)
    fine = clouds(cover.shape, rng, 0.25 * per_mm)
    ink = ink * np.clip(3.0 * (fine + 2.6 - 0.5 * np.maximum(worn, 0)), 0, 1)
    return np.maximum(ink, _specks(cover.shape, rng, per_mm)).astype(np.float32)


def _specks(shape: tuple[int, int], rng: np.random.Generator, per_mm: float) -> Layer:
    """Return specks of toner (H, W): 1 to 6 a square cm, 0.08 to 0.5 mm across, small ones the most."""
    page = np.zeros(shape, np.float32)
    count = rng.poisson(rng.uniform(1, 6) * shape[0] * shape[1] / per_mm**2 / 100)
    for x, y, u in rng.random((count, 3)):
        radius = (0.04 + 0.21 * u**4) * per_mm
        place = (round(16 * x * shape[1]), round(16 * y * shape[0]))
        cv2.circle(page, place, max(6, round(16 * radius)), float(min(1, 0.5 + radius)), -1, cv2.LINE_AA, 4)
    return page
