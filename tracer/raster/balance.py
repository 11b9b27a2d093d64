"""The light on a coloured page: measured where there is bare paper, divided out of each channel."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.cells import celled, disc

Grey = NDArray[np.uint8]
Cells = NDArray[np.float32]

PAPER = 250
"""Grey of the paper afterwards: a little is left for what is brighter."""

_CELL = 8
"""Pixels to a cell."""

_REACH = 11
"""Cells that a closing bridges: wider than any line, narrower than lamp fall-off."""

_TINTED = 0.1
"""Part by which the darkest channel of bare paper may stay behind its lightest: no light is white."""

_SHADED = 0.75
"""Part of the brightest paper round about below which a place is not bare paper but coloured in grey."""

_WIDE = 8
"""The paper round about: this part of the picture's shorter side to each side."""

_BLURS, _SMOOTH = (9, 55, 221), 2.0
"""Cells over which light is averaged, the wider only where the narrower see no paper; then it is smoothed."""


def balanced(colour: Grey) -> list[Grey]:
    """Return the three channels (H, W) of a picture (H, W, 3), each divided by the light on the paper."""
    light = _light_on(celled(colour, _CELL))
    channels = []
    for k in range(3):
        channel = np.asarray(cv2.extractChannel(colour, k), np.uint8)
        lit = cv2.resize(np.ascontiguousarray(light[..., k]), channel.shape[::-1])
        channels.append(np.asarray(cv2.divide(channel, lit, dst=lit, scale=PAPER), np.uint8))
    return channels


def _light_on(small: Grey) -> Grey:
    """Return the light (h, w, 3) on the paper of a small picture: from bare paper, smoothly over the rest."""
    near = np.asarray(cv2.morphologyEx(small, cv2.MORPH_CLOSE, disc(_REACH)), np.float32)
    white = white_of(near)
    bare = _bare(near, white, small)
    light = np.zeros(near.shape, np.float32)
    seen = np.zeros(bare.shape, np.float32)
    paper = near * bare[..., None]
    for k, wide in enumerate(_BLURS):
        weight = 100.0**-k
        light += weight * cv2.blur(paper, (wide, wide))
        seen += weight * cv2.blur(bare, (wide, wide))
    light = np.asarray(cv2.GaussianBlur(light, (0, 0), _SMOOTH), np.float32)
    seen = np.asarray(cv2.GaussianBlur(seen, (0, 0), _SMOOTH), np.float32)
    known = seen > 1e-7
    light = np.where(known[..., None], light / np.maximum(seen, 1e-7)[..., None], white)
    return np.asarray(np.clip(light, 1, 255), np.uint8)


def _bare(near: Cells, white: Cells, small: Grey) -> Cells:
    """Return 1 for cells (h, w) of bare paper: as white as paper, and as bright as what lies round about."""
    channels = near / white
    tinted = channels.min(axis=2) < (1 - _TINTED) * channels.max(axis=2)
    wide = 2 * (min(tinted.shape) // _WIDE) + _REACH
    far = cv2.morphologyEx(small.max(axis=2), cv2.MORPH_CLOSE, np.ones((wide, wide), np.uint8))
    shaded = near.max(axis=2) < _SHADED * far
    stained = cv2.dilate((tinted | shaded).astype(np.uint8), disc(5))
    return np.asarray(1 - stained, np.float32)


def white_of(picture: NDArray[np.uint8] | Cells) -> Cells:
    """Return the paper's colour (3,): the usual one among the quarter of a picture that is brightest."""
    picture = picture[::2, ::2]
    darkest = np.minimum(np.minimum(picture[..., 0], picture[..., 1]), picture[..., 2])
    bright = picture[darkest >= np.percentile(darkest, 75)]
    return np.asarray(np.maximum(np.median(bright, axis=0), 1), np.float32)
