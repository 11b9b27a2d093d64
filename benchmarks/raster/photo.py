"""A printed sheet on a table, through the lens of a phone."""

import math
from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.raster.paper import SHEEN, clouds, greys_of, light_of, printed
from benchmarks.raster.sheet import Aged, Placed, Sheet
from benchmarks.strokes.art import Art
from benchmarks.strokes.degrade import painted
from sample_art.age import wooden_table

Array = NDArray[np.float64]
Layer = NDArray[np.float32]
Frame = tuple[int, int]
Drawn = Callable[[Layer], Layer]

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""mm (ISO 216; ANSI/ASME Y14.1)."""

FRAME = (2448, 3264)
"""Pixels of the photograph: 8 million, held upright."""

FOCAL = 26 / 36
"""Focal length to the frame's longer side: 26 mm on film 36 mm wide (common practice of phones)."""

TILT_DEG = 25.0
"""Largest."""

PRINT = 12.0
"""Pixels a mm of the sheet before it is photographed."""


def photographed(
    art: Art, rng: np.random.Generator, frame: Frame = FRAME, drawn: Drawn | None = None
) -> Aged:
    """Return a photograph, `frame` pixels, of a drawing on a sheet of exactly nominal size.

    `drawn` gives the light of a page from the coverage with ink, seen; without it the page is printed.
    """
    name = str(rng.choice(list(PAPERS)))
    size = PAPERS[name]
    matrix = _camera(size, frame, rng)
    corners = _seen(matrix, _corners(size))
    corner = ((art.size[0] - size[0]) / 2, (art.size[1] - size[1]) / 2)
    sheet = Sheet(name, size, corner, corners)
    page = drawn or (lambda cover: printed(cover, (244, 244, 242)))
    scene = _scene(page(_cover_seen(art, sheet, (matrix, frame))), sheet, frame, rng)
    white = np.array([1.0, rng.uniform(0.88, 1.0), rng.uniform(0.7, 1.0)], np.float32)
    pixels = _exposed(scene * _lamp(frame, rng)[..., None] * white, rng)
    return Aged(art, Placed(pixels, _nearest(corners, sheet)), 72, 85, camera=rng.random() < 0.5, sheet=sheet)


def _camera(size: tuple[float, float], frame: Frame, rng: np.random.Generator) -> Array:
    """Return the homography (3, 3) from sheet mm to art pixels: a pinhole over a tilted, rolled sheet."""
    focal = FOCAL * max(frame)
    tilt, towards = math.radians(rng.uniform(0, TILT_DEG)), rng.uniform(0, 2 * math.pi)
    axis = np.array([math.cos(towards), math.sin(towards), 0.0]) * tilt
    turn = cv2.Rodrigues(axis)[0] @ cv2.Rodrigues(np.array([0.0, 0.0, rng.normal(0, 0.05)]))[0]
    fill, aim = rng.uniform(0.75, 0.95), rng.uniform(-0.4, 0.4, 2)
    lens = np.array([[focal, 0, frame[0] / 2], [0, focal, frame[1] / 2], [0, 0, 1]])
    to_middle = np.array([[1, 0, -size[0] / 2], [0, 1, -size[1] / 2], [0, 0, 1]])
    place = np.array([0.0, 0.0, focal * size[1] / (fill * frame[1])])
    for _ in range(60):  # moved until the sheet fills that much of the frame, there
        matrix = lens @ np.column_stack([turn[:, 0], turn[:, 1], place]) @ to_middle
        corners = _seen(matrix, _corners(size))
        extent = np.ptp(corners, axis=0)
        target = np.array(frame) / 2 + (np.array(frame) - extent) * aim
        place[:2] += (target - (corners.min(axis=0) + corners.max(axis=0)) / 2) * place[2] / focal
        place *= float((extent / frame).max()) / fill
    return np.asarray(matrix)


def _corners(size: tuple[float, float]) -> Array:
    """Return a sheet's corners (4, 2), mm, clockwise from top left."""
    return np.array([(0, 0), (size[0], 0), size, (0, size[1])], float)


def _seen(matrix: Array, points: Array) -> Array:
    """Return points (n, 2) through a homography."""
    mapped = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(mapped[:, :2] / mapped[:, 2:])


def _nearest(corners: Array, sheet: Sheet) -> Array:
    """Return the map (2, 3) from art pixels to page mm that keeps angles and fits the corners best."""
    width, height = sheet.size
    target = np.array([(0, 0), (width, 0), (width, height), (0, height)], float) + sheet.corner
    z, w = (p[:, 0] + 1j * p[:, 1] for p in (corners - corners.mean(axis=0), target - target.mean(axis=0)))
    k = complex((np.conj(z) * w).sum() / (np.conj(z) * z).sum())
    turn = np.array([[k.real, -k.imag], [k.imag, k.real]])
    return np.column_stack([turn, target.mean(axis=0) - turn @ corners.mean(axis=0)])


def _cover_seen(art: Art, sheet: Sheet, view: tuple[Array, Frame]) -> Layer:
    """Return how much of each pixel of the photograph (H, W) is inked, through a homography onto a frame."""
    matrix, frame = view
    half = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1]])
    warp = half @ matrix @ np.diag([1 / PRINT, 1 / PRINT, 1]) @ np.linalg.inv(half)
    ink = cv2.warpPerspective(_printout(art, sheet), warp, frame, flags=cv2.INTER_LINEAR)
    return ink.astype(np.float32) / 255


def _scene(drawn: Layer, sheet: Sheet, frame: Frame, rng: np.random.Generator) -> Layer:
    """Return the light (H, W, 3) that sheet and table throw back; `drawn` is that of the page, endless."""
    page = SHEEN + (1 - SHEEN) * drawn
    on = _covered(sheet.corners_px, frame)
    under = 1 - 0.5 * cv2.GaussianBlur(np.roll(on, (5, 4), (0, 1)), (0, 0), 9)  # the shadow beside the sheet
    return page * on[..., None] + _table(frame, rng) * (under * (1 - on))[..., None]


def _covered(corners: Array, frame: Frame) -> Layer:
    """Return how much of each pixel (H, W) a sheet covers, by its distance from the edges.

    The drawing library's filled polygons are up to a pixel too large.
    """
    x, y = (np.arange(n, dtype=np.float32) + np.float32(0.5) for n in frame)
    inside = np.full(frame[::-1], np.inf, np.float32)
    for (ax, ay), (bx, by) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        nx, ny = np.array([ay - by, bx - ax]) / math.hypot(bx - ax, by - ay)
        np.minimum(inside, (x - ax)[None] * nx + ((y - ay) * ny)[:, None], out=inside)
    return np.clip(inside + 0.5, 0, 1)


def _printout(art: Art, sheet: Sheet) -> NDArray[np.uint8]:
    """Return how much of each pixel of the sheet (H, W), `PRINT` to a mm, is inked, 0 to 255."""
    paths = "".join(f'<path d="{d}"/>' for d in art.paths)
    move = f"translate({-sheet.corner[0]:.6f} {-sheet.corner[1]:.6f})"
    moved = f'<g transform="{move}" stroke-width="{art.pen:.5f}">{paths}</g>'
    return cv2.GaussianBlur(255 - painted(moved, sheet.size, 1 / PRINT), (0, 0), 0.04 * PRINT)


def _table(frame: Frame, rng: np.random.Generator) -> Layer:
    """Return the light (H, W, 3) of the table: wood, dark cloth or grey cloth."""
    width, height = frame[0] // 2, frame[1] // 2
    kind = rng.integers(3)
    if kind == 0:
        light = light_of(np.clip(wooden_table(width, height, rng), 0, 255))
    else:
        weave = 1 + 0.15 * clouds((height, width), rng, 1.0) + 0.08 * clouds((height, width), rng, 30.0)
        light = light_of((35, 38, 48) if kind == 1 else (128, 126, 122)) * np.clip(weave, 0.3, 2)[..., None]
    return np.asarray(cv2.resize(light, frame, interpolation=cv2.INTER_LINEAR), np.float32)


def _lamp(frame: Frame, rng: np.random.Generator) -> Layer:
    """Return the light (H, W) that falls on the table: a lamp, and often a shadow with an edge."""
    width, height = frame
    y, x = np.mgrid[0:height:2, 0:width:2].astype(np.float32) / np.float32(max(frame))
    spot = rng.uniform(0.1, 0.7, 2)
    light = 1 / (1 + rng.uniform(0.4, 1.8) * ((x - spot[0]) ** 2 + (y - spot[1]) ** 2))
    if rng.random() < 0.75:
        angle, soft = rng.uniform(0, 2 * math.pi), math.exp(rng.uniform(math.log(0.0015), math.log(0.04)))
        place = rng.uniform(0.25, 0.75, 2) * frame / max(frame)
        side = (x - place[0]) * math.cos(angle) + (y - place[1]) * math.sin(angle)
        if rng.random() < 0.5:  # the shadow of a phone: a corner
            side = np.minimum(side, (y - place[1]) * math.cos(angle) - (x - place[0]) * math.sin(angle))
        light = light * (1 - rng.uniform(0.3, 0.6) / (1 + np.exp(-np.clip(4 * side / soft, -40, 40))))
    return np.asarray(cv2.resize(light, frame, interpolation=cv2.INTER_LINEAR), np.float32)


def _exposed(light: Layer, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Return what the phone stores: lens, exposure on the paper, shot noise, 12 bits, sharpening."""
    blurred = cv2.GaussianBlur(light, (0, 0), rng.uniform(0.7, 1.1))
    exposed = blurred * np.float32(rng.uniform(0.75, 0.95) / np.quantile(blurred[::8, ::8], 0.98))
    noise = np.float32(rng.uniform(0.01, 0.025)) * rng.standard_normal(light.shape, np.float32)
    counts = np.clip((exposed + np.sqrt(exposed + 0.002) * noise) * 4095, 0, 4095).astype(np.uint16)
    tone = (greys_of(np.arange(4096) / 4095) + 0.5).astype(np.uint8)[counts]
    return cv2.addWeighted(tone, 1.4, cv2.GaussianBlur(tone, (0, 0), 1.5), -0.4, 0)
