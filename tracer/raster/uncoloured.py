"""A coloured page in one grey channel: drawn lines of any hue dark, colouring left out and listed."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.raster.balance import PAPER, balanced
from tracer.raster.binarize import depths, ridge_widths
from tracer.raster.cells import celled, closed, darkest_of, disc, lightest_of, widened
from tracer.raster.colour import CHROMA, black_ink, line_colours
from tracer.raster.colouring import without_colouring
from tracer.raster.stretch import histogram

Grey = NDArray[np.uint8]
Mask = NDArray[np.uint8]

_ACROSS = 500
"""Cells across a picture's shorter side on which hues are looked at: a pen is some cells wide."""

_BLACK = 0.1
"""Black ink there is, of all that is black or coloured, where the lines are black."""

_ALIKE = 2.0
"""Times the usual width that a line is wide where two meet, and no more."""

_SCRAPS = 0.02
"""Part of all that is coloured below which a hue is an accident of the camera or the JPEG."""

_FIRST = 0.02
"""Part of all that is darker than half the paper that is surely ink."""

_NEARLY_BLACK = 0.3
"""Part of the way from ink to paper below which ridges are measured for the pen's width."""

_LARGE = 1600
"""Pixels of the shorter side from which on half of them are enough to measure the pen."""

_SOFT = 1.5
"""Pixels by which lines are wider half way to the paper: twice half a sigma of the usual blur."""

_BESIDE, _ENOUGH = 7, 0.2
"""Cells across of what is not looked at about colouring, and part of what is black that must be left then."""

_WIDEST = 1 / 25
"""Part of the picture's shorter side that no pen is wide."""


def ink_alone(colour: Grey) -> tuple[Grey, list[Mend], Mask | None]:
    """Return the ink of a picture (H, W, 3) as grey (H, W) on paper of 250, and the areas left out.

    The third is 1 in these areas, lines in pale ones excluded, in cells (h, w); None where there are none.

    Black ink is dark in every channel, colouring is bright in at least one: the lightest channel tells
    them apart. A coloured line is dark in its darkest channel, which is taken where hues are drawn.
    """
    channels = balanced(colour)
    lightest, darkest = lightest_of(channels), darkest_of(channels)
    drawn, filled = _drawn_and_filled(channels, lightest, darkest)
    grey = lightest.copy()
    if drawn.any():
        cv2.copyTo(darkest, _fitted(widened(drawn, 3), grey.shape), grey)
    if not filled.any():
        return grey, [], None
    black, pen = _black_and_pen(grey, filled)
    cleared, covered, cell = without_colouring(grey, channels, pen, black)
    covered |= _fitted(filled, covered.shape)
    return cleared, _areas(covered, pen, cell), covered


def _drawn_and_filled(channels: list[Grey], lightest: Grey, darkest: Grey) -> tuple[Mask, Mask]:
    """Return the cells (h, w) whose colour is drawn, and those whose is coloured in."""
    cell = max(1, round(min(lightest.shape) / _ACROSS))
    top, low = celled(lightest, cell), celled(darkest, cell)
    black = black_ink(top, low)
    coloured = (top - low > CHROMA).astype(np.uint8)
    pen = _pen_of_all(closed(black | coloured, disc(3)))  # where black turns to a hue it is neither
    if not pen and cv2.countNonZero(black) > _BLACK * cv2.countNonZero(coloured):
        pen = float(np.median(ridge_widths(depths(black))))
    drawn, filled = line_colours(np.dstack([celled(channel, cell) for channel in channels]), pen)
    if cv2.countNonZero(filled) < _SCRAPS * cv2.countNonZero(coloured):
        filled[:] = 0
    return drawn, filled


def _pen_of_all(ink: Mask) -> float:
    """Return the pen's width in cells where all ink (h, w), black or coloured, is lines of one pen; else 0.

    The dark middle of a violet line passes for black, and is much narrower than the pen.
    """
    widths = ridge_widths(depths(ink))
    if not len(widths):
        return 0.0
    usual, wide = np.percentile(widths, [50, 95])
    return float(usual) if wide < _ALIKE * usual and usual < _WIDEST * min(ink.shape) else 0.0


def _fitted(cells: Mask, shape: tuple[int, ...]) -> Mask:
    """Return cells (h, w) at a finer or other size."""
    return np.asarray(cv2.resize(cells, shape[::-1], interpolation=cv2.INTER_NEAREST), np.uint8)


def _black_and_pen(grey: Grey, filled: Mask) -> tuple[float, float]:
    """Return the darkest grey that is no accident, and the width of the lines in pixels.

    Widths count where their middles lie clear of what is coloured in, cells (h, w), if enough lines do.
    """
    dark = np.cumsum(histogram(grey)[: PAPER // 2 + 1])
    ink = int(np.searchsorted(dark, dark[-1] * _FIRST))
    times = 2 if min(grey.shape) > _LARGE else 1
    small = cv2.blur(grey, (3, 3)) if times == 1 else celled(grey, times)
    bound = ink + _NEARLY_BLACK * (PAPER - ink)
    black = (small <= bound).astype(np.uint8)
    bare = 1 - _fitted(widened(filled, _BESIDE), black.shape)
    if cv2.countNonZero(black & bare) <= _ENOUGH * cv2.countNonZero(black):
        bare[:] = 1
    widths = times * ridge_widths(depths(black), bare)
    most = min(grey.shape) * _WIDEST
    widths = np.sort(widths[(widths > 2.5) & (widths < 2 * most)] + np.float32(_SOFT))
    if not len(widths):
        return float(ink), 3.0
    middle = np.searchsorted(np.cumsum(widths), widths.sum() / 2)
    return float(ink), float(np.clip(widths[middle], 3, most))


def _areas(covered: Mask, pen: float, cell: int) -> list[Mend]:
    """Return the coloured areas, the largest first, each as a Mend at its middle."""
    whole = closed(covered, disc(2 * pen / cell))
    count, _, stats, middles = cv2.connectedComponentsWithStats(whole, connectivity=8)
    order = sorted(range(1, count), key=lambda k: -int(stats[k, cv2.CC_STAT_AREA]))
    least = 4 * (pen / cell) ** 2
    return [_mend(stats[k], middles[k], cell) for k in order if stats[k, cv2.CC_STAT_AREA] >= least]


def _mend(box: NDArray[np.int32], middle: NDArray[np.float64], cell: int) -> Mend:
    """Describe one area by its bounding box and its middle in cells, in art pixels."""
    x, y = ((middle + 0.5) * cell).tolist()
    extent = max(box[cv2.CC_STAT_WIDTH], box[cv2.CC_STAT_HEIGHT]) * cell
    return Mend("colouring left out", x, y, float(extent))
