"""Whether something that is no paper lies all round a picture's rim: a quick look."""

import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]

_EVERY = 8
"""Every so many pixels are looked at."""

_DARKER = 0.8
"""Part of the paper's brightness below which a pixel is no paper."""

_ROUND = 0.8
"""Part of each side of the picture that must be no paper."""

_GRAIN = 0.25
"""Grey levels by which neighbours differ in a photo; drawn pictures are flat."""


def is_surrounded(picture: Picture) -> bool:
    """Say whether the rim of a picture (H, W[, 3]) is darker than its paper or coloured, and has grain."""
    some = picture[::_EVERY, ::_EVERY]
    bright = some if some.ndim == 2 else some.min(axis=2)
    paper = float(np.percentile(bright, 90))
    rims = [picture[1, ::_EVERY], picture[-2, ::_EVERY], picture[::_EVERY, 1], picture[::_EVERY, -2]]
    for rim in rims:
        tone = rim if rim.ndim == 1 else rim.min(axis=1)
        if np.mean(tone < _DARKER * paper) < _ROUND:
            return False
    beside = [picture[1], picture[-2], picture[:, 1], picture[:, -2]]
    grain = [float(np.abs(np.diff(rim.astype(np.int16), axis=0)).mean()) for rim in beside]
    return float(np.mean(grain)) > _GRAIN
