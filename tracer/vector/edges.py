"""Edges of solids, to a fraction of a pixel."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.samples import Samples, evenly, smoothed

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Outline:
    """The outline of one solid: samples of its outer edge, then of its holes."""

    outer: Samples
    inner: tuple[Samples, ...]


def outlines(ink: Ink) -> list[Outline]:
    """Return the outlines of all solids, where the darkness crosses the ink's level (ink pixels).

    Lines that run into a solid are cut off where the raster stage told them apart.
    """
    count, label, boxes, _ = cv2.connectedComponentsWithStats(ink.solid.astype(np.uint8), connectivity=8)
    found = []
    for k in range(1, count):
        x, y, width, height, _ = boxes[k]
        x0, y0 = max(0, x - 3), max(0, y - 3)
        window = np.s_[y0 : y + height + 3, x0 : x + width + 3]
        field = _field(ink, window, label[window] == k)
        rings = [ring[:, ::-1] - 0.5 + (x0, y0) for ring in _contours(field, ink.level)]
        rings = sorted((r for r in rings if len(r) > 8), key=lambda ring: -abs(_area(ring)))
        least = ink.line_width**2 / 4
        samples = [_samples(r) for n, r in enumerate(rings) if n == 0 or abs(_area(r)) > least]
        if samples:
            found.append(Outline(samples[0], tuple(samples[1:])))
    return found


def _contours(field: NDArray[np.float32], level: float) -> list[Array]:
    """Return the closed contours (m, 2), rows (row, column), where the field crosses the level."""
    from skimage.measure import find_contours

    rings: list[Array] = find_contours(field, level)  # type: ignore[no-untyped-call]  # the package ships no types
    return rings


def _field(ink: Ink, window: tuple[slice, slice], body: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Return the darkness round one solid, with paper where lines and other ink are, padded by one pixel."""
    near = cv2.dilate(body.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    foreign = (ink.line[window] | ink.solid[window]) & ~body
    field = np.where(near & ~foreign, ink.darkness[window] / 255, 0).astype(np.float32)
    field[body] = np.maximum(field[body], ink.level + 1e-3)
    return np.pad(field, 1)


def _samples(ring: Array) -> Samples:
    """Return a closed ring of contour points as smooth samples."""
    points = evenly(smoothed(evenly(ring), 1.0, closed=True))
    return Samples(points, np.zeros(len(points)), np.ones(len(points), bool), closed=True)


def _area(ring: Array) -> float:
    """Return the signed area of a closed polygon."""
    x, y = ring.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
