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
from tracer.raster.cells import celled, closed, disc, opened, spread, widened
from tracer.raster.colour import CHROMA

Grey = NDArray[np.uint8]
Mask = NDArray[np.uint8]
Cells = NDArray[np.float32]

_NEAR = 2.0
"""Pens to which colouring bears on the tone beside it."""

_COVERED = 0.88
"""Part of the paper's grey below which the darkest tone near by makes a place coloured in."""

_SURELY_INK = 0.2
"""Part of the way from ink to paper above which a coloured cell is colouring, however narrow."""

_SOLID = 0.15
"""Part of the way from ink to paper below which all pixels of a place wider than a pen may be a solid."""

_SAME, _NEUTRAL = 8.0, 5.0
"""Greys by which a printed solid may differ from the lines, and its channels from one another: it was
printed with the lines' ink, and over so many pixels a mean is known to a grey."""

_SPREAD = 1.2
"""Standard deviations that the colouring's dark tone lies below its mean."""

_THIN, _LEAST, _LONG = 0.65, 8.0, 3.0
"""Ink in colouring: part of the tone round about that it is darker than at least, by how many greys,
and squared pens that it covers."""

_PALE = 0.3
"""Saturation that ink under pale wax has at most."""

_TELLING = np.uint8(14)
"""Greys between colouring and ink below which there is but noise."""

_SURE = 0.75
"""Darkness that a cell inside of a line has; what has no such cell is texture."""

_SMALL = 0.5
"""Squared pens that a mark in the colouring has at least."""


@dataclass(frozen=True, eq=False)
class Page:
    """A page before the colouring is taken away, in cells of a quarter of a pen.

    Attributes
    ----------
    cell, pens : pixels to a cell, and cells across a line.
    tone : (h, w) the lightest channel, smoothed.
    brightest : (h, w) its brightest pixel in each cell.
    tints : (h, w, 3) the three channels.
    black, line : the darkest grey there is, and that of lines on bare paper.
    """

    cell: int
    pens: float
    tone: Grey
    brightest: Grey
    tints: Grey
    black: float
    line: float

    def grey(self, part: float) -> float:
        """Return the grey at a part of the way from ink to paper."""
        return self.line + part * (PAPER - self.line)

    @property
    def wider(self) -> Mask:
        """Return a disc that no line holds."""
        return disc(1.5 * self.pens + 1)

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
    reach = np.maximum(cv2.subtract(upper, lower), _TELLING)
    dark = np.asarray(cv2.divide(cv2.subtract(upper, smooth), reach, scale=255), np.uint8)
    texture = _texture(celled(dark, cell), covered, page.pens)
    dark[_blocks(texture, cell, dark.shape) > 0] = 0
    left = PAPER - (PAPER - page.line) / 255 * np.arange(256)
    grey = lightest.copy()
    cv2.copyTo(cv2.LUT(dark, np.round(left).astype(np.uint8)), where, grey)
    return np.asarray(grey, np.uint8), covered, cell


def _page(smooth: Grey, tints: list[Grey], pen: float, black: float) -> Page:
    """Return the page in cells."""
    cell = max(1, round(pen / 4))
    tone = celled(smooth, cell)
    brightest = celled(np.asarray(cv2.dilate(smooth, np.ones((cell, cell), np.uint8)), np.uint8), cell)
    pens = pen / cell
    area = closed(tone, disc(1.5 * pens + 1))
    lines = tone[(area > _COVERED * PAPER) & (tone < black + 0.35 * (PAPER - black))]
    line = float(np.percentile(lines, 30)) if len(lines) else black
    return Page(cell, pens, tone, brightest, np.dstack([celled(t, cell) for t in tints]), black, line)


def _blocks(cells: Mask, cell: int, shape: tuple[int, ...]) -> Mask:
    """Return the cells' values for each of their pixels (H, W)."""
    whole = cv2.resize(cells, None, fx=cell, fy=cell, interpolation=cv2.INTER_NEAREST)
    return np.asarray(whole[: shape[0], : shape[1]], np.uint8)


def _tones(page: Page) -> tuple[Grey, Grey, Mask]:
    """Return the colouring's dark tone (h, w), the ink's tone there, and 1 where there is colouring."""
    smooth = np.asarray(cv2.blur(page.tone, (3, 3)), np.uint8)
    area = closed(smooth, page.wider)
    solid = _solids(page)
    area[solid > 0] = PAPER
    guess = _first_tone(page, area)
    covered = (guess < _COVERED * PAPER).astype(np.uint8)
    covered = closed(covered, disc(2 * page.pens)) & (1 - solid)
    ink = _ink_tone(page, np.asarray(smooth, np.float32), area.astype(np.float32))
    base = guess
    for _ in range(2):
        drawn = widened((page.tone < (base + ink) / 2).astype(np.uint8), 3)
        base = _dark_tone(page, (1 - (drawn | solid)).astype(np.float32), guess)
        base = page.darkened(np.where(covered > 0, base, PAPER).astype(np.float32), 1.5)
    return np.clip(base, 0, PAPER).astype(np.uint8), np.clip(ink, 0, PAPER).astype(np.uint8), covered


def _solids(page: Page) -> Mask:
    """Return 1 where there is solid ink (h, w): all of it dark, and of the same ink as the lines."""
    dark = (page.brightest < page.grey(_SOLID)).astype(np.uint8)
    count, labels = cv2.connectedComponents(opened(dark, page.wider))
    if count == 1:
        return np.zeros_like(dark)
    flat = labels.ravel()
    sizes = np.bincount(flat, minlength=count)
    means = np.stack(
        [np.bincount(flat, weights=page.tints[..., k].ravel(), minlength=count) / sizes for k in range(3)]
    )
    neutral = np.ptp(means, axis=0) < _NEUTRAL
    ink = neutral & (np.abs(means.max(axis=0) - page.line) < _SAME)
    ink[0] = False
    return widened(ink[labels].astype(np.uint8), 5)


def _first_tone(page: Page, area: Grey) -> Cells:
    """Return a first guess at the colouring's dark tone (h, w).

    What a closing wider than a pen leaves, `area`, is no line, and coloured cells that are much
    brighter than ink are none, either.
    """
    chroma = page.tints.max(axis=2) - page.tints.min(axis=2)
    bright = (chroma > CHROMA) & (page.tone > page.grey(_SURELY_INK))
    tone = np.where(bright, np.minimum(page.tone, area), area).astype(np.float32)
    return page.darkened(tone, _NEAR)


def _ink_tone(page: Page, smooth: Cells, area: Cells) -> Cells:
    """Return how dark ink is (h, w): under dyes it is darker than on paper, under pale wax it is grey.

    Ink is what is darker than the colouring round about, `area`, and thin.
    """
    chroma = page.tints.max(axis=2).astype(np.float32) - page.tints.min(axis=2)
    pale = (chroma <= _PALE * smooth) | (smooth < page.grey(_SURELY_INK))
    thin = (smooth - page.black < _THIN * (area - page.black)) & (smooth < area - _LEAST) & pale
    thin &= area < _COVERED * PAPER
    mask = opened(thin.astype(np.uint8), disc(0.6 * page.pens))
    labels, stats = cv2.connectedComponentsWithStats(mask)[1:3]
    long = stats[:, cv2.CC_STAT_AREA] >= _LONG * page.pens**2
    long[0] = False
    grey = np.where(long[labels], page.tone, 255).astype(np.float32)
    darkest = cv2.erode(grey, disc(2 * _NEAR * page.pens))
    return page.blurred(np.where(darkest < 255, darkest, page.line).astype(np.float32))


def _dark_tone(page: Page, free: Cells, guess: Cells) -> Cells:
    """Return the dark tone (h, w) of what is `free` of ink near by, from its mean and deviation."""
    size = (round(3 * page.pens) | 1,) * 2
    grey = page.tone.astype(np.float32)
    share = cv2.blur(free, size)
    mean = cv2.blur(grey * free, size) / np.maximum(share, 1e-4)
    square = cv2.blur(grey * grey * free, size) / np.maximum(share, 1e-4)
    tone = mean - _SPREAD * np.sqrt(np.maximum(square - mean * mean, 0))
    return np.where(share > 0.05, tone, guess).astype(np.float32)


def _texture(dark: Grey, covered: Mask, pens: float) -> Mask:
    """Return which cells (h, w) of the colouring are dark without belonging to a line or dot."""
    mask = (dark > 0.3 * 255).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    sure = np.zeros(count, bool)
    sure[np.unique(labels[dark > _SURE * 255])] = True
    sizes = stats[:, cv2.CC_STAT_AREA]
    inside = np.bincount(labels.ravel(), weights=covered.ravel(), minlength=count) / sizes
    kept = (sure & (sizes >= _SMALL * pens**2)) | (inside < 0.5)
    kept[0] = False
    return covered & (1 - widened(kept[labels].astype(np.uint8), 3))
