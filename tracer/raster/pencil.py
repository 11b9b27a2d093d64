"""Pencil lines made whole: broken by the paper's tooth, they are smoothed along their own direction."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.binarize import Darkness, depths, ridge_widths
from tracer.raster.flow import flow_of
from tracer.raster.grid import coarser, widest_line
from tracer.raster.stretch import histogram, quantile

Layer = NDArray[np.float32]

MARK, FULL = 64, 200
"""Darkness, of 255, from which on something is drawn, and from which on it is as dark as ink."""

GREY = 0.5
"""Part of what is drawn that is greyer than ink from which on the page may be pencil.

A sharp pen's lines have greys at their edges only; where they are 2 px wide that is nearly half.
"""

INSIDE, EDGE_PX = 0.1, 5
"""The same of what lies inside, away from the edges of what is drawn: pens leave a fiftieth grey there, a
pencil that the camera saw each grain of a third. The square that it is eroded by, pixels.
"""

GRAINY, BROKEN, APART = 0.05, 0.2, 0.6
"""Usual departure from the mean along a line, in parts of it, of pencil, of pencil broken by the tooth,
and of what is no line: letters or hatching that ran together.

A scanner's noise is a fortieth of full darkness; where bumps of which some are bare spread evenly
from 0 to the whole, the departure is a quarter of their range, half of their mean.
"""

STEPS = 0.4
"""Departure that the pixels' own steps leave along a line a pixel wide; it falls as the line is wider."""

BLURS = (0.7, 1.0, 1.4, 2.0, 2.8, 4.0, 5.6)
"""Blurs, sigma in pixels, of which one closes the paper's tooth."""

MERGED = 3.5
"""Blurs that a line is wide at the least: a single crumb is 2.35 wide at half its height (a Gaussian's)."""

_PIXELS = 2_000_000
"""Pixels of the picture in which the pen's width is measured."""

_TILE, _TILES = 24, 6
"""Pen widths of the squares, and how many of them, in which it is seen whether lines are rough."""

_ACROSS = 5.0
"""Pixels that a pen's line is wide where it is smoothed, at the least if it is wider in the picture."""

EVENED = (0.4, 0.4)
BRIDGED = (0.4, 0.55, 0.8, 1.1)
"""Pen widths to either side from which a line takes its darkness, one after the other.

Together bells of sigma 0.46 and 1.2 pen widths: the tooth's gaps are a pen's width long at the most.
"""

PRESSED = 0.22
"""Part of the usual darkness of lines below which a line is not made darker."""

BESIDE, HALO = 2.5, 0.25
"""Pen widths beside a line within which less than this part of its darkness is the average's own halo: along
a bend it lies on the tangent.
"""

LETTING_UP, GAP = 0.5, 2.0
"""Part of a line's mean darkness down to which it is whole, and pen widths over which it may be less."""


def whole_lines(darkness: Darkness) -> Darkness:
    """Return `darkness` (H, W) with the lines of a pencil whole and evenly dark; that of pens as it is.

    Along a line graphite is averaged. Where the tooth breaks lines it is also divided by
    the darkness of the line's own middle: drawn with little pressure it is then as dark as others.
    """
    if not _greyish(darkness):
        return darkness
    seen = max(1.5, _width_at(darkness, BLURS[0]))
    if _roughness(darkness, seen) < max(GRAINY, STEPS / seen):
        return darkness
    pen = pen_width(darkness)
    rough = _roughness(darkness, pen)
    if rough > APART:
        return darkness
    grain = max(1, int(pen / _ACROSS))
    smooth = _bridged if rough > BROKEN else _evened
    whole = smooth(coarser(darkness, grain), pen / grain)
    if grain == 1:
        return whole
    size = darkness.shape[1], darkness.shape[0]
    return np.asarray(cv2.resize(whole, size, interpolation=cv2.INTER_LINEAR), np.uint8)


def _greyish(darkness: Darkness) -> bool:
    """Say whether most of what is drawn, or enough of its inside, is greyer than ink."""
    counts = histogram(darkness)
    drawn = float(counts[MARK:].sum())
    if not drawn or float(counts[MARK:FULL].sum()) > GREY * drawn:
        return drawn > 0
    mask = cv2.threshold(darkness, MARK, 255, cv2.THRESH_BINARY)[1]
    inside = cv2.erode(mask, np.ones((EDGE_PX, EDGE_PX), np.uint8))
    within = cv2.calcHist([darkness], [0], np.asarray(inside, np.uint8), [256], [0, 256])
    return float(within[:FULL].sum()) > INSIDE * float(within.sum())


def pen_width(darkness: Darkness) -> float:
    """Return the width in pixels of lines that may be broken into crumbs; `darkness` is (H, W).

    Blurred more and more, crumbs grow together to a line that is far wider than the blur.
    The strongest blur of which that is true is taken.
    """
    grain = max(1, round((darkness.size / _PIXELS) ** 0.5))
    small = coarser(darkness, grain)
    for blur in reversed(BLURS):
        width = _width_at(small, blur)
        if width >= MERGED * blur:
            break
    return float(max(width, 1.0) * grain)


def _width_at(darkness: Darkness, blur: float) -> float:
    """Return the usual width of what is drawn, in pixels, after a blur."""
    blurred = cv2.GaussianBlur(darkness, (0, 0), blur)
    counts = cv2.calcHist([blurred], [0], None, [256], [0, 256]).ravel()
    counts[: MARK // 2 + 1] = 0
    if not counts.any():
        return 0.0
    mask = cv2.threshold(blurred, 0.4 * quantile(counts, 0.9), 1, cv2.THRESH_BINARY)[1]
    widths = ridge_widths(depths(np.asarray(mask, np.uint8)))
    lines = widths[widths <= widest_line(darkness.shape)]
    return float(np.median(lines)) if len(lines) else 0.0


def _roughness(darkness: Darkness, pen: float) -> float:
    """Return how much lines depart from their mean along them, in parts of it, where most is grey."""
    found = []
    for tile in _greyest(darkness, max(128, round(_TILE * pen))):
        flow = flow_of(tile, pen)
        if not len(flow.index):
            continue
        smooth = flow.along(tile.astype(np.float32), BRIDGED[:3])
        across = flow.darkest_across(smooth)
        plain, mean = tile.ravel()[flow.index].astype(np.float32), smooth.ravel()[flow.index]
        middle = (mean > 0.85 * across) & (mean > MARK)
        if np.count_nonzero(middle) > pen:
            found.append(float(np.median(np.abs(plain - mean)[middle] / mean[middle])))
    return float(np.median(found)) if found else 0.0


def _greyest(darkness: Darkness, side: int) -> list[Darkness]:
    """Return the squares of a picture that hold most grey."""
    height, width = darkness.shape
    tiles = [
        darkness[y : y + side, x : x + side]
        for y in range(0, max(1, height - side // 2), side)
        for x in range(0, max(1, width - side // 2), side)
    ]
    return sorted(tiles, key=lambda tile: -np.count_nonzero((tile > MARK) & (tile < FULL)))[:_TILES]


def _evened(darkness: Darkness, pen: float) -> Darkness:
    """Return darkness (H, W) averaged a little along its lines: their edges are less ragged."""
    flow = flow_of(darkness, pen)
    smooth = flow.along(_blurred(darkness, max(0.5, 0.1 * pen)), EVENED)
    return _grey(255 / _usual(flow.darkest_across(smooth)) * smooth)


def _bridged(darkness: Darkness, pen: float) -> Darkness:
    """Return darkness (H, W) averaged along its lines, divided by their own; LEVEL is their edge."""
    flow = flow_of(darkness, pen)
    plain = _blurred(darkness, max(0.5, 0.15 * pen))
    smooth = flow.along(plain, BRIDGED)
    darkest = flow.darkest_across(smooth)
    own = _blurred(flow.spread(darkest), 0.3 * pen)
    ends = flow.between(flow.along(plain, EVENED[:1]), GAP)
    whole = np.minimum(smooth, ends / LETTING_UP) / np.maximum(own, PRESSED * _usual(darkest))
    round_about = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(BESIDE * pen) + 1,) * 2)
    whole[smooth < HALO * cv2.dilate(smooth, round_about)] = 0
    return _grey(255 * whole)


def _usual(darkest: Layer) -> float:
    """Return the usual darkness of lines, of what is darkest across (n,)."""
    lines = darkest[darkest > MARK]
    return float(np.median(lines)) if len(lines) else 255.0


def _blurred(layer: Layer | Darkness, sigma: float) -> Layer:
    """Return a picture (H, W), blurred by `sigma` pixels."""
    return np.asarray(cv2.GaussianBlur(layer.astype(np.float32), (0, 0), sigma), np.float32)


def _grey(layer: Layer) -> Darkness:
    """Return a picture (H, W) in whole greys."""
    return np.asarray(np.clip(np.round(layer), 0, 255), np.uint8)
