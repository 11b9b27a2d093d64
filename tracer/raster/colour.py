"""Whether a picture has colour at all, and which of its colours are drawn lines and which are coloured in."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.balance import PAPER, white_of
from tracer.raster.binarize import depths, ridge_widths
from tracer.raster.cells import closed, darkest_of, disc, lightest_of, opened, widened

Grey = NDArray[np.uint8]
Mask = NDArray[np.uint8]

TINTED = 0.16
"""Part by which the darkest channel stays behind the lightest from which on bright cells have a colour."""

_BRIGHT = 60
"""Grey of the lightest channel below which a cell's colour is not to be trusted."""

ANY = 3e-4
"""Part of the picture that has a colour from which on it is looked at more closely: a red line 30 mm
long on A4 is as much."""

CHROMA = 30
"""Difference between a cell's lightest and darkest channel, of PAPER, from which on it is coloured."""

_NEUTRAL, _DARK = 0.35, 0.6
"""Black and grey ink: no more than this part between its channels, and darker than this part of paper."""

_BINS = 36
"""Hues told apart."""

_WIDE = 2.5
"""Pens across from which on something is coloured in."""

_HATCHED = 1.6
"""Pens between strokes that are hatching together."""

_LONG = 6.0
"""Pens that what is drawn is long; colouring that shows between others comes in scraps."""

_SHARE = 0.25
"""Part of all ink of a hue that may be so wide when the hue is a line's all the same."""

_WIDEST = 1 / 30
"""Part of the picture's shorter side that no pen is wide: 7 mm on A4."""

_PALE, _OPEN, _LITTLE = 0.8, 0.25, 0.1
"""Part of the paper's grey from which on nothing is coloured in, part of the places beside a drawn line that
is so, and part of all that is coloured that two colours make where they lie over one another.
"""


def has_colour(colour: Grey) -> bool:
    """Tell whether there is anything but black, grey and paper in a picture (H, W, 3).

    What lies beside black does not count: lenses leave coloured fringes there.
    """
    small = _quarter(colour)
    white = white_of(small)
    even = [
        np.asarray(cv2.convertScaleAbs(cv2.extractChannel(small, k), alpha=PAPER / white[k]), np.uint8)
        for k in range(3)
    ]
    lightest = lightest_of(even)
    behind = cv2.subtract(cv2.convertScaleAbs(lightest, alpha=1 - TINTED), darkest_of(even))
    behind[widened((lightest < _BRIGHT).astype(np.uint8), 3) > 0] = 0
    return cv2.countNonZero(behind) > ANY * behind.size


def _quarter(colour: Grey) -> Grey:
    """Return a picture (H, W, 3) at a quarter of its size: halved twice, which is quick."""
    for _ in range(2):
        height, width = (max(2, n // 2 * 2) for n in colour.shape[:2])
        half = width // 2, height // 2
        colour = np.asarray(cv2.resize(colour[:height, :width], half, interpolation=cv2.INTER_AREA), np.uint8)
    return colour


def line_colours(cells: Grey, pen: float) -> tuple[Mask, Mask]:
    """Return where the cells (h, w, 3) have a colour that is drawn, and one that is coloured in, 0 or 1.

    Of each hue all ink counts together: drawn where nearly nothing of it is much wider than a pen, but
    for what two colours make where they lie over one another.
    `pen` is the width of the black lines in cells, 0 where there are none: then the usual width
    of the hue's own ink is taken.
    """
    channels = [np.ascontiguousarray(cells[..., k]) for k in range(3)]
    coloured = (lightest_of(channels) - darkest_of(channels) > CHROMA).astype(np.uint8)
    drawn = np.zeros_like(coloured)
    if coloured.any():
        hue = np.asarray(cv2.cvtColor(cells, cv2.COLOR_RGB2HSV_FULL), np.uint8)[..., 0]
        paper = (darkest_of(channels) > _PALE * PAPER).astype(np.uint8)
        for inside in _hues(hue, coloured):
            little = cv2.countNonZero(inside) < _LITTLE * cv2.countNonZero(coloured)
            if _is_thin(inside, pen) and not (little and _is_between(inside, paper, pen)):
                drawn |= inside
    return drawn, coloured & (1 - drawn)


def _hues(hue: Grey, coloured: Mask) -> list[Mask]:
    """Return the cells of each hue: around each peak of how often hues occur, up to the valleys."""
    bins = np.minimum(hue.astype(np.int32) * _BINS // 256, _BINS - 1)
    counts = np.bincount(bins[coloured > 0], minlength=_BINS).astype(np.float64)
    smooth = np.sum([w * np.roll(counts, s) for s, w in ((-2, 1), (-1, 2), (0, 3), (1, 2), (2, 1))], axis=0)
    steps = np.arange(_BINS)
    uphill = np.array([max((k, (k - 1) % _BINS, (k + 1) % _BINS), key=lambda b: smooth[b]) for k in steps])
    peak = uphill
    for _ in steps:
        peak = uphill[peak]
    return [((peak[bins] == top) & (coloured > 0)).astype(np.uint8) for top in np.unique(peak[counts > 0])]


def _is_thin(inside: Mask, pen: float) -> bool:
    """Tell whether nearly all of a hue's cells (h, w) are about as wide as a pen, and most in long lines."""
    widths = ridge_widths(depths(inside))
    most = min(inside.shape) * _WIDEST
    pen = pen or float(np.clip(np.median(widths), 1, most))
    filled = closed(inside, disc(_HATCHED * pen))
    core = widened(opened(filled, disc(_WIDE * pen + 1)), 3)
    stats = cv2.connectedComponentsWithStats(filled)[2][1:]
    extents = stats[:, [cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT]].max(axis=1)
    areas = stats[:, cv2.CC_STAT_AREA]
    long = areas[extents >= _LONG * pen].sum() > areas.sum() / 2
    return bool(long and cv2.countNonZero(core & inside) < _SHARE * cv2.countNonZero(inside))


def _is_between(inside: Mask, paper: Mask, pen: float) -> bool:
    """Tell whether a hue's cells (h, w) lie between others: hardly any paper (h, w) is beside them."""
    beside = widened(inside, 2 * max(1, round(pen)) + 1) & (1 - inside)
    return cv2.countNonZero(beside & paper) < _OPEN * cv2.countNonZero(beside)


def black_ink(lightest: Grey, darkest: Grey) -> Mask:
    """Return 1 for cells (h, w) of black or grey ink by their lightest and darkest channels."""
    top = lightest.astype(np.float32)
    return ((top < _DARK * PAPER) & (top - darkest < _NEUTRAL * top + 8)).astype(np.uint8)
