"""Marks to ink: our own rasterizer, drawn several times too large and averaged down."""

from __future__ import annotations

from collections.abc import Iterable

import cv2
import numpy as np
from numpy.typing import NDArray

from sample_art.curves import flat
from sample_art.scene import Mark

_SHIFT = 4


def ink(
    marks: Iterable[Mark], size_px: tuple[int, int], mm_per_px: float, *, finer: int
) -> NDArray[np.float32]:
    """Coverage (H, W) 0..1 of the page by ink; `size_px` is (width, height), `finer` the oversampling.

    Pixel (row r, column c) stands for the square around ((c + 0.5), (r + 0.5)) * mm_per_px.
    """
    width, height = size_px
    canvas = np.zeros((height * finer, width * finer), np.uint8)
    scale = finer / mm_per_px
    for mark in marks:
        spots = np.round((flat(mark.curves, 0.1) * scale - 0.5) * (1 << _SHIFT)).astype(np.int32)
        if mark.kind == "solid":
            cv2.fillPoly(canvas, [spots], 255, shift=_SHIFT)
        elif mark.kind == "dot":
            radius = round(mark.width * scale / 2 * (1 << _SHIFT))
            cv2.circle(canvas, tuple(map(int, spots[0])), radius, 255, -1, shift=_SHIFT)
        else:
            cv2.polylines(
                canvas,
                [spots],
                isClosed=False,
                color=255,
                thickness=max(1, round(mark.width * scale)),
                shift=_SHIFT,
            )
    small = cv2.resize(canvas, (width, height), interpolation=cv2.INTER_AREA)
    return np.asarray(small / 255, dtype=np.float32)
