"""Colouring taken away: what is left is what is darker than the colouring round about, and as dark as ink.

Wax, felt pen and wash vary from pixel to pixel, and no hue or grey parts them from ink everywhere: two
colours over each other are nearly black. But ink is always darker than the colouring beside it.
So the colouring's own darkest tone is found in the neighbourhood, and darkness is counted from there.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.balance import PAPER
from tracer.raster.cells import celled, closed, darkest_of, disc, lightest_of, opened, spread, widened
from tracer.raster.colour import CHROMA
from tracer.raster.density import as_wide, let_through, with_bridges

Grey = NDArray[np.uint8]
Mask = NDArray[np.uint8]
Cells = NDArray[np.float32]

_NEAR = 2.0
"""Pens to which colouring bears on the tone beside it."""

_WIDER = 1.5
"""Pens across from which on something is no line."""

_COVERED = 0.88
"""Part of the paper's grey below which the darkest tone near by makes a place coloured in."""

_LISTED = 0.75
"""The same for what is listed: between close lines paper is a little dark, too."""

_SURELY_INK = 0.2
"""Part of the way from ink to paper above which a coloured cell is colouring, however narrow."""

_SOLID, _BROAD = 10.0, 2.0
"""Greys above lines that all pixels of a solid keep below, and pens that it is broad."""

_SAME, _NEUTRAL, _DARKER = 8.0, 12.0, 6.0
"""Greys by which a solid may be brighter than lines on paper, by which its channels may differ, and by
which a line in colouring as dark as ink is darker: over so many pixels a mean is known to a grey."""

_SPREAD = 1.2
"""Standard deviations that the colouring's dark tone lies below its mean."""

_THIN, _LEAST, _LONG = 0.65, 8.0, 3.0
"""Ink in colouring: part of the tone round about that it is darker than at least, by how many greys,
and squared pens that it covers."""

_PALE = 0.3
"""Saturation that ink under pale wax has at most."""

_TELLING, _SWINGS = 10.0, 2.5
"""Greys between colouring and ink, and deviations of the colouring, below which there is but noise."""

_SURE, _CORE = 0.75, 0.25
"""Darkness that a cell inside of a line has, and the part of a mark that is so: the core of a dot is that
much. What has less is texture, or where two colours cross."""

_SMALL, _SCRAP = 0.5, 10.0
"""Squared pens that a mark in the colouring has at least, and below which it is a scrap or a dot."""

_HALF, _STREAK = 0.5, 0.92
"""Part of the way from ink to paper above which nothing on the bare paper of a coloured page is ink, but
wax in pale streaks, and up to which it is taken out: a pen from ink it may be the edge of a line."""

_MARK = 0.3
"""Darkness from which on a cell belongs to a mark."""

_NARROW = 0.6
"""Part of a pen's width that a mark is wide at least: crayons leave finer streaks."""

_DOT, _FILLED, _DOT_BLACK = 1.6, 0.65, 0.2
"""Pens that a dot measures at most, how full its box is (a disc's: 0.79), light its middle lets through."""

_LETS, _DOT_LETS = 0.55, 0.45
"""Part of the light of the colouring round about that ink lets through at most, and a dot of ink."""


@dataclass(frozen=True, eq=False)
class Page:
    """A page before the colouring is taken away, in cells of a quarter of a pen.

    Attributes
    ----------
    cell, pens : pixels to a cell, and cells across a line.
    tone : (h, w) the lightest channel, smoothed.
    brightest : (h, w) its brightest pixel in each cell.
    tints : the three channels (h, w).
    chroma : (h, w) the difference between the lightest and the darkest of them.
    black, line : the darkest grey there is, and that of lines on bare paper.
    """

    cell: int
    pens: float
    tone: Grey
    brightest: Grey
    tints: list[Grey]
    chroma: Grey
    black: float
    line: float

    def grey(self, part: float) -> float:
        """Return the grey at a part of the way from ink to paper."""
        return self.line + part * (PAPER - self.line)

    @property
    def wider(self) -> Mask:
        """Return a disc that no line holds."""
        return disc(_WIDER * self.pens + 3)

    def blurred(self, cells: Cells) -> Cells:
        """Return cells (h, w) smoothed over a pen."""
        size = round(self.pens) | 1
        return np.asarray(cv2.blur(cells, (size, size)), np.float32)

    def darkened(self, cells: Cells, pens: float) -> Cells:
        """Return the darkest of the cells (h, w) within so many pens, smoothed."""
        return self.blurred(np.asarray(cv2.erode(cells, disc(pens * self.pens)), np.float32))


def without_colouring(lightest: Grey, tints: list[Grey], pen: float, black: float) -> tuple[Grey, Mask, int]:
    """Return the lightest channel (H, W) as if nothing were coloured in, which cells (h, w) were, their size.

    `tints` are the three channels (H, W), `pen` is the width of the lines in pixels, `black` the
    darkest grey.
    """
    cell = max(1, round(pen / 4))
    smooth = np.asarray(cv2.GaussianBlur(lightest, (0, 0), max(0.6, pen / 8)), np.uint8)
    page = _page(smooth, tints, pen, black)
    base, ink, covered = _tones(page)
    where = spread(covered, cell, lightest.shape)
    if not covered.any():
        return lightest, covered, cell
    upper, lower = spread(base, cell, lightest.shape), spread(ink, cell, lightest.shape)
    reach = np.maximum(cv2.subtract(upper, lower), 1)
    dark = np.asarray(cv2.divide(cv2.subtract(upper, smooth), reach, scale=255), np.uint8)
    texture = _texture(celled(dark, cell), covered, page)
    dark[_blocks(texture, cell, dark.shape) > 0] = 0
    left = PAPER - (PAPER - page.line) / 255 * np.arange(256)
    grey = lightest.copy()
    cv2.copyTo(cv2.LUT(dark, np.round(left).astype(np.uint8)), where, grey)
    darkest = cv2.erode(cv2.blur(grey, (2, 2)), np.ones((cell, cell), np.uint8))
    streaks = _streaks(page, celled(np.asarray(darkest, np.uint8), cell))
    grey[_blocks(streaks, cell, grey.shape) > 0] = PAPER
    listed = covered & (base < _LISTED * PAPER) | streaks
    return np.asarray(grey, np.uint8), listed.astype(np.uint8), cell


def _page(smooth: Grey, tints: list[Grey], pen: float, black: float) -> Page:
    """Return the page in cells."""
    cell = max(1, round(pen / 4))
    tone = celled(smooth, cell)
    brightest = celled(np.asarray(cv2.dilate(smooth, np.ones((cell, cell), np.uint8)), np.uint8), cell)
    pens = pen / cell
    area = closed(tone, disc(_WIDER * pens + 3))
    dark = (tone < black + 0.35 * (PAPER - black)) & (tone - black < _THIN * (area - black))
    bare = tone[dark & (area > _COVERED * PAPER)]
    lines = bare if len(bare) > 0.1 * np.count_nonzero(dark) else tone[dark]
    line = float(np.percentile(lines, 30)) if len(lines) else black
    small = [celled(tint, cell) for tint in tints]
    chroma = lightest_of(small) - darkest_of(small)
    return Page(cell, pens, tone, brightest, small, chroma, black, line)


def _blocks(cells: Mask, cell: int, shape: tuple[int, ...]) -> Mask:
    """Return the cells' values for each of their pixels (H, W)."""
    whole = cv2.resize(cells, None, fx=cell, fy=cell, interpolation=cv2.INTER_NEAREST)
    return np.asarray(whole[: shape[0], : shape[1]], np.uint8)


def _tones(page: Page) -> tuple[Grey, Grey, Mask]:
    """Return the colouring's dark tone (h, w), the ink's tone there, and 1 where there is colouring."""
    smooth = np.asarray(cv2.blur(page.tone, (3, 3)), np.uint8)
    area = closed(smooth, page.wider)
    thin = _thin(page, smooth.astype(np.float32), area.astype(np.float32))
    solid = _solids(page, thin)
    area[solid > 0] = PAPER
    guess = _first_tone(page, area)
    covered = (guess < _COVERED * PAPER).astype(np.uint8)
    covered = closed(covered, disc(2 * page.pens)) & (1 - solid)
    ink = _ink_tone(page, thin)
    drawn = page.tone < (area + 2 * ink) / 3
    for _ in range(2):
        free = (covered & (1 - (widened(drawn.astype(np.uint8), 5) | solid))).astype(np.float32)
        base, swing = _dark_tone(page, np.asarray(area, np.float32), free)
        base = np.minimum(page.darkened(np.where(covered > 0, base, PAPER).astype(np.float32), 1.5), base)
        black = np.minimum(ink, base - np.maximum(_TELLING, _SWINGS * swing))
        drawn = page.tone < (base + black) / 2
    return np.clip(base, 0, PAPER).astype(np.uint8), np.clip(black, 0, PAPER).astype(np.uint8), covered


def _solids(page: Page, thin: Mask) -> Mask:
    """Return 1 where there is solid ink (h, w): all of it as dark as the lines, and no colour in it.

    Dyes over one another may be as dark, but a line in them is darker still: in a solid there is none.
    """
    dark = (page.brightest < page.line + _SOLID).astype(np.uint8)
    count, labels = cv2.connectedComponents(opened(dark, disc(_BROAD * page.pens)))
    if count == 1:
        return np.zeros_like(dark)
    flat = labels.ravel()
    sizes = np.bincount(flat, minlength=count)
    means = np.stack(
        [np.bincount(flat, weights=page.tints[k].ravel(), minlength=count) / sizes for k in range(3)]
    )
    tone = means.max(axis=0)
    near = cv2.dilate(labels.astype(np.float32), disc(5)).astype(np.intp)
    darker = (thin > 0) & (page.tone < tone[near] - _DARKER)
    lines = np.bincount(near[darker], minlength=count)
    ink = (np.ptp(means, axis=0) < _NEUTRAL) & (tone < page.line + _SAME) & (lines < page.pens**2)
    ink[0] = False
    return widened(ink[labels].astype(np.uint8), 5)


def _first_tone(page: Page, area: Grey) -> Cells:
    """Return a first guess at the colouring's dark tone (h, w).

    What a closing wider than a pen leaves, `area`, is no line, and coloured cells that are much
    brighter than ink are none, either.
    """
    bright = (page.chroma > CHROMA) & (page.tone > page.grey(_SURELY_INK))
    tone = np.where(bright, np.minimum(page.tone, area), area).astype(np.float32)
    return page.darkened(tone, _NEAR)


def _thin(page: Page, smooth: Cells, area: Cells) -> Mask:
    """Return 1 where there is a line in the colouring (h, w): darker than what lies round about, and long."""
    pale = (page.chroma <= _PALE * smooth) | (smooth < page.grey(_SURELY_INK))
    thin = (smooth - page.black < _THIN * (area - page.black)) & (smooth < area - _LEAST) & pale
    thin &= area < _COVERED * PAPER
    mask = opened(thin.astype(np.uint8), disc(0.6 * page.pens))
    labels, stats = cv2.connectedComponentsWithStats(mask)[1:3]
    long = stats[:, cv2.CC_STAT_AREA] >= _LONG * page.pens**2
    long[0] = False
    return np.asarray(long[labels], np.uint8)


def _ink_tone(page: Page, thin: Mask) -> Cells:
    """Return how dark ink is (h, w): under dyes it is darker than on paper, under pale wax it is grey."""
    core = np.asarray(cv2.erode(page.tone, disc(3)), np.float32)
    size = (round(4 * _NEAR * page.pens) | 1,) * 2
    weight = thin.astype(np.float32)
    share = cv2.blur(weight, size)
    mean = cv2.blur(core * weight, size) / np.maximum(share, 1e-4)
    return np.where(share > 1e-3, mean, page.line).astype(np.float32)


def _dark_tone(page: Page, area: Cells, free: Cells) -> tuple[Cells, Cells]:
    """Return the dark tone (h, w) of the colouring and its deviation.

    How far it falls below its bright tone, `area`, is taken from what is `free` of ink near by, so that
    an edge between two colours stays where it is.
    """
    across = round(3 * page.pens) | 1
    share = np.maximum(cv2.blur(free, (across, across)), 1e-4)
    below = np.maximum(1 - page.tone / np.maximum(area, 1), 0).astype(np.float32) * free
    mean = cv2.blur(below, (across, across)) / share
    swing = np.sqrt(np.maximum(cv2.blur(below * below, (across, across)) / share - mean * mean, 0))
    darkest = cv2.erode(np.where(free > 0, page.tone, PAPER).astype(np.float32), disc(across))
    tone = np.maximum(area * (1 - mean - _SPREAD * swing), np.minimum(darkest, area))
    return np.asarray(tone, np.float32), np.asarray(area * swing, np.float32)


def _streaks(page: Page, left: Grey) -> Mask:
    """Return the cells (h, w) of pale wax beside the colouring: darker than paper, far from ink.

    `left` is the page without its colouring, of each cell the darkest: hairlines stay. Pale grey wax has
    no hue and hardly any tone; its streaks are no faint lines where the lines are as dark as ink.
    """
    ink = (left < page.grey(_HALF)).astype(np.uint8)
    pale = (left < page.grey(_STREAK)).astype(np.uint8)
    return pale & (1 - widened(ink, 2 * page.pens))


def _round(stats: NDArray[np.int32], pens: float) -> NDArray[np.bool_]:
    """Return which marks (m, 5: left, top, width, height, area, in cells) are as round and large as a dot."""
    wide, tall = stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]
    full = stats[:, cv2.CC_STAT_AREA] > _FILLED * wide * tall
    return full & (np.maximum(wide, tall) < _DOT * pens) & (np.minimum(wide, tall) > pens / _DOT)


def _texture(dark: Grey, covered: Mask, page: Page) -> Mask:
    """Return which cells (h, w) of the colouring are dark without belonging to a line or dot."""
    marks = (dark > _MARK * 255).astype(np.uint8)
    free = covered & (1 - widened(marks, 3))
    through = let_through(page.tints, page.tone, free, page.pens)
    width = max(1, int(_NARROW * page.pens))
    wide = as_wide(marks, width)
    dense = as_wide(wide & (through < _LETS), width)
    mask = with_bridges(wide & (widened(dense, 1.5 * page.pens) | (1 - covered)), wide)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    sizes = stats[:, cv2.CC_STAT_AREA]
    core = dark > _SURE * 255
    sure = np.bincount(labels[core], minlength=count) > _CORE * sizes
    black = np.bincount(labels[core & (through < _DOT_LETS)], minlength=count) > _CORE * sizes
    inside = np.bincount(labels.ravel(), weights=covered.ravel(), minlength=count) / sizes
    large = (sizes >= _SCRAP * page.pens**2) | black
    inky = np.bincount(labels[through < _DOT_BLACK], minlength=count) > 0
    dots = inky & _round(np.asarray(stats, np.int32), page.pens)
    kept = ((sure & large | dots) & (sizes >= _SMALL * page.pens**2)) | (inside < 0.5)
    kept[0] = False
    return covered & (1 - widened(kept[labels].astype(np.uint8), 3))
