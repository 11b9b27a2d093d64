"""Printed screens: areas of fine dots are greyed out, so that they are shade and not ten thousand dots."""

import math
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.raster.lanes import Grey, darkest_of

Flags = NDArray[np.bool_]

STEP = 24
"""Greys between neighbouring pixels that are an edge."""

CELL = 32
"""Pixels of the cells in which edges are counted."""

DENSE = 0.3
"""Part of a cell's pixels that lie on edges from which on it may be full of dots."""

SOME = 0.004
"""Part of the page that is dense from which on it is looked at."""

TILE, TILES = 64, 48
"""Pixels of the tiles that are transformed, and how many."""

COARSEST_MM = 0.5
"""Largest distance of dots, mm: a screen of 50 lines an inch (newsprint has 65 and more, common practice)."""

COARSEST = 6.0
"""The same in pixels, where nobody knows how large a pixel is."""

PEAK = 25.0
"""Times the usual power that a screen's wave has."""

BLUR = 0.5
"""Distances of dots by which they are blurred: what is left of their wave is exp(-2 (pi BLUR)^2) = 0.7 %."""

SCATTERED = 2.0
"""Times their distance that scattered dots are taken to be apart: they come in clumps."""

FEW = 4
"""Cells that an area covers at the least to be told of."""

DOTS = 0.35
"""Part of the dark pixels of scattered dots that an opening leaves at the most."""


def may_be_screened(grey: Grey) -> bool:
    """Say whether some of a page (H, W) is dense with edges; every fourth row is looked at."""
    return bool((_edges(grey) > DENSE).mean() > SOME)


def without_screen(channels: Sequence[Grey], mm_per_px: float | None) -> tuple[list[Grey], list[Mend]]:
    """Return even channels (H, W) with the dots of screens averaged, and a Mend for each area.

    Dots in rows are found by the wave of their Fourier transform, scattered ones by their
    size. Lines over them keep their places. Limits: lines hardly wider than the distance of
    the dots fade; dots further apart than COARSEST_MM are no screen.
    """
    channels = list(channels)
    page = darkest_of(channels)
    across = _edges(np.ascontiguousarray(page.T)).T
    cells = np.asarray((_edges(page) > DENSE) & (across > DENSE), np.bool_)
    coarsest = COARSEST if mm_per_px is None else max(COARSEST_MM / mm_per_px, 2.5)
    apart = _apart(page, cells, coarsest) if cells.mean() > SOME else 0.0
    if not apart:
        return channels, []
    square = np.ones((3, 3), np.uint8)
    area = np.asarray(cv2.morphologyEx(cells.astype(np.uint8), cv2.MORPH_CLOSE, square), np.uint8)
    whole = cv2.resize(255 * cv2.dilate(area, square), page.shape[::-1])
    weight = np.asarray(cv2.blur(whole, (CELL | 1, CELL | 1)), np.uint8)
    return [_averaged(channel, weight, BLUR * apart) for channel in channels], _mends(area, page.shape)


def _edges(grey: Grey) -> NDArray[np.float32]:
    """Return what part of each cell (h, w) of a page (H, W) lies on edges along its rows."""
    height, width = (max(1, n // CELL) for n in grey.shape)
    rows = grey[: height * CELL : 4]
    edge = cv2.threshold(cv2.absdiff(rows[:, 1:], rows[:, :-1]), STEP, 255, cv2.THRESH_BINARY)[1]
    edge = cv2.copyMakeBorder(edge, 0, 0, 0, 1, cv2.BORDER_REPLICATE)[:, : width * CELL]  # whole cells: quick
    part = cv2.resize(edge, (width, height), interpolation=cv2.INTER_AREA)
    return np.asarray(part, np.float32) / np.float32(255)


def _apart(page: Grey, cells: Flags, coarsest: float) -> float:
    """Return how far apart the dots in dense cells are, in pixels; 0 where they are no screen."""
    corners = np.argwhere(cells) * CELL
    corners = corners[np.linspace(0, len(corners) - 1, min(len(corners), TILES)).astype(int)]
    corners = np.clip(corners, 0, np.array(page.shape) - TILE)
    if (corners < 0).any():
        return 0.0
    tiles = np.stack([page[y : y + TILE, x : x + TILE] for y, x in corners])
    return _in_rows(tiles, coarsest) or _scattered(tiles, coarsest)


def _in_rows(tiles: Grey, coarsest: float) -> float:
    """Return how far apart the dots in tiles (n, TILE, TILE) are where they stand in rows, else 0."""
    flat = tiles - tiles.mean(axis=(1, 2), keepdims=True)
    waves = np.abs(np.fft.fft2(flat * np.outer(np.hanning(TILE), np.hanning(TILE)))) ** 2
    power = np.median(waves, axis=0)  # lines are in some tiles, the screen is in all
    turns = np.fft.fftfreq(TILE)
    often = np.hypot(turns[:, None], turns[None])
    fine = often > 1 / coarsest
    down, right = np.unravel_index(int(np.argmax(np.where(fine, power, 0))), power.shape)
    wave = float(power[down, right])
    coarse = power[(often > 3 / TILE) & ~fine].max(initial=0.0)  # of drawn grids: these were overtones
    if wave < max(PEAK * float(np.median(power[fine])), coarse):
        return 0.0
    return 1 / float(often[down, right])


def _scattered(tiles: Grey, coarsest: float) -> float:
    """Return how far apart scattered dots in tiles (n, TILE, TILE) are, 0 where dark is not in dots."""
    dark = np.hstack(list((tiles < 128).astype(np.uint8)))
    size = max(3, round(coarsest * 0.6) | 1)
    left = cv2.countNonZero(cv2.morphologyEx(dark, cv2.MORPH_OPEN, np.ones((size, size), np.uint8)))
    if left > DOTS * cv2.countNonZero(dark):
        return 0.0
    count = cv2.connectedComponents(dark, connectivity=4)[0] - 1
    apart = math.sqrt(dark.size / max(count, 1))
    return SCATTERED * apart if apart < 2 * coarsest else 0.0


def _averaged(channel: Grey, weight: Grey, blur: float) -> Grey:
    """Return a channel blurred where `weight` (H, W) is 255, as it is where it is 0."""
    smooth = cv2.GaussianBlur(channel, (0, 0), blur)
    part = weight.astype(np.float32) / 255
    return np.asarray(cv2.blendLinear(smooth, channel, part, 1 - part), np.uint8)


def _mends(area: Grey, shape: tuple[int, ...]) -> list[Mend]:
    """Describe each area, known in cells (h, w), in pixels of a page (H, W)."""
    high, wide = shape[0] / area.shape[0], shape[1] / area.shape[1]
    boxes = cv2.connectedComponentsWithStats(area, connectivity=8)[2][1:]
    return [
        Mend("screen left out", (x + w / 2) * wide, (y + h / 2) * high, float(max(w * wide, h * high)))
        for x, y, w, h, count in boxes.tolist()
        if count >= FEW
    ]
