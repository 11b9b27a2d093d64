"""A pinhole camera over a table with a sheet on it: photographs whose corners are known."""

import math
from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]
Layer = NDArray[np.float32]

FINER = 2
"""Samples a pixel side: edges come out antialiased, exact to a small part of a pixel."""


GAMMA = 2.2
"""Grey levels stand for light to this power (about sRGB's): lenses blur light."""


@dataclass(frozen=True)
class Camera:
    """Where a camera stands; it looks at a point of the table near the sheet's middle.

    Attributes
    ----------
    size : (width, height) of its picture, px.
    focal : focal length, px (phones: about 0.75 of the longer side).
    distance : mm from the point looked at.
    tilt_deg, azimuth_deg : of its axis to the table's normal, and the direction it leans to.
    roll_deg : its turn about its own axis.
    aside : (x, y) of the point looked at from the sheet's middle, mm.
    """

    size: tuple[int, int] = (1600, 1200)
    focal: float = 1200.0
    distance: float = 380.0
    tilt_deg: float = 0.0
    azimuth_deg: float = 0.0
    roll_deg: float = 0.0
    aside: tuple[float, float] = (0.0, 0.0)

    def matrix(self, sheet: tuple[float, float]) -> Array:
        """Return the 3 x 3 matrix from mm of a sheet, origin at its top left, to art px of the picture."""
        tilt, azimuth, roll = (math.radians(a) for a in (self.tilt_deg, self.azimuth_deg, self.roll_deg))
        lean = _about_z(azimuth) @ _about_x(tilt) @ _about_z(-azimuth)
        turn = _about_z(roll) @ lean
        looked_at = np.array([sheet[0] / 2 + self.aside[0], sheet[1] / 2 + self.aside[1], 0.0])
        shift = np.array([0, 0, self.distance]) - turn @ looked_at
        inner = np.array([[self.focal, 0, self.size[0] / 2], [0, self.focal, self.size[1] / 2], [0, 0, 1]])
        return np.asarray(inner @ np.column_stack([turn[:, 0], turn[:, 1], shift]))

    def corners(self, sheet: tuple[float, float]) -> Array:
        """Return where the sheet's corners lie (4, 2), art px, clockwise from its top left."""
        w, h = sheet
        return through(self.matrix(sheet), np.array([[0, 0], [w, 0], [w, h], [0, h]], float))


def _about_x(angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])


def _about_z(angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def through(matrix: Array, points: Array) -> Array:
    """Return points (n, 2) led through a 3 x 3 matrix."""
    led = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(led[:, :2] / led[:, 2:])


@dataclass(frozen=True)
class Setting:
    """What lies about and what light falls: see `photograph`."""

    table: str = "wood"
    lamp: float = 0.5
    shadow: float = 0.0
    noise: float = 4.0
    quality: int = 85
    blur: float = 0.8
    cast: float = 0.25
    seed: int = 0


TABLES: dict[str, tuple[float, float, float]] = {
    "wood": (0.62, 0.42, 0.25),
    "dark": (0.16, 0.13, 0.12),
    "cloth": (0.25, 0.35, 0.60),
    "checked": (0.70, 0.25, 0.25),
    "grey": (0.55, 0.55, 0.56),
    "pale": (0.86, 0.84, 0.80),
}


def page(sheet: tuple[float, float], per_mm: float = 6.0, *, frame: float = 1.0, fill: Any = None) -> Layer:
    """Return a sheet of paper (H, W, 3), 0 to 1, with a drawn frame, rings and a filled patch."""
    w, h = (round(side * per_mm) for side in sheet)
    paper = np.ones((h, w, 3), np.float32) * np.array([0.97, 0.96, 0.94], np.float32)
    if fill is not None:
        x0, y0, x1, y1 = (round(v * per_mm) for v in fill)
        paper[y0:y1, x0:x1] = (0.95, 0.60, 0.25)
    black = (0.08, 0.08, 0.08)
    thick = max(1, round(frame * per_mm))
    m = round(12 * per_mm)
    cv2.rectangle(paper, (m, m), (w - m, h - m), black, thick, cv2.LINE_AA)
    for k in range(1, 4):
        cv2.circle(paper, (w // 2, h // 2), round(k * 0.1 * w), black, max(1, round(per_mm)), cv2.LINE_AA)
    cv2.rectangle(paper, (w // 3, h // 5), (w // 3 + w // 6, h // 5 + h // 12), black, -1)
    return paper


def photograph(
    paper: Layer, sheet: tuple[float, float], camera: Camera, setting: Setting | None = None
) -> Picture:
    """Return the photograph (H, W, 3) of a sheet of paper lying on a table."""
    setting = setting or Setting()
    rng = np.random.default_rng(setting.seed)
    big = replace(camera, size=(camera.size[0] * FINER, camera.size[1] * FINER), focal=camera.focal * FINER)
    to_mm = np.diag([sheet[0] / paper.shape[1], sheet[1] / paper.shape[0], 1.0])
    centre = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    matrix = np.linalg.inv(centre) @ big.matrix(sheet) @ to_mm @ centre
    soft = cv2.GaussianBlur(paper, (0, 0), max(0.3, 0.35 * _px_a_sample(matrix, paper)))
    laid = cv2.warpPerspective(
        soft, matrix, big.size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    cover = _cover(camera.corners(sheet), camera.size)[..., None]
    tone = _table(camera.size, setting, rng)
    near = cv2.GaussianBlur(np.roll(cover[..., 0], (5, 4), (0, 1)), (0, 0), 6)[..., None]
    paper_light = _reduced(np.maximum(laid, 0) ** GAMMA)
    tone = tone**GAMMA * (1 - setting.cast * near) * (1 - cover) + paper_light * cover
    tone = tone * _light(camera.size, setting)[..., None] * np.array([1.0, 0.96, 0.88], np.float32)
    return developed(tone, setting, rng)


def _cover(corners: Array, size: tuple[int, int]) -> Layer:
    """Return how much of each pixel (H, W), 0 to 1, lies within a quad (4, 2), art px."""
    y, x = np.mgrid[0 : size[1], 0 : size[0]].astype(np.float32) + np.float32(0.5)
    cover = np.ones(x.shape, np.float32)
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        along = (b - a) / math.hypot(*(b - a))
        within = (y - a[1]) * along[0] - (x - a[0]) * along[1]
        cover = np.minimum(cover, np.clip(within + 0.5, 0, 1))
    return cover.astype(np.float32)


def developed(tone: Layer, setting: Setting, rng: np.random.Generator) -> Picture:
    """Return what lens, sensor and JPEG make of the light of a scene (H, W, 3), 0 to 1."""
    tone = cv2.GaussianBlur(tone, (0, 0), setting.blur) if setting.blur else tone
    noisy = 250 * np.maximum(tone, 0) ** (1 / GAMMA) + setting.noise * rng.standard_normal(
        tone.shape, np.float32
    )
    pixels = np.clip(noisy + 0.5, 0, 255).astype(np.uint8)[..., ::-1]
    data = cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, setting.quality])[1]
    return np.ascontiguousarray(np.asarray(cv2.imdecode(data, cv2.IMREAD_COLOR))[..., ::-1])


def _px_a_sample(matrix: Array, paper: Layer) -> float:
    """Return how many samples of the paper fall to a pixel of the photograph."""
    h, w = paper.shape[:2]
    ends = through(matrix, np.array([[0, h / 2], [w, h / 2]], float))
    return w / float(np.hypot(*(ends[1] - ends[0])))


def _reduced(layer: Layer) -> Layer:
    h, w = layer.shape[:2]
    return np.asarray(cv2.resize(layer, (w // FINER, h // FINER), interpolation=cv2.INTER_AREA), np.float32)


def _table(size: tuple[int, int], setting: Setting, rng: np.random.Generator) -> Layer:
    w, h = size
    y, x = np.mgrid[0:h, 0:w].astype(np.float32)
    tone = np.ones((h, w), np.float32)
    if setting.table in ("wood", "dark"):
        warp = cv2.resize(rng.standard_normal((h // 60 + 2, w // 200 + 2), np.float32), (w, h))
        tone += 0.12 * np.sin((y + 14 * warp) / 6.0) ** 3
        tone += 0.05 * cv2.resize(rng.standard_normal((h // 2, w // 40), np.float32), (w, h))
        plank = h / 4.3
        tone = np.where(np.abs((y + 20) % plank - plank / 2) > plank / 2 - 2.5, 0.4 * tone, tone)
        tone += 0.06 * np.sin(np.floor((y + 20) / plank) * 7.3)
    elif setting.table == "checked":
        tone = 1 - 0.35 * ((x // 55 % 2) + (y // 55 % 2)) / 2
        tone += 0.04 * rng.standard_normal((h, w), np.float32)
    elif setting.table == "cloth":
        tone += 0.08 * np.sin(x / 1.5) * np.sin(y / 1.5) + 0.05 * rng.standard_normal((h, w), np.float32)
    else:
        tone += 0.01 * rng.standard_normal((h, w), np.float32)
    return np.asarray(tone[..., None] * np.array(TABLES[setting.table], np.float32), np.float32)


def _light(size: tuple[int, int], setting: Setting) -> Layer:
    w, h = size
    y, x = np.mgrid[0:h, 0:w].astype(np.float32)
    light = 1 / (1 + setting.lamp * np.hypot(x / w - 0.3, (y / h - 0.25) * h / w) ** 2 * 2)
    if setting.shadow:
        inside = (x - 0.45 * w) * 0.9 + (y - 0.55 * h) * 0.35 > 0
        light = light * (1 - setting.shadow * cv2.GaussianBlur(inside.astype(np.float32), (0, 0), 3.0))
    return np.asarray(light, np.float32)
