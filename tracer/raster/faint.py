"""Faint lines beside black ones: each is ink by the half of its own darkness, not of its neighbour's."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.scan import Scan
from tracer.raster.binarize import LEVEL, Darkness
from tracer.raster.flow import sampled
from tracer.raster.glance import glance

Layer = NDArray[np.float32]
Flags = NDArray[np.bool_]
Places = NDArray[np.intp]

FAINTEST = 0.08
"""Part of full darkness that a line has at the least: 0.15 of it on 2 pixels, blurred by a pixel, is 0.1."""

BLACK = 0.75
"""Part of full darkness from which on ink needs no help."""

FALLS = 0.35
"""Part of its darkness that a line is darker than what lies on both sides of it."""

RIDGE = 0.3
"""Part of a line's pixels of which that is true."""

SHARP = 0.5
"""Sharpness of a line's edges, in parts of black ink's: what shows through from the back is blurred."""

TINT, TINTED = 30, 0.002
"""Difference between the channels, of 255, over the paper's, and the part of a picture that has it."""

JOINED = 0.8
"""Part of a faint line's darkness that there is on its way into black ink."""

LONG = 3.0
"""Line widths that a faint line is long at the least: a pale dot is dust."""

RIPPLE, BLOCK = 6.0, 8
"""The same within so many pixels of black ink: there a JPEG has ripples, but block by block (ISO 10918-1)."""

FEW = 1e-4
"""Part of the picture's pixels that must be on faint lines for them to be looked for."""

_NOISE = 6.0
"""Sigmas of the paper's noise, blurred, that a line is darker than paper at the least."""

_SKIRT = 4
"""Pixels round black ink that its own blur darkens."""

_EDGE = 0.75
"""Part of full darkness up to which ink is an edge's."""

_SIDE = 300
"""Pixels of the longer side on which colours are looked for."""

_BLUR, _STEP = 0.7, 0.7
"""Pixels: sigma before the way up to a line's middle is looked for, and the length of its steps."""


def with_faint(plain: Darkness, levelled: Darkness, line_width: float) -> Darkness:
    """Return `levelled` (H, W) with the faint lines of `plain` (H, W) that are lost in it.

    From each pixel that is darker than paper the way up leads to the middle of its own
    line, without a valley in between: by the darkness there it is divided. What is found
    is kept where it is a line: darker than both its sides, and long. `line_width` is in pixels.
    """
    if not _seen(plain):
        return levelled
    smooth = np.asarray(cv2.GaussianBlur(plain, (0, 0), _BLUR), np.uint8)
    floor = _floor(smooth)
    near = np.flatnonzero((smooth > floor / 2) & (levelled < 255 * BLACK))
    if not len(near):
        return levelled
    top = _climbed(smooth, near, line_width)
    faint = (top > floor) & (top < 255 * BLACK)
    own = _spread(near[faint], top[faint], plain.shape)
    raised = np.minimum(plain * np.float32(255) / np.maximum(own, 1), 255 * (own > 0)).astype(np.uint8)
    raised[~_lines(raised, own, plain, black=levelled > 255 * LEVEL, line_width=line_width)] = 0
    found = np.asarray(cv2.max(levelled, raised), np.uint8)
    return _joined(found, plain, raised > 255 * LEVEL, line_width)


def _seen(darkness: Darkness) -> bool:
    """Say, on a picture of half the size, whether it has faint ridges away from black ink and its blur."""
    small = cv2.resize(darkness, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    ridge = cv2.inRange(_prominence(np.asarray(small, np.uint8), 2), 255 * FAINTEST * 0.7, 255 * BLACK)
    faint = cv2.bitwise_and(ridge, cv2.inRange(small, 255 * FAINTEST * 0.7, 255 * LEVEL))
    black = cv2.dilate(cv2.inRange(small, 255 * LEVEL, 255), _square(1))
    return cv2.countNonZero(cv2.subtract(faint, black)) > FEW * small.size


def _prominence(darkness: Darkness, reach: int) -> Darkness:
    """Return by how much each pixel (H, W) is darker than both of two opposite pixels, at best."""
    height, width = darkness.shape
    wide = cv2.copyMakeBorder(darkness, reach, reach, reach, reach, cv2.BORDER_REPLICATE)
    lowest = np.full_like(darkness, 255)
    for down, across in ((0, reach), (reach, 0), (reach, reach), (reach, -reach)):
        one = wide[reach + down : reach + down + height, reach + across : reach + across + width]
        other = wide[reach - down : reach - down + height, reach - across : reach - across + width]
        cv2.min(lowest, cv2.max(one, other), dst=lowest)
    return np.asarray(cv2.subtract(darkness, lowest), np.uint8)


def _floor(smooth: Darkness) -> float:
    """Return the darkness that a line has at the least, well over the paper's noise.

    Paper brighter than usual is cut off at 0: three quarters of it are paler than 0.67 sigma.
    """
    some = np.ascontiguousarray(smooth[::3])
    paper = some[some < 255 * LEVEL / 2]
    sigma = float(np.percentile(paper, 75)) / 0.67 if len(paper) else 0.0
    return max(255 * FAINTEST, _NOISE * sigma)


def _climbed(smooth: Darkness, near: Places, line_width: float) -> Layer:
    """Return the darkness (n,) at the top of the way up from each of the pixels `near` (n,)."""
    layer = smooth.astype(np.float32)
    slopes = [np.asarray(cv2.Sobel(layer, cv2.CV_32F, *way), np.float32) for way in ((1, 0), (0, 1))]
    row, column = np.divmod(near, smooth.shape[1])
    x, y = column.astype(np.float32), row.astype(np.float32)
    top = layer.ravel()[near]
    going = np.arange(len(near))
    for _ in range(round((line_width + 2) / _STEP)):
        u, v = (sampled(slope, x[going], y[going]) for slope in slopes)
        size = np.maximum(np.hypot(u, v), 1e-3)
        x[going] += np.float32(_STEP) * u / size
        y[going] += np.float32(_STEP) * v / size
        here = sampled(layer, x[going], y[going])
        up = here > top[going] + 0.25
        top[going] = np.maximum(top[going], here)
        going = going[up]
        if not len(going):
            break
    return top


def _spread(near: Places, top: Layer, shape: tuple[int, ...]) -> Layer:
    """Return the darkness (H, W) of the middles that pixels belong to, smoothed, 0 where there are none."""
    own, seen = np.zeros(shape, np.float32), np.zeros(shape, np.float32)
    own.ravel()[near], seen.ravel()[near] = top, 1
    total = cv2.blur(own, (5, 5)) / np.maximum(cv2.blur(seen, (5, 5)), 1e-3)
    return np.asarray(total * seen, np.float32)


def _lines(raised: Darkness, own: Layer, plain: Darkness, *, black: Flags, line_width: float) -> Flags:
    """Return where what was raised (H, W) is a line: long, darker than both its sides, and sharp."""
    inside = raised > 255 * LEVEL
    count, label, stats, _ = cv2.connectedComponentsWithStats(inside.astype(np.uint8), connectivity=8)
    reaches = {2 + round(part * line_width) for part in (0, 0.25, 0.5, 1)}
    above = np.maximum.reduce([_prominence(plain, reach) for reach in reaches])
    ridges = np.bincount(label[inside & (above > FALLS * own)], minlength=count)
    length = np.hypot(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    area = stats[:, cv2.CC_STAT_AREA]
    block = np.ones((2 * BLOCK + 1, 2 * BLOCK + 1), np.uint8)
    beside = np.bincount(label[inside & (cv2.dilate(black.astype(np.uint8), block) > 0)], minlength=count)
    least = np.where(beside > 0.5 * area, RIPPLE, LONG) * line_width
    good = (length > least) & (ridges > RIDGE * area)
    edge = inside & (raised < 255 * _EDGE)
    ink = (plain > 255 * LEVEL) & (plain < 255 * _EDGE)
    rise = np.bincount(label[edge], _steepness(plain, edge) / own[edge], minlength=count)
    if ink.any():
        sharp = SHARP * float(np.median(_steepness(plain, ink))) / 255
        good &= rise >= sharp * np.bincount(label[edge], minlength=count)
    good[0] = False
    grown: Flags = cv2.dilate(good[label].astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    return grown


def _joined(found: Darkness, plain: Darkness, raised: Flags, line_width: float) -> Darkness:
    """Return what was found (H, W), some of it raised, with each faint line led on to the black it runs into.

    Within a line's width of black ink the black is the darkest near by, and the faint line is lost. What
    lies on its way there is as dark as the line; the blur of black alone has a valley before the line.
    """
    ink = found > 255 * LEVEL
    beside = cv2.dilate((plain >= 255 * BLACK).astype(np.uint8), _square(_SKIRT)) > 0
    faint = ink & (raised | _large(ink & ~beside, line_width))
    black = ink & ~faint
    if not faint.any() or not black.any():
        return found
    steps = _SKIRT + round(line_width)
    near = cv2.dilate(cv2.blur(plain, (5, 5)) * faint, _square(steps))
    way = ((plain > JOINED * near) & (near > 0)).astype(np.uint8)
    cross = cv2.getStructuringElement(cv2.MORPH_CROSS, (3, 3))
    reached = faint.astype(np.uint8)
    for _ in range(steps):
        reached = np.asarray(cv2.bitwise_and(cv2.dilate(reached, cross), way), np.uint8)
    count, label = cv2.connectedComponents(reached * ~ink, connectivity=8)
    joins = np.ones(count, bool)
    for side in (faint, black):
        touched = np.zeros(count, bool)
        touched[label[cv2.dilate(side.astype(np.uint8), cross) > 0]] = True
        joins &= touched
    joins[0] = False
    gap = joins[label]
    found = found.copy()
    found[gap] = np.minimum(plain[gap] * np.float32(255) / near[gap], 255).astype(np.uint8)
    return found


def _large(ink: Flags, line_width: float) -> Flags:
    """Return the connected parts of ink as large as a line is wide: the tip of a black corner is no line."""
    _, label, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    large: Flags = (stats[:, cv2.CC_STAT_AREA] >= line_width**2)[label]
    return large & ink


def _square(reach: int) -> NDArray[np.uint8]:
    """Return the square of all pixels within so many of one."""
    return np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)


def _steepness(darkness: Darkness, where: Flags) -> Layer:
    """Return how much the darkness changes from pixel to pixel, at some of its pixels."""
    slopes = (cv2.Sobel(darkness, cv2.CV_32F, dx, dy)[where] / 8 for dx, dy in ((1, 0), (0, 1)))
    return np.asarray(np.hypot(*slopes), np.float32)


def tinted(scan: Scan) -> bool:
    """Say whether a picture has coloured areas: what is faint there may be wax. Coloured lines are none."""
    if scan.colour is None:
        return False
    small = glance(scan.colour, _SIDE).astype(np.int16)
    chroma = small.max(axis=2) - small.min(axis=2)
    coloured = (chroma > np.median(chroma) + TINT).astype(np.uint8)
    areas = cv2.countNonZero(cv2.erode(coloured, np.ones((3, 3), np.uint8)))
    return bool(areas > TINTED * coloured.size)
