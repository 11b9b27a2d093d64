"""The direction of lines everywhere on a page, and looks along and across it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Layer = NDArray[np.float32]
Column = NDArray[np.float32]

FINE, WIDE = 0.45, 1.0
"""Pen widths: sigma of the blur before second derivatives are taken, and of their mean round about."""

CROSSED, STRAIGHT = 0.3, 0.7
"""Length of the mean of all directions round about where they are of two lines, and of one."""

REACH = 0.9
"""Pen widths across a line within which its middle lies."""

_LOOKS = 3
"""Looks to each side over a distance of about a pen's width."""

_NEAR = 16
"""Darkness, of 255, that blurred by half a pen's width is near a line."""

_COLUMNS = 512
"""Places to a row of the sampler's maps: it addresses no more than 32 767 rows."""


@dataclass(frozen=True, eq=False)
class Flow:
    """The direction of lines at the pixels near them.

    Attributes
    ----------
    shape : (H, W) of the picture.
    index : (n,) flat indices of those pixels.
    x, y : (n,) their places, counted from the middle of the first pixel.
    along_x, along_y : (n,) direction along the line, of length one.
    trust : (n,) how sure the direction is, 0 (lines cross) to 1.
    pen : width of lines in pixels.
    """

    shape: tuple[int, int]
    index: NDArray[np.intp]
    x: Column
    y: Column
    along_x: Column
    along_y: Column
    trust: Column
    pen: float

    def along(self, picture: Layer, strides: tuple[float, ...]) -> Layer:
        """Return a picture (H, W) averaged along its lines; strides are in pen widths. 0 far from lines."""
        for stride in strides:
            reach = stride * self.trust
            both = self._at(picture, along=reach) + self._at(picture, along=-reach)
            picture = self.spread(
                np.asarray((picture.ravel()[self.index] + both) / np.float32(3), np.float32)
            )
        return picture

    def darkest_across(self, picture: Layer) -> Column:
        """Return (n,) the darkest place of a picture (H, W) across a line, within about its width."""
        darkest = picture.ravel()[self.index]
        for k in range(1, _LOOKS + 1):
            for across in (-REACH * k / _LOOKS, REACH * k / _LOOKS):
                darkest = np.maximum(darkest, self._at(picture, across=across))
        return darkest

    def between(self, picture: Layer, reach: float) -> Layer:
        """Return a picture (H, W) closed along its lines: as dark as what lies ahead and behind is.

        Gaps up to `reach` pen widths are closed; a line's end stays where it is.
        """
        ahead = behind = picture.ravel()[self.index]
        for step in np.linspace(reach / 4, reach, 4):
            ahead = np.maximum(ahead, self._at(picture, along=float(step)))
            behind = np.maximum(behind, self._at(picture, along=-float(step)))
        return self.spread(np.minimum(ahead, behind))

    def spread(self, values: Column) -> Layer:
        """Return values (n,) as a picture (H, W), 0 far from lines."""
        picture = np.zeros(self.shape, np.float32)
        picture.ravel()[self.index] = values
        return picture

    def _at(self, picture: Layer, *, along: Column | float = 0.0, across: float = 0.0) -> Column:
        """Return the values (n,) of a picture at places shifted by so many pen widths."""
        u, v = along * np.float32(self.pen), np.float32(across * self.pen)
        return sampled(
            picture,
            self.x + u * self.along_x - v * self.along_y,
            self.y + u * self.along_y + v * self.along_x,
        )


def flow_of(darkness: NDArray[np.uint8], pen: float) -> Flow:
    """Return the direction of the lines, `pen` pixels wide, of `darkness` (H, W).

    Across a line the darkness bends most: the mean of that direction, as an angle doubled
    and weighted by how much it bends, is little moved by grain (second derivatives: Steger
    1998; doubled angles: Knutsson, Granlund 1983). Square roots make faint lines count.
    """
    root = np.sqrt(255 * cv2.subtract(darkness, np.full(1, _NEAR, np.uint8)).astype(np.float32))
    blurred = cv2.GaussianBlur(root, (0, 0), max(1.0, FINE * pen))
    xx, yy, xy = (cv2.Sobel(blurred, cv2.CV_32F, dx, dy, ksize=3) for dx, dy in ((2, 0), (0, 2), (1, 1)))
    ridge = np.maximum(-(xx + yy), 0)
    bends = yy - xx, -2 * xy
    across = [cv2.GaussianBlur(part * ridge, (0, 0), WIDE * pen) for part in bends]
    all_bends = cv2.GaussianBlur(np.hypot(*bends) * ridge, (0, 0), WIDE * pen)
    near = cv2.GaussianBlur(darkness, (0, 0), max(1.0, 0.5 * pen)) > _NEAR
    side = 2 * round(pen) + 1
    index = np.flatnonzero(cv2.dilate(near.view(np.uint8), np.ones((side, side), np.uint8)))
    cos, sin = (part.ravel()[index] for part in across)
    angle = np.arctan2(sin, cos) / 2
    one = np.hypot(cos, sin) / np.maximum(all_bends.ravel()[index], 1e-3)
    row, column = np.divmod(index, darkness.shape[1])
    return Flow(
        shape=(darkness.shape[0], darkness.shape[1]),
        index=index,
        x=column.astype(np.float32),
        y=row.astype(np.float32),
        along_x=-np.sin(angle),
        along_y=np.cos(angle),
        trust=np.clip((one - CROSSED) / (STRAIGHT - CROSSED), 0, 1),
        pen=pen,
    )


def sampled(picture: Layer, x: Column, y: Column) -> Column:
    """Return a picture's values (n,) at places x, y (n,), by bilinear interpolation.

    Places are counted from the middle of the first pixel.
    """
    if not len(x):
        return x
    maps = np.zeros((2, -(-len(x) // _COLUMNS), _COLUMNS), np.float32)
    for whole, part in zip(maps.reshape(2, -1), (x, y), strict=True):
        whole[: len(x)] = part
    found = cv2.remap(picture, maps[0], maps[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(found.ravel()[: len(x)], np.float32)
