"""Ink that runs along the picture's border: parted from it, so that its middle is that of what is seen.

A line that crosses the border ends there: its ink is taken to go on beyond. Of one along
the border, a frame cut by the scanner or a picture cropped to its frame, that must not be
believed, or its middle would be the border itself.
"""

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend

Mask = NDArray[np.uint8]

ALONG = 4.2
"""Line widths of ink along the border from which it does not cross: one at 15 degrees has 3.9."""

WIDEST = 2.4
"""Line widths of what is no line, but a solid that the border cuts."""

SLIVER = 0.5
"""Line widths of ink along the border that are less than half a line: its middle is outside."""

BLURRED = 2.0
"""Rims up to which what begins at the border is no drawing but a blurred shadow: 2 mm from a sheet's edge."""


def part_from_border(mask: Mask, darkness: Mask, pen: float, zoom: float, rim: int = 0) -> list[Mend]:
    """Take away, in place, the outermost ink of lines along the border; slivers go whole and are listed.

    `mask` (H, W) and the finer `darkness` (H * n, W * n); `pen` is in pixels of the mask,
    of which there are `zoom` to an art pixel. What is no thicker than a `rim` of art pixels that only
    repeats what lies within it is a sliver, too.
    """
    least = max(SLIVER * pen, BLURRED * rim * zoom)
    grain = darkness.shape[0] // mask.shape[0]
    far = int(max(WIDEST * pen, least)) + 2
    ends = int(least) if rim else 0
    mends = []
    for quarter in range(4):
        side, fine = np.rot90(mask, quarter), np.rot90(darkness, quarter)
        for start, end in list(_runs(side[0], ALONG * pen)):
            near = side[:far, start:end]
            thick = np.where(near.all(axis=0), len(near), near.argmin(axis=0)).astype(np.float32)
            if np.median(thick) > max(WIDEST * pen, least):
                continue
            sliver = cv2.blur(thick[None], (2 * round(pen) + 1, 1))[0] < least
            gone = (np.arange(len(near))[:, None] <= thick) & sliver
            near[gone] = 0
            near[0] = 0
            fine[: len(near) * grain, start * grain : end * grain][gone.repeat(grain, 0).repeat(grain, 1)] = 0
            fine[0, start * grain : end * grain] = 0
            if sliver.all():
                _take_away(side, fine, slice(max(0, start - ends), end + ends), int(thick.max()) + 1)
                x, y = unturned((start + end) / 2, float(thick.mean()) / 2, quarter, mask.shape)
                mends.append(Mend("shadow left out", x / zoom, y / zoom, (end - start) / zoom))
    return mends


def _take_away(side: Mask, fine: Mask, run: slice, deep: int) -> None:
    """Take away, in place, the ink of a run along the first rows of a mask, `deep` px, and its darkness."""
    grain = fine.shape[0] // side.shape[0]
    side[:deep, run] = 0
    fine[: deep * grain, run.start * grain : run.stop * grain] = 0


def _runs(row: Mask, least: float) -> Iterator[tuple[int, int]]:
    """Return where ink runs along a row (W,), begin and end, longer than `least`."""
    change = np.flatnonzero(np.diff(np.concatenate([[0], row, [0]]).astype(np.int8)))
    for start, end in change.reshape(-1, 2).tolist():
        if end - start > least:
            yield start, end


def unturned(x: float, y: float, quarter: int, shape: tuple[int, ...]) -> tuple[float, float]:
    """Return where a place of the picture turned by so many quarters (numpy's rot90) is in the picture."""
    height, width = shape
    return [(x, y), (width - y, x), (width - x, height - y), (y, height - x)][quarter]
