"""Faint lines beside black ones: each is ink by the half of its own darkness, not of its neighbour's."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.scan import Scan
from tracer.raster.binarize import LEVEL, Darkness, Mask, ink_mask
from tracer.raster.flow import sampled
from tracer.raster.glance import glance
from tracer.raster.parts import Parts, parts_of
from tracer.raster.stretch import quantile

Layer = NDArray[np.float32]
Flags = NDArray[np.bool_]
Places = NDArray[np.intp]
Window = tuple[slice, slice]

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
    """Return `levelled` (H, W) with the faint lines of `plain` (H, W) lost in it, itself where none are.

    From each pixel that is darker than paper the way up leads to the middle of its own
    line, without a valley in between: by the darkness there it is divided. What is found
    is kept where it is a line: darker than both its sides, and long. `line_width` is in pixels.
    """
    if not _seen(plain, line_width):
        return levelled
    smooth = np.asarray(cv2.GaussianBlur(plain, (0, 0), _BLUR), np.uint8)
    floor = _floor(smooth)
    pale = cv2.bitwise_and(_upto(smooth, BLACK), _upto(levelled, BLACK))
    near = np.flatnonzero(pale.view(bool) & (smooth > int(floor / 2)))
    top = _climbed(smooth, near, line_width)
    faint = (top > floor) & (top < 255 * BLACK)
    raised = _raised(near[faint], top[faint], plain, levelled, line_width)
    found = levelled if raised is None else np.asarray(cv2.max(levelled, raised), np.uint8)
    return _joined(found, plain, raised, line_width)


def _seen(darkness: Darkness, line_width: float) -> bool:
    """Say, on a picture of half the size, whether it has faint ridges away from black ink and its blur.

    A faint line may be fine, or half as wide again as the black ones are.
    """
    small = np.asarray(cv2.resize(darkness, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA), np.uint8)
    black = cv2.dilate(cv2.inRange(small, 255 * LEVEL, 255), _square(1))
    faint = cv2.subtract(cv2.inRange(small, 255 * FAINTEST * 0.7, 255 * LEVEL), black)
    few = FEW * small.size
    if cv2.countNonZero(faint) <= few:
        return False
    at = np.flatnonzero(faint.view(bool))
    above = np.maximum.reduce([_prominence(small, at, reach) for reach in (2, 1 + round(line_width / 2))])
    return cv2.countNonZero(cv2.inRange(above[:, None], 255 * FAINTEST * 0.7, 255)) > few


def _prominence(darkness: Darkness, at: Places, reach: int) -> Darkness:
    """Return by how much some pixels (n,) of (H, W) are darker than both of two opposite pixels, at best."""
    height, width = darkness.shape
    row, column = np.divmod(at, width)
    up, down = (width * np.clip(row + far, 0, height - 1) for far in (-reach, reach))
    left, right = (np.clip(column + far, 0, width - 1) for far in (-reach, reach))
    ways = (up + column, down + column), (at - column + left, at - column + right), (up + left, down + right)
    flat = darkness.ravel()
    lowest = np.full(len(at), 255, np.uint8)
    for one, other in (*ways, (up + right, down + left)):
        np.minimum(lowest, np.maximum(flat[one], flat[other]), out=lowest)
    own = flat[at]
    return own - np.minimum(own, lowest)


def _floor(smooth: Darkness) -> float:
    """Return the darkness that a line has at the least, well over the paper's noise.

    Paper brighter than usual is cut off at 0: three quarters of it are paler than 0.67 sigma.
    """
    counts = cv2.calcHist([np.ascontiguousarray(smooth[::3])], [0], None, [256], [0, 256]).ravel()
    counts[int(255 * LEVEL / 2) + 1 :] = 0
    sigma = quantile(counts, 0.75) / 0.67 if counts.any() else 0.0
    return float(max(255 * FAINTEST, _NOISE * sigma))


def _climbed(smooth: Darkness, near: Places, line_width: float) -> Layer:
    """Return the darkness (n,) at the top of the way up from each of the pixels `near` (n,), up to BLACK."""
    layer = smooth.astype(np.float32)
    slopes = [slope.astype(np.float32) for slope in cv2.spatialGradient(smooth)]
    row, column = np.divmod(near, smooth.shape[1])
    x, y = column.astype(np.float32), row.astype(np.float32)
    top = smooth.ravel()[near].astype(np.float32)
    best, going = top, np.arange(len(near))
    for _ in range(round((line_width + 2) / _STEP)):
        u, v = (sampled(slope, x, y) for slope in slopes)
        size = np.maximum(np.hypot(u, v), 1e-3)
        x = np.add(x, np.float32(_STEP) * u / size, dtype=np.float32)
        y = np.add(y, np.float32(_STEP) * v / size, dtype=np.float32)
        here = sampled(layer, x, y)
        up = (here > best + 0.25) & (here < 255 * BLACK)
        best = np.maximum(best, here)
        top[going] = best
        x, y, best, going = (part.compress(up) for part in (x, y, best, going))
        if not len(going):
            break
    return top


def _raised(
    near: Places, top: Layer, plain: Darkness, levelled: Darkness, line_width: float
) -> Darkness | None:
    """Return the darkness (H, W) of those pixels `near` (n,) that are lines, by that of their middles."""
    window = _window(near, plain.shape, LONG * line_width, BLOCK + round(line_width) + 3)
    if window is None:
        return None
    tops = np.zeros(plain.shape, np.float32)
    tops.ravel()[near] = top
    page, around = (np.ascontiguousarray(layer[window]) for layer in (plain, levelled))
    own = _spread(np.ascontiguousarray(tops[window]))
    raised = np.minimum(page * np.float32(255) / np.maximum(own, 1), 255 * (own > 0)).astype(np.uint8)
    parts = parts_of(ink_mask(raised))
    good = _long(parts, own, page, around, line_width)
    if not good.any():
        return None
    good &= _sharp(parts, raised, own, page=page, plain=plain)
    lines = cv2.dilate(parts.where(good).view(np.uint8), _square(2))
    whole = np.zeros_like(plain)
    whole[window] = raised * lines
    return whole if lines.any() else None


def _window(at: Places, shape: tuple[int, ...], least: float, margin: int) -> Window | None:
    """Return the window of a picture (H, W) round connected pixels `at` (n,) longer than so many."""
    mask = np.zeros(shape, np.uint8)
    mask.ravel()[at] = 1
    outlines = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)[0]
    boxes = np.array([cv2.boundingRect(outline) for outline in outlines]).reshape(-1, 4)
    long = boxes[np.hypot(*boxes[:, 2:].T) > least]
    if not len(long):
        return None
    left, top = np.maximum(long[:, :2].min(axis=0) - margin, 0)
    right, bottom = (long[:, :2] + long[:, 2:]).max(axis=0) + margin
    return np.s_[top:bottom, left:right]


def _spread(tops: Layer) -> Layer:
    """Return the darkness (H, W) of the middles that pixels belong to, smoothed, 0 where there are none."""
    seen = (tops > 0).astype(np.float32)
    total = cv2.blur(tops, (5, 5)) / np.maximum(cv2.blur(seen, (5, 5)), 1e-3)
    return np.asarray(total * seen, np.float32)


def _long(parts: Parts, own: Layer, plain: Darkness, levelled: Darkness, line_width: float) -> Flags:
    """Return which parts (n,) of what was raised are long, and darker than both their sides."""
    length = np.hypot(*parts.boxes[:, 2:].T)
    length[0] = 0
    good = np.asarray(length > LONG * line_width, np.bool_)
    if not good.any():
        return good
    reaches = {2 + round(part * line_width) for part in (0, 0.25, 0.5, 1)}
    above = np.maximum.reduce([_prominence(plain, parts.at, reach) for reach in reaches])
    ridges = np.bincount(parts.of[above > FALLS * own.ravel()[parts.at]], minlength=parts.count)
    black = cv2.dilate(ink_mask(levelled), _square(BLOCK)).ravel()[parts.at]
    beside = np.bincount(parts.of[black > 0], minlength=parts.count) > 0.5 * parts.area
    good &= length > np.where(beside, RIPPLE, LONG) * line_width
    return good & (ridges > RIDGE * parts.area)


def _sharp(parts: Parts, raised: Darkness, own: Layer, *, page: Darkness, plain: Darkness) -> Flags:
    """Return which parts (n,) of what was raised (h, w) on a window of `plain` (H, W) are as sharp as ink."""
    ink = _edges(plain)
    if not ink.any():
        return np.ones(parts.count, bool)
    edge = _edges(raised)
    of = parts.label[edge]
    rise = np.bincount(of, _steepness(page, edge) / own[edge], minlength=parts.count)
    sharp = SHARP * float(np.median(_steepness(plain, ink))) / 255
    return np.asarray(rise >= sharp * np.bincount(of, minlength=parts.count), np.bool_)


def _joined(found: Darkness, plain: Darkness, raised: Darkness | None, line_width: float) -> Darkness:
    """Return what was found (H, W), some of it raised, with each faint line led on to the black it runs into.

    Within a line's width of black ink the black is the darkest near by, and the faint line is lost. What
    lies on its way there is as dark as the line; the blur of black alone has a valley before the line.
    """
    ink = ink_mask(found)
    beside = cv2.dilate(1 - _upto(plain, BLACK), _square(_SKIRT))
    faint = _large(ink & (1 - np.asarray(beside, np.uint8)), line_width)
    if raised is not None:
        faint |= ink & ink_mask(raised)
    black = ink & ~faint
    if not cv2.countNonZero(faint) or not cv2.countNonZero(black):
        return found
    steps = _SKIRT + round(line_width)
    left, top, width, height = cv2.boundingRect(faint)
    near = steps + 3
    window = np.s_[max(0, top - near) : top + height + near, max(0, left - near) : left + width + near]
    found = found.copy()
    _lead_on(found[window], plain[window], faint[window], black[window], steps)
    return found


def _lead_on(found: Darkness, plain: Darkness, faint: Mask, black: Mask, steps: int) -> None:
    """Darken, in place, what lies between faint and black lines (H, W) up to so many pixels apart."""
    near = cv2.dilate(cv2.blur(plain, (5, 5)) * faint, _square(steps))
    way = ((plain > JOINED * near) & (near > 0)).astype(np.uint8)
    cross = cv2.getStructuringElement(cv2.MORPH_CROSS, (3, 3))
    reached = faint
    for _ in range(steps):
        reached = np.asarray(cv2.bitwise_and(cv2.dilate(reached, cross), way), np.uint8)
    parts = parts_of(reached & ~(faint | black))
    joins = np.ones(parts.count, bool)
    for side in (faint, black):
        touched = np.zeros(parts.count, bool)
        touched[parts.label[cv2.dilate(side, cross).view(bool)]] = True
        joins &= touched
    joins[0] = False
    gap = parts.where(joins)
    found[gap] = np.minimum(plain[gap] * np.float32(255) / near[gap], 255).astype(np.uint8)


def _large(ink: Mask, line_width: float) -> Mask:
    """Return the connected parts of ink as large as a line is wide: the tip of a black corner is no line."""
    if cv2.countNonZero(ink) < line_width**2:
        return np.zeros_like(ink)
    parts = parts_of(ink)
    return parts.where(parts.area >= line_width**2).view(np.uint8)


def _square(reach: int) -> NDArray[np.uint8]:
    """Return the square of all pixels within so many of one."""
    return np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)


def _upto(darkness: Darkness, part: float) -> Mask:
    """Return 1 where it is no darker (H, W) than a part of full darkness, 0 elsewhere."""
    return np.asarray(cv2.threshold(darkness, 255 * part, 1, cv2.THRESH_BINARY_INV)[1], np.uint8)


def _edges(darkness: Darkness) -> Flags:
    """Return where ink (H, W) is no darker than its edge."""
    edges: Flags = (ink_mask(darkness) & _upto(darkness, _EDGE)).view(bool)
    return edges


def _steepness(darkness: Darkness, where: Flags) -> Layer:
    """Return how much the darkness changes from pixel to pixel, at some of its pixels."""
    slopes = (cv2.Sobel(darkness, cv2.CV_16S, *way)[where].astype(np.float32) / 8 for way in ((1, 0), (0, 1)))
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
