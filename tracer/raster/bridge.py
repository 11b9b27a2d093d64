"""A gap closed: ink drawn across it as wide, as dark and as bent as the lines on either side."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.raster.binarize import depths
from tracer.raster.gap_search import Gap

Array = NDArray[np.float64]

_SPACING = 0.4
"""Ink pixels between the discs that a bridge is drawn with."""


def bridge(ink: Ink, gap: Gap) -> None:
    """Draw ink across a gap into the darkness, line mask, depths and skeleton of `ink`, in place."""
    way, width, dark = _way(gap)
    _darken(ink, way, width / 2, dark)
    low, high = _window(way, width.max() / 2 + 2, ink.line.shape)
    inside = np.s_[low[1] : high[1], low[0] : high[0]]
    centres = np.stack(np.meshgrid(*(np.arange(a, b) + 0.5 for a, b in zip(low, high, strict=True))), axis=-1)
    away = np.hypot(*np.moveaxis(centres[:, :, None] - way, 3, 0)) - width / 2
    ink.line[inside] |= (away.min(axis=2) <= 0) & ~ink.solid[inside]
    _deepen(ink, low, high, float(width.max()))
    _join(ink, gap, way)


def _way(gap: Gap) -> tuple[Array, Array, Array]:
    """Return the middle (m, 2) of a bridge in ink pixels, its width and its darkness there.

    Between two ends it is the cubic that leaves and arrives in their directions (Hermite).
    """
    one = gap.one
    if gap.other is None:
        assert gap.side is not None
        goal = one.points + (gap.side + 0.5 - one.points) @ one.headings * one.headings
        leaves = arrives = goal - one.points
        widths, darks = (float(one.widths),) * 2, (float(one.inks),) * 2
    else:
        goal = gap.other.points
        apart = np.hypot(*(goal - one.points))
        leaves, arrives = apart * one.headings, -apart * gap.other.headings
        widths = float(one.widths), float(gap.other.widths)
        darks = float(one.inks), float(gap.other.inks)
    t = np.linspace(0, 1, 2 + round(float(np.hypot(*(goal - one.points))) / _SPACING))
    basis = np.stack([2 * t**3 - 3 * t**2 + 1, t**3 - 2 * t**2 + t, 3 * t**2 - 2 * t**3, t**3 - t**2])
    way = basis.T @ np.stack([one.points, leaves, goal, arrives])
    return way, np.interp(t, [0, 1], widths), np.interp(t, [0, 1], darks)


def _darken(ink: Ink, way: Array, radius: Array, dark: Array) -> None:
    """Draw the bridge into the darkness, its edge a pixel of that soft."""
    fine = way * ink.grain
    low, high = _window(fine, radius.max() * ink.grain + 2, ink.darkness.shape)
    centres = np.stack(np.meshgrid(*(np.arange(a, b) + 0.5 for a, b in zip(low, high, strict=True))), axis=-1)
    away = np.hypot(*np.moveaxis(centres[:, :, None] - fine, 3, 0))
    drawn = (dark * np.clip(radius * ink.grain - away + 0.5, 0, 1)).max(axis=2)
    part = ink.darkness[low[1] : high[1], low[0] : high[0]]
    np.maximum(part, np.round(drawn).astype(np.uint8), out=part)


def _deepen(ink: Ink, low: NDArray[np.intp], high: NDArray[np.intp], width: float) -> None:
    """Measure the depth of the ink in a window again; ink only became deeper."""
    height, across = ink.line.shape
    more = int(2 * width) + 2
    x0, y0 = np.maximum(low - more, 0).tolist()
    x1, y1 = np.minimum(high + more, (across, height)).tolist()
    whole = (ink.line[y0:y1, x0:x1] | ink.solid[y0:y1, x0:x1]).astype(np.uint8)
    new = depths(whole)[low[1] - y0 : high[1] - y0, low[0] - x0 : high[0] - x0]
    part = ink.radius[low[1] : high[1], low[0] : high[0]]
    line = ink.line[low[1] : high[1], low[0] : high[0]]
    part[line] = np.maximum(part, new)[line]


def _join(ink: Ink, gap: Gap, way: Array) -> None:
    """Draw the middle of the bridge into the skeleton, no thicker than that is."""
    height, across = ink.skeleton.shape
    pixels = [gap.one.before, gap.one.pixels]
    pixels += list(np.clip(np.floor(way[1:-1]).astype(np.intp), 0, (across - 1, height - 1)))
    if gap.other is None:
        assert gap.side is not None
        pixels.append(gap.side)
    else:
        pixels += [gap.other.pixels, gap.other.before]
    path = _thin_path([(int(x), int(y)) for x, y in pixels])
    chain = np.array(path, np.int32).reshape(-1, 1, 2)
    for x, y in (gap.one.pixels.tolist(), *([gap.other.pixels.tolist()] if gap.other is not None else [])):
        ink.skeleton[y, x] = False
    drawn = cv2.polylines(ink.skeleton.view(np.uint8), [chain], isClosed=False, color=1, thickness=1)
    assert drawn is not None


def _thin_path(pixels: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return a path of pixels without repetitions and corners that can be cut."""
    path: list[tuple[int, int]] = []
    for pixel in pixels:
        while path and path[-1] == pixel:
            path.pop()
        while len(path) > 1 and max(abs(path[-2][0] - pixel[0]), abs(path[-2][1] - pixel[1])) <= 1:
            path.pop()
        path.append(pixel)
    return path


def _window(
    points: Array, margin: float, shape: tuple[int, ...]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the corners (x, y) of the window of a picture that holds points (m, 2) with a margin."""
    low = np.maximum(np.floor(points.min(axis=0) - margin), 0).astype(np.intp)
    high = np.minimum(np.ceil(points.max(axis=0) + margin) + 1, shape[::-1]).astype(np.intp)
    return low, high
