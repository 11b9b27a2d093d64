"""Lines told from solids: by how wide ink is, and by how long for its width."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.parts import parts_of

Mask = NDArray[np.uint8]
Flags = NDArray[np.bool_]
Depth = NDArray[np.float32]
Places = NDArray[np.intp]

WIDER = 2.4
"""Ink wider than this many pen lines is solid unless it is long: its middle means nothing."""

SWOLLEN = 1.5
"""Ink wider than this many pen lines belongs to the solid, or thick line, that it leads to."""

LONG = 4.0
"""A middle longer than this many of its own widths is that of a thick pen or of a line that swells."""

WIDEST = 3.0
"""Long ink mostly wider than this many pen lines is a stripe, unless it was drawn with a second pen."""

SECOND = 0.1
"""Part of the length of all lines that a second pen has at the least."""

STEADY = 0.35
"""Spread of eight tenths of a pen's widths, in parts of the usual one, at the most."""

BRUSH = 5.5
"""A middle longer than this many of its greatest widths can be a brush's."""

DEEP = 6.0
"""Pen lines that ink is deep from which on it is a solid whatever its length."""

DEEPEST = 40.0
"""Ink pixels of depth below which that is left open: an outline may be many hairlines wide."""

BEAD = 2.0
"""A part of a long middle, twice as deep as the rest, is a solid if it is not longer than this."""

STUB = 1.0
"""What sticks out of a solid by less than this many of its own widths belongs to it."""

HORN = 5.0
"""What sticks out by less than this many line widths, and runs out to a tip, belongs to it."""

THINS = 0.72
"""Mean width of ink that runs out to a tip, in parts of its greatest, at the most."""


def line_width_of(radii: Depth, widest: float) -> float:
    """Return the typical width of lines in pixels, from the depth (m,) of all ink's skeleton.

    Half of their length is wider: by length neither solids nor specks weigh much. A line
    2k or 2k - 1 pixels wide is k deep: the mean of the two is taken. What is wider than
    `widest` is no line, unless there is nothing else.
    """
    widths = 2 * radii - 0.5
    lines = widths[widths <= widest]
    return float(np.median(lines if len(lines) else widths))


def deep_mask(mask: Mask, depth: Depth, pen: float) -> Flags | None:
    """Return where ink (H, W) is part of something so deep that no pen draws it, None where there is none.

    That is its opening by a disc wider than lines are. It is not to be thinned: that
    takes long there, and the middle of a huge disc is all spurs.
    """
    least = max(DEEP * pen, DEEPEST)
    if depth.max() <= least:
        return None
    deep = depth > least
    reach = SWOLLEN * pen
    parts = parts_of((depth > reach).view(np.uint8))
    core = parts.where(np.bincount(parts.label[deep], minlength=parts.count) > 0).view(np.uint8)
    window = _window_of(core, int(reach) + 3)
    away = cv2.distanceTransform(1 - core[window], cv2.DIST_L2, cv2.DIST_MASK_5)
    body = np.zeros(mask.shape, np.bool_)
    body[window] = (mask[window] > 0) & (away <= reach + 1)
    return body


def _window_of(mask: Mask, margin: int) -> tuple[slice, slice]:
    """Return the window of a picture with all of a mask (H, W) and some pixels round it."""
    x, y, width, height = cv2.boundingRect(mask)
    return np.s_[max(0, y - margin) : y + height + margin, max(0, x - margin) : x + width + margin]


def with_bumps(deep: Flags, mask: Mask, depth: Depth, lines: Flags, pen: float) -> Flags:
    """Return a deep mask (H, W) and the corners of it that its disc did not reach."""
    rest = ((mask > 0) & ~deep).astype(np.uint8)
    return deep | _bumps(rest, deep.astype(np.uint8), lines, depth=depth, pen=pen)[0]


def solid_mask(mask: Mask, depth: Depth, skeleton: Flags, pen: float) -> Flags:
    """Return where ink (H, W) is solid: much wider than a line of width `pen` pixels, and not long for that.

    `depth` (H, W) is the ink's distance to paper, `skeleton` (H, W) that of all ink. A
    solid is what the discs inscribed about its middle cover (Blum 1967), and the corners
    and slivers they leave; the lines that run into it are not.
    """
    solid = np.zeros(mask.shape, bool)
    if depth[skeleton].max(initial=0.0) <= _depth_of(WIDER * pen):
        return solid
    middles = _middles(depth, skeleton, pen)
    if middles:
        lines = skeleton.copy()
        lines[tuple(np.concatenate(middles).T)] = False
        for middle in middles:
            _add_solid(solid, mask, lines, middle=middle, depth=depth, pen=pen)
    return solid


def _middles(depth: Depth, skeleton: Flags, pen: float) -> list[Places]:
    """Return the skeleton's pixels (m, 2), row and column, of each solid."""
    swollen = (skeleton & (depth > _depth_of(SWOLLEN * pen))).astype(np.uint8)
    deep, widest = _depth_of(WIDER * pen), _depth_of(WIDEST * pen)
    solids: list[Places] = []
    stripes: list[Places] = []
    rings, tree = cv2.findContours(swollen, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    for ring in (ring for ring, (*_, parent) in zip(rings, tree[0], strict=True) if parent < 0):
        flat = np.unique(ring[:, 0, 1].astype(np.intp) * depth.shape[1] + ring[:, 0, 0])
        pixels = np.column_stack(np.divmod(flat, depth.shape[1]))
        found = _short(pixels, depth, deep, LONG)
        solids += found
        if not found and np.median(depth[tuple(pixels.T)]) > widest:
            stripes.append(pixels)
    penned = [_penned(pixels, depth[tuple(pixels.T)]) for pixels in stripes]
    drawn = sum(len(pixels) for pixels, by_pen in zip(stripes, penned, strict=True) if by_pen)
    if drawn > SECOND * np.count_nonzero(skeleton):
        stripes = [pixels for pixels, by_pen in zip(stripes, penned, strict=True) if not by_pen]
    return solids + stripes


def _short(pixels: Places, depth: Depth, deep: float, longest: float) -> list[Places]:
    """Return the parts of a connected middle (m, 2) that are deep, but not `longest` times longer than wide.

    A long one may still hold solids: what is more than half as deep as its deepest pixel
    is looked at by itself, and so is the rest where it is not the slope of that.
    """
    radii = depth[tuple(pixels.T)]
    deepest = float(radii.max())
    if deepest <= deep:
        return []
    if _length(pixels) < longest * 2 * deepest:
        return [pixels]
    thick = radii > deepest / 2
    if thick.all():
        return []
    parts = _parts(pixels[thick])
    slope = 0.8 * deepest / 2
    parts += [part for part in _parts(pixels[~thick]) if depth[tuple(part.T)].max() < slope]
    return [solid for part in parts for solid in _short(part, depth, deep, BEAD)]


def _parts(pixels: Places) -> list[Places]:
    """Return pixels (m, 2) by the connected part they belong to."""
    low = pixels.min(axis=0)
    window = np.zeros(pixels.max(axis=0) - low + 1, np.uint8)
    window[tuple((pixels - low).T)] = 1
    count, label = cv2.connectedComponents(window, connectivity=8)
    part = label[tuple((pixels - low).T)]
    return [pixels[part == k] for k in range(1, count)]


def _penned(pixels: Places, radii: Depth) -> bool:
    """Say whether a long middle is as evenly wide as a pen's line, or as long as a brush's that swells."""
    low, usual, high = np.percentile(radii, [10, 50, 90])
    return bool(high - low < STEADY * usual) or _length(pixels) > BRUSH * 2 * float(radii.max())


def _depth_of(width: float) -> float:
    """Return how deep the middle of a line of a width in pixels is, as `line_width_of` counts."""
    return (width + 0.5) / 2


def _length(pixels: Places) -> float:
    """Return about how long the longest way along a connected part (m, 2) of a skeleton is.

    A star of n arms has ways of two n-ths of all its pixels, a ring goes two ways at
    once; a line with many short branches is at least as long as it is across.
    """
    low = pixels.min(axis=0) - 1
    window = np.zeros(pixels.max(axis=0) - low + 2, np.uint8)
    window[tuple((pixels - low).T)] = 1
    around = cv2.boxFilter(window, -1, (3, 3), normalize=False)
    ends = int(((around == 2) & (window > 0)).sum())
    spread = float(np.hypot(*(pixels.max(axis=0) - pixels.min(axis=0))))
    tree = cv2.findContours(window, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)[1]
    rings = int((tree[0, :, 3] >= 0).sum())
    return max(spread, 2 * len(pixels) / (max(ends, 2) + 2 * rings))


def _add_solid(solid: Flags, mask: Mask, lines: Flags, *, middle: Places, depth: Depth, pen: float) -> None:
    """Mark one solid, in a window round it; not where it is but the meeting of lines wider than most."""
    radii = depth[tuple(middle.T)]
    margin = int(radii.max() + HORN * pen) + 3
    low = np.maximum(middle.min(axis=0) - margin, 0)
    high = np.minimum(middle.max(axis=0) + margin + 1, mask.shape)
    window = np.s_[low[0] : high[0], low[1] : high[1]]
    body = np.zeros(tuple(high - low), np.uint8)
    for (row, column), radius in zip((middle - low).tolist(), radii.tolist(), strict=True):
        cv2.circle(body, (16 * column, 16 * row), round(16 * radius), 1, cv2.FILLED, shift=4)
    body &= mask[window]
    bumps, arms = _bumps(mask[window] & (1 - body), body, lines[window], depth=depth[window], pen=pen)
    if not len(arms) or radii.max() > _depth_of(WIDER * (2 * float(np.median(arms)) - 0.5)):
        solid[window] |= (body > 0) | bumps


def _bumps(rest: Mask, body: Mask, lines: Flags, *, depth: Depth, pen: float) -> tuple[Flags, Depth]:
    """Return the parts of the `rest` of a window's ink that belong to the body, and the depth of its lines.

    Both touch it. Bumps hold no line to speak of: or one that is short, thins from the body on, and ends.
    """
    parts = parts_of(rest)
    near = _window_of(body, 1)
    beside = cv2.bitwise_and(cv2.dilate(body[near], np.ones((3, 3), np.uint8)), rest[near])
    root = np.bincount(parts.label[near][beside.view(np.bool_)], minlength=parts.count) > 0
    line = np.flatnonzero(lines)
    of, along = parts.label.ravel()[line], depth.ravel()[line]
    length = np.bincount(of, minlength=parts.count)
    ended = np.ones(parts.count, np.bool_)
    for side in (parts.label[0], parts.label[-1], parts.label[:, 0], parts.label[:, -1]):
        ended[side] = False
    mean = np.bincount(of, along, minlength=parts.count) / np.maximum(length, 1)
    most = np.zeros(parts.count)
    np.maximum.at(most, of, along)
    horn = (length < HORN * pen) & (mean + 0.5 < THINS * (most + 0.5))
    bump = root & ((length == 0) | ended & ((length**2 < STUB * parts.area) | horn))
    return parts.where(bump), along[(root & ~bump)[of]]
