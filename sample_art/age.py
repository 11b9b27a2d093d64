"""What scanner, phone, pencil and web do to clean ink; every effect from a seeded generator."""

from __future__ import annotations

import io
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from sample_art.crayon import paper_grain

Coverage = NDArray[np.float32]
Picture = NDArray[np.uint8]


def scanned(page: NDArray[np.float32], ink: Coverage, seed: int) -> Picture:
    """Scan of black ink on a coloured page (H, W, 3): blur, lamp from 255 down to about 200, noise."""
    rng = np.random.default_rng(seed)
    height, width = ink.shape
    wax = 1 - page.mean(axis=2, keepdims=True)
    pen = 0.09 + 0.10 * wax + 0.02 * paper_grain((height, width), rng, 1.5)[..., None]
    tone = page * (1 - ink[..., None]) + pen * page**0.3 * ink[..., None]
    tone = cv2.GaussianBlur(tone.astype(np.float32), (0, 0), 0.8)
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    x, y = x / width, y / height
    lamp = 1.0 - 0.20 * (0.75 * x**2 + 0.35 * (1 - y) ** 2) + 0.015 * np.sin(5 * x + 3 * y) - 0.01
    tone = tone * np.minimum(lamp, 1.0)[..., None] * np.array([1.0, 0.995, 0.98], np.float32)
    noise = (
        rng.normal(0, 0.006, (height, width, 1)) + 0.004 * paper_grain((height, width), rng, 1.0)[..., None]
    )
    return _levels((tone + noise) * 255)


def pencilled(ink: Coverage, seed: int) -> Picture:
    """Grey scan of a pencil drawing: graphite grain, pressure that varies, tooth of the paper, faint."""
    rng = np.random.default_rng(seed)
    tooth = paper_grain(ink.shape, rng, 1.4)
    press = 0.46 + 0.06 * paper_grain(ink.shape, rng, 70.0) + 0.03 * paper_grain(ink.shape, rng, 18.0)
    soft = cv2.GaussianBlur(ink, (0, 0), 1.3)
    graphite = soft * np.clip(press + 0.085 * tooth, 0.2, 0.85)
    paper = 0.925 + 0.006 * tooth + 0.02 * paper_grain(ink.shape, rng, 220.0)
    tone = paper * (1 - graphite)
    return _levels(np.round(tone * 255 / 3) * 3)


def from_web(ink: Coverage) -> Picture:
    """Antialiased RGB picture with the ringing of one trip through JPEG at quality 80."""
    grey = np.clip((1 - ink) * 255 + 0.5, 0, 255).astype(np.uint8)
    store = io.BytesIO()
    Image.fromarray(np.repeat(grey[..., None], 3, axis=2)).save(store, "JPEG", quality=80)
    return np.asarray(Image.open(store).convert("RGB"))


def phone_photo(
    scan: Picture, corners_px: NDArray[np.float64], size_px: tuple[int, int], seed: int
) -> Picture:
    """The page (H, W, 3) on a wooden table, its corners at `corners_px` (4, 2), clockwise from top left."""
    rng = np.random.default_rng(seed)
    width, height = size_px
    matrix = homography(scan.shape[1], scan.shape[0], corners_px)
    shift = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1]])
    matrix = shift @ matrix @ np.linalg.inv(shift)
    page = cv2.warpPerspective(scan.astype(np.float32), matrix, size_px, flags=cv2.INTER_AREA)
    where = cv2.warpPerspective(np.ones(scan.shape[:2], np.float32), matrix, size_px, flags=cv2.INTER_LINEAR)
    fall = cv2.GaussianBlur(np.roll(where, (14, 10), (0, 1)), (0, 0), 16) * 0.5
    table = wooden_table(width, height, rng) * (1 - fall[..., None])
    tone = table * (1 - where[..., None]) + page * where[..., None]
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    reach = np.hypot(x / width - 0.36, (y / height - 0.30) * height / width)
    lamp = 1.0 / (1.0 + 0.85 * reach**2)
    tone = tone * lamp[..., None] * np.array([1.0, 0.955, 0.86], np.float32)
    tone = cv2.GaussianBlur(tone, (0, 0), 0.9) + rng.normal(0, 2.2, (height, width, 1))
    return _levels(tone)


def homography(width: int, height: int, corners_px: NDArray[np.float64]) -> NDArray[np.float64]:
    """3 x 3 matrix from art px of the scan (0..width, 0..height) to art px of the photo."""
    page = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    return np.asarray(cv2.getPerspectiveTransform(page, corners_px.astype(np.float32)), dtype=np.float64)


def wooden_table(width: int, height: int, rng: np.random.Generator) -> NDArray[np.float32]:
    """Planks (H, W, 3), red, green, blue, 0..255."""
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    warp = 26 * cv2.resize(
        paper_grain((height // 60 + 2, width // 240 + 2), rng, 1.2), (width, height), None, 0, 0, 2
    )
    rings = 0.5 + 0.5 * np.sin((y + warp + 0.02 * x) / 7.5) ** 3
    fibre = cv2.resize(paper_grain((height // 2, width // 40), rng, 0.7), (width, height))
    plank = np.floor(y / (height / 5.0))
    tone = 0.50 + 0.06 * rings + 0.022 * fibre + 0.03 * np.sin(plank * 7.3)
    gap = np.abs(y % (height / 5.0) - height / 10.0) > height / 10.0 - 3.5
    tone = np.where(gap, tone * 0.35, tone)
    return np.asarray(tone[..., None] * np.array([235, 172, 112]), dtype=np.float32)


def _levels(tone: NDArray[Any]) -> Picture:
    return np.asarray(np.clip(tone + 0.5, 0, 255), dtype=np.uint8)
