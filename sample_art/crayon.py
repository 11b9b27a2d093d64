"""Wax crayon as a child lays it on: hatching that wobbles, overshoots and catches on the paper's grain."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from sample_art.scene import Mask, Scene

Layer = NDArray[np.float32]
CELLS = 4.0
"""Cells of a patch's mask to a mm."""

COLOURS = {
    "yellow": (250, 208, 60),
    "green": (112, 178, 92),
    "light blue": (138, 198, 232),
    "orange": (240, 150, 74),
    "pink": (240, 150, 178),
}


@dataclass(frozen=True)
class Rubbing:
    """One patch coloured in: which, with what, hatched at which angle, left of which x (mm), how hard."""

    area: str
    colour: str
    angle_deg: float
    stop_x: float = 297.0
    press: float = 0.8
    spacing: float = 1.5
    start_x: float = 0.0


def paper_grain(shape: tuple[int, int], rng: np.random.Generator, blur_px: float) -> Layer:
    """Tooth of the paper: noise (H, W), mean 0, deviation 1, about `blur_px` coarse."""
    noise = cv2.GaussianBlur(rng.standard_normal(shape).astype(np.float32), (0, 0), blur_px)
    return np.asarray((noise - noise.mean()) / noise.std(), dtype=np.float32)


def colour_in(scene: Scene, rubbings: tuple[Rubbing, ...], size_px: tuple[int, int], seed: int) -> Layer:
    """White paper with the rubbings on it: (H, W, 3) RGB 0..1, `size_px` (width, height)."""
    rng = np.random.default_rng(seed)
    width, height = size_px
    page = np.ones((height, width, 3), np.float32)
    coarse, fine = (paper_grain((height, width), rng, blur) for blur in (1.1, 0.6))
    grain = 0.75 * coarse + 0.5 * fine
    for rubbing in rubbings:
        mask = scene.seen_area(rubbing.area, CELLS)
        wax = hatched(mask, rubbing, size_px, rng, per_mm=width / scene.width)
        cover = np.clip((wax * 1.9 - 0.62 + 0.30 * grain) * 1.5, 0, 1) * np.minimum(wax * 2, 1)
        soft = cv2.GaussianBlur(cover.astype(np.float32), (0, 0), 0.6)[..., None] * 0.9
        page *= 1 - soft * (1 - np.array(COLOURS[rubbing.colour], np.float32) / 255)
    return page


def hatched(
    mask: Mask, rubbing: Rubbing, size_px: tuple[int, int], rng: np.random.Generator, *, per_mm: float
) -> Layer:
    """How thickly wax lies (H, W), 0..1, on one patch; `mask` has `CELLS` to a mm, the picture `per_mm`."""
    columns = np.arange(mask.shape[1]) / CELLS
    mask = mask & (columns < rubbing.stop_x) & (columns >= rubbing.start_x)
    wax = np.zeros((size_px[1], size_px[0]), np.float32)
    for start, end in _passes(mask, rubbing, rng):
        along = np.linspace(0, 1, 12)[:, None]
        spots = (start + (end - start) * along + rng.normal(0, 0.14, (12, 2))) * per_mm
        thick = max(3, round(rng.uniform(1.3, 2.3) * per_mm))
        _rub(wax, spots, thick, float(rubbing.press * rng.uniform(0.55, 0.95)))
    return cv2.GaussianBlur(wax, (0, 0), 1.2).astype(np.float32)


def _rub(wax: Layer, spots: NDArray[np.float64], thick: int, press: float) -> None:
    low = np.maximum(np.floor(spots.min(0)).astype(int) - thick, 0)
    high = np.ceil(spots.max(0)).astype(int) + thick
    part = wax[low[1] : high[1], low[0] : high[0]]
    if part.size:
        stroke = np.zeros_like(part)
        places = [np.round((spots - low) * 16).astype(np.int32)]
        cv2.polylines(
            stroke, places, isClosed=False, color=1.0, thickness=thick, lineType=cv2.LINE_AA, shift=4
        )
        part[:] = 1 - (1 - part) * (1 - stroke * press)


def _passes(
    mask: Mask, rubbing: Rubbing, rng: np.random.Generator
) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    angle = np.radians(rubbing.angle_deg)
    along, across = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    rows, cols = np.nonzero(mask)
    spots = (np.stack([cols, rows], axis=1) + 0.5) / CELLS
    if len(spots) == 0:
        return []
    band = np.round(spots @ across / rubbing.spacing).astype(int)
    passes = []
    for index in np.unique(band):
        for low, high in _spans(np.sort(spots[band == index] @ along)):
            over = rng.uniform(-0.9, 2.0, 2)
            ends = np.array([low - over[0], high + over[1]])
            if ends[1] - ends[0] > 0.8:
                lift = (index + rng.uniform(-0.35, 0.35, 2)) * rubbing.spacing
                passes.append((ends[0] * along + lift[0] * across, ends[1] * along + lift[1] * across))
    return passes


def _spans(values: NDArray[np.float64]) -> list[tuple[float, float]]:
    gaps = np.flatnonzero(np.diff(values) > 2.0)
    starts = np.concatenate([[0], gaps + 1])
    ends = np.concatenate([gaps, [len(values) - 1]])
    return [(float(values[a]), float(values[b])) for a, b in zip(starts, ends, strict=True)]
