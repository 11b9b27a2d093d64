"""Whether a picture is the photo of a sheet on something else: its rim has grain, and is no paper."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

_GRAIN = 0.25
"""Grey levels by which neighbours on the rim differ in a photo; drawn pictures are flat."""

_EVERY, _DARK = 8, 0.6
"""Every so many pixels are looked at, and the part of the paper's brightness below which a rim is dark."""

_WHITE = 0.97
"""Part of the brightest paper's brightness from which on a rim is as bright."""

_PLACES = 60
"""Places on each side of the rim that are looked at."""

_WITHIN = 0.03
"""Part of the way from an edge to the sheet's middle at which its paper is looked at."""

_DARKER = 0.96
"""Part of the paper's brightness near by below which the rim is no paper."""


def has_grain(picture: Picture) -> bool:
    """Say whether the rim of a picture (H, W[, 3]) is a photographed or scanned one: never flat."""
    rims = picture[1], picture[-2], picture[:, 1], picture[:, -2]
    return float(np.mean([np.abs(np.diff(rim.astype(np.int16), axis=0)).mean() for rim in rims])) > _GRAIN


def is_white_to_the_rim(picture: Picture) -> bool:
    """Say whether most of the rim of a picture (H, W[, 3]) is as bright as its paper: a quick look."""
    some = picture[::_EVERY, ::_EVERY]
    rim = np.concatenate([some[0], some[-1], some[:, 0], some[:, -1]])
    return float(np.mean(rim >= _WHITE * np.percentile(some, 95))) > 0.5


def has_dark_rim(picture: Picture) -> bool:
    """Say whether all sides of a picture (H, W[, 3]) are dark, as under a scanner's open lid."""
    some = picture[::_EVERY, ::_EVERY]
    paper = float(np.percentile(some, 90))
    rims = some[0], some[-1], some[:, 0], some[:, -1]
    return max(float(np.percentile(rim, 80)) for rim in rims) < _DARK * paper


def dark_rim(picture: Picture, corners: Array) -> float:
    """Return what part of a picture's rim is darker, or more coloured, than the paper of a sheet in it.

    Each place is held against the paper just inside the sheet's edge (corners (4, 2), art px) that lies
    nearest to it, for lamps fall off; a place that lies on the sheet does not count.
    """
    height, width = picture.shape[:2]
    x, y = np.linspace(2, width - 3, _PLACES), np.linspace(2, height - 3, _PLACES)
    rim = [(x, x * 0 + 2), (x, x * 0 + height - 3), (y * 0 + 2, y), (y * 0 + width - 3, y)]
    places = np.concatenate([np.column_stack(side) for side in rim])
    part = np.linspace(0.03, 0.97, 40)[:, None]
    edge = np.concatenate(
        [a + (b - a) * part for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    )
    inner = edge + (corners.mean(axis=0) - edge) * _WITHIN
    nearest = np.argmin(np.hypot(*(places[:, None] - inner[None]).transpose(2, 0, 1)), axis=1)
    paper = _bright(picture, inner)
    outside = ~_within(places, corners)
    near = np.array([np.percentile(paper[max(0, k - 8) : k + 9], 80) for k in range(len(paper))])
    darker = _bright(picture, places) < _DARKER * near[nearest]
    return float(darker[outside].mean()) if outside.any() else 0.0


def _bright(picture: Picture, points: Array) -> Array:
    """Return the mean darkest channel (n,) of 5 x 5 pixels at points (n, 2)."""
    height, width = picture.shape[:2]
    column = np.clip(points[:, 0], 2, width - 3).astype(np.intp)
    row = np.clip(points[:, 1], 2, height - 3).astype(np.intp)
    about = np.arange(-2, 3)
    block = picture[row[:, None, None] + about[:, None], column[:, None, None] + about]
    tones = block.reshape(len(points), 25, -1).mean(axis=1)
    return np.asarray(tones.min(axis=1), np.float64)


def _within(points: Array, corners: Array) -> NDArray[np.bool_]:
    """Say which points (n, 2) lie within a quad (4, 2), clockwise as seen."""
    inside = np.ones(len(points), bool)
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        along, apart = b - a, points - a
        inside &= along[0] * apart[:, 1] - along[1] * apart[:, 0] > 0
    return inside
