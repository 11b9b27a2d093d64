"""Colouring taken away: what is left swallows nearly all the light that the colouring beside it lets pass.

Wax, felt pen and wash vary from pixel to pixel, and no hue or grey parts them from ink everywhere: two
colours over each other are nearly black. So the middles of lines are found by their light against that of
both their sides, and from there the ink, up to its edge half way to the colouring that lies right beside it.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.balance import PAPER
from tracer.raster.binarize import depths, ridge_widths
from tracer.raster.cells import celled, closed, disc, lightest_of, opened, spread, widened
from tracer.raster.colour import CHROMA
from tracer.raster.evened import Lines, evened
from tracer.raster.grounds import Tones, darkness_on, tones_at, tones_of
from tracer.raster.middles import DIM, brightest, ink_middles, let_through
from tracer.raster.scraps import Passed, scraps
from tracer.raster.strips import Light

Grey = NDArray[np.uint8]
Mask = NDArray[np.uint8]
Cells = NDArray[np.float32]

_MISTAKEN = 1.25
"""Times their width that lines turn out to be wide, or narrow, when they are looked for again."""

_CELLS = 5
"""Cells across a line's width."""

GAMMA = 2.2
"""Grey levels are about this root of the light (IEC 61966-2-1 approximately)."""

_GLEAM, _DARKEST = 0.9, 0.2
"""Part of the light of the darkest ink that is its surface's gleam, and the percentile that is darkest."""

_COVERED, _LISTED = 0.88, 0.75
"""Part of the paper's grey below which a place is coloured in, and is listed: between close lines paper
is a little dark, too."""

_PALE = 0.3
"""Part of the least hue from which on what lies within a pen of colouring is its edge."""

_SOLID, _BROAD, _CORNERS = 0.1, 2.0, 2.2
"""Light that all pixels of a solid keep below, pens that it is broad, and twice how far its corners reach."""

_SAME = 8.0
"""Greys by which a solid may be brighter than lines."""

_RING, _SWALLOWED, _ROUND, _DARKER = 0.5, 0.15, 0.6, 0.8
"""Pens round a solid that are looked at, part of their light that it lets through at the most, the part of
the ring where that is so, for lines run into solids, and part of the light of dyes as dark as ink that a
line in them leaves."""

_WIDER = 1.5
"""Pens across from which on what has no hue is no line."""

_BESIDE = 0.5
"""Pens from a line's middle that are surely not ground, and cells more for its blurred edge."""

_REACH = 0.9
"""Pens from a line's middle to which its ink may go."""

_INK = 0.06
"""Part of the way from ink to its ground, in light, up to which a pixel is surely ink: scraps where two
colours cross beside a line are little brighter."""

_NOISE, _DIMMER = 0.01, 0.4
"""Light by which ink varies at the least, but no more than this part of the way to its ground."""

_NARROW = 0.5
"""Part of the usual width of sure ink that it is wide at least."""

_EDGE = 3
"""Pixels from sure ink to its edge at the most, and again to ground that is free of its blur."""

_PIT = 0.15
"""Squared pens of light in a line that are a pit in the wax."""

_HALF, _STREAK = 0.5, 0.92
"""Part of the way from ink to paper above which nothing on the bare paper of a coloured page is ink, but
wax in pale streaks, and up to which it is taken out: a pen from ink it may be the edge of a line."""


@dataclass(frozen=True, eq=False)
class Page:
    """A page before the colouring is taken away, in cells of a fifth of a pen.

    Attributes
    ----------
    cell, pens : pixels to a cell, and cells across a line.
    tints : the three channels (h, w, 3).
    brightest : (h, w) the lightest channel's brightest pixel in each cell.
    black : the darkest grey there is.
    """

    cell: int
    pens: float
    tints: Grey
    brightest: Grey
    black: float

    @property
    def tone(self) -> Grey:
        """Return the lightest channel (h, w)."""
        return lightest_of([np.asarray(tint, np.uint8) for tint in cv2.split(self.tints)])


def without_colouring(
    grey: Grey, tints: list[Grey], pen: float, black: float, *, again: bool = True
) -> tuple[Grey, Mask, int]:
    """Return a page (H, W) as if nothing were coloured in, which cells (h, w) were, and their size in pixels.

    `grey` is the lightest of the three channels `tints` (H, W), or the darkest where lines are drawn in
    colour, `pen` the width of the lines in pixels, `black` the darkest grey. Lines of another width
    than `pen` are looked for `again`: under colouring their width is hard to tell before.
    """
    tints = [np.asarray(cv2.min(tint, grey), np.uint8) for tint in tints]
    page = _page(grey, tints, pen, black)
    floor = _floor(page)
    passed = Passed(page.cell, *let_through(light_of(page.tints), floor, page.pens))
    middles, solid = _middles(page, passed, floor)
    tones = _first_tones(page, middles | solid)
    if not _covered(page, tones.ground).any():
        return grey, np.zeros_like(middles), page.cell
    line = _line_tone(page, middles, tones.ground)
    dark, tones = _dark(page, tints, tones, middles | solid)
    wide = _usual_width((dark > 127).astype(np.uint8))
    if again and wide and not 1 / _MISTAKEN < wide / pen < _MISTAKEN:
        return without_colouring(grey, tints, wide, black, again=False)
    covered = _covered(page, tones.ground)
    left = cv2.LUT(dark, np.round(PAPER - (PAPER - line) / 255 * np.arange(256)).astype(np.uint8))
    cleared = grey.copy()
    cv2.copyTo(left, spread(covered, page.cell, grey.shape), cleared)
    cleared = _tidied(page, passed, cleared, covered, (grey, line))
    streaks = _streaks(page, cleared, line)
    cleared[_blocks(streaks, page.cell, grey.shape) > 0] = PAPER
    listed = covered & (brightest(tones.ground) < _LISTED * PAPER) | streaks
    return cleared, listed.astype(np.uint8), page.cell


def _page(grey: Grey, tints: list[Grey], pen: float, black: float) -> Page:
    """Return a page in cells."""
    cell = max(1, round(pen / _CELLS))
    smooth = np.asarray(cv2.GaussianBlur(grey, (0, 0), max(0.6, pen / 8)), np.uint8)
    brightest = celled(np.asarray(cv2.dilate(smooth, np.ones((cell, cell), np.uint8)), np.uint8), cell)
    return Page(cell, pen / cell, np.dstack([celled(tint, cell) for tint in tints]), brightest, black)


def light_of(grey: Grey | Cells) -> Cells:
    """Return the light of grey levels, 1 that of paper."""
    if grey.dtype == np.uint8:
        return np.asarray(cv2.LUT(grey, light_of(np.arange(256, dtype=np.float32))), np.float32)
    return np.asarray((np.maximum(grey, 0) / np.float32(PAPER)) ** np.float32(GAMMA), np.float32)


def _floor(page: Page) -> float:
    """Return the light that the darkest ink throws back."""
    darkest = np.percentile(cv2.blur(page.tone, (3, 3)), _DARKEST)
    return float(_GLEAM * (darkest / PAPER) ** GAMMA)


def _middles(page: Page, passed: Passed, floor: float) -> tuple[Mask, Mask]:
    """Return 1 where there are middles of lines (h, w), and where there is solid ink."""
    middles = ink_middles(passed.least, passed.most, page.pens)
    tone = light_of(page.tone) - np.float32(floor - DIM)
    dark = (light_of(page.brightest) - np.float32(floor) < _SOLID).astype(np.uint8)
    count, labels = cv2.connectedComponents(opened(dark, disc(_BROAD * page.pens)))
    if count == 1:
        return middles, np.zeros_like(middles)
    broad = np.asarray(labels, np.int32)
    means = _mean_by(broad, tone, count)
    near = _near(broad, _CORNERS * page.pens)
    as_dark = (middles > 0) & (tone >= _DARKER * means[near])
    solid = _solids(broad, tone, means, page.pens)
    darker = np.bincount(near[(middles > 0) & ~as_dark & (_near(broad, 4) > 0)], minlength=count)
    lines = np.percentile(page.tone[middles > 0], 30) if middles.any() else page.black
    solid &= (darker < page.pens**2) & (_mean_by(broad, page.tone, count) < lines + _SAME)
    middles[as_dark & (near > 0) & ~solid[near]] = 0
    return middles, widened(solid[broad].astype(np.uint8), 5)


def _solids(broad: NDArray[np.int32], tone: Cells, means: Cells, pens: float) -> NDArray[np.bool_]:
    """Return which of the broad dark areas (h, w) are far darker than all that lies round them.

    Dyes over one another may be as dark as ink, but beside them lies one of the dyes alone, and a line in
    them is darker still.
    """
    ring = np.where(_near(broad, 4) > 0, 0, _near(broad, 2 * _RING * pens + 3))
    solid = _mean_by(ring, means[ring] < _SWALLOWED * tone, len(means)) > _ROUND
    solid[0] = False
    return solid


def _near(labels: NDArray[np.int32], diameter: float) -> NDArray[np.int32]:
    """Return labels (h, w) carried as far as half a diameter."""
    return np.asarray(cv2.dilate(labels.astype(np.float32), disc(diameter)), np.int32)


def _mean_by(labels: NDArray[np.int32], values: Cells | Grey | NDArray[np.bool_], count: int) -> Cells:
    """Return the mean value (n,) of each label (h, w)."""
    flat = labels.ravel()
    sums = np.bincount(flat, weights=values.ravel(), minlength=count)
    return np.asarray(sums / np.maximum(np.bincount(flat, minlength=count), 1), np.float32)


def _first_tones(page: Page, ink: Mask) -> Tones:
    """Return the tones by cells on the middles of lines, and well away from them."""
    ground = 1 - widened(ink, 2 * (_BESIDE * page.pens + 1) + 1)
    known = ground.astype(np.float32), ink.astype(np.float32)
    return tones_at(page.tints.astype(np.float32), *known, page.pens)


def _covered(page: Page, ground: Cells) -> Mask:
    """Return 1 where the ground (h, w, 3) is coloured in, small gaps in it included; grey lines are not."""
    tone = brightest(ground)
    broad = cv2.morphologyEx(tone, cv2.MORPH_CLOSE, disc(_WIDER * page.pens + 3))
    hue = tone - ground.min(axis=2)
    coloured = ((broad < _COVERED * PAPER) | (hue > CHROMA)).astype(np.uint8)
    coloured |= widened(coloured, 2 * page.pens) & (hue > _PALE * CHROMA)
    return closed(coloured, disc(2 * page.pens))


def _line_tone(page: Page, middles: Mask, ground: Cells) -> float:
    """Return how dark the lines on bare paper are."""
    bare = page.tone[(middles > 0) & (brightest(ground) > _COVERED * PAPER)]
    return float(np.percentile(bare, 30)) if len(bare) > page.pens**2 else page.black


def _dark(page: Page, tints: list[Grey], tones: Tones, ink: Mask) -> tuple[Grey, Tones]:
    """Return the darkness (H, W) of ink near its middle (h, w), and the tones that its edge lies between.

    Sure ink is as dark as the ink's middle; its edge is found against what lies right beside it, twice.
    """
    shape = tints[0].shape
    ground, black = (light_of(brightest(tone)) for tone in (tones.ground, tones.ink))
    apart = np.maximum(ground - black, 0)
    black += np.maximum(_INK * apart, np.minimum(_NOISE, _DIMMER * apart))
    bound = np.asarray(PAPER * black ** (1 / GAMMA), np.float32)
    bound[widened(ink, 2 * _REACH * page.pens + 1) == 0] = 0
    tone = lightest_of([np.asarray(cv2.GaussianBlur(tint, (0, 0), 0.8), np.uint8) for tint in tints])
    sure = np.where(tone < spread(bound.astype(np.uint8), page.cell, shape), 255, 0).astype(np.uint8)
    narrow = disc(max(3, int(_NARROW * _usual_width(sure))))
    for last in (False, True):
        sure = opened(sure, narrow)
        free = np.asarray(255 - widened(sure, 2 * _EDGE + 3), np.uint8)
        core = np.asarray(cv2.erode(sure, np.ones((3, 3), np.uint8)), np.uint8)
        found = tones_of(tints, free, core, page.cell, page.pens)
        tones = Tones(found.ground, np.where(found.ink < 0, tones.ink, found.ink))
        dark = darkness_on(tints, tones, page.cell) & widened(sure, 2 * _EDGE + 1)
        if not last:
            ink = np.where(dark > 127, 255, 0).astype(np.uint8)
            sure = np.asarray(cv2.erode(ink, np.ones((3, 3), np.uint8)), np.uint8)
    return dark, tones


def _tidied(page: Page, passed: Passed, cleared: Grey, covered: Mask, tones: tuple[Grey, float]) -> Grey:
    """Return the page (H, W) without scraps and pits of ink under colouring (h, w), and its lines evened.

    `tones` are the page's before the colouring was taken away, and that of its lines.
    """
    grey, line = tones
    pen = page.cell * page.pens
    near = spread(widened(covered, 4 * page.pens + 1), page.cell, grey.shape)
    plain = ((cleared < line + _HALF * (PAPER - line)) & (near > 0)).astype(np.uint8)
    ink = _without_pits(plain, pen)
    cleared[ink > plain] = round(line)
    lighter = cv2.subtract(cv2.GaussianBlur(grey, (0, 0), pen / 6), np.full(1, line, np.float64))
    coloured = spread(covered * 255, page.cell, grey.shape)
    inside = (coloured > 127).astype(np.uint8)
    gone, skeleton = scraps(ink, inside, np.asarray(lighter, np.uint8), passed, pen)
    cleared[widened(gone, 2 * _EDGE + 1) > 0] = PAPER
    light = Light(page.cell, light_of(page.tints))
    return evened(Lines(cleared, grey, coloured, skeleton, line, light), pen)


def _without_pits(ink: Mask, pen: float) -> Mask:
    """Return ink (H, W) without the specks of light in it."""
    whole = ink.copy()
    outlines, tree = cv2.findContours(ink, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    for outline, (*_, parent) in zip(outlines, tree[0] if tree is not None else [], strict=True):
        if parent >= 0 and cv2.contourArea(outline) < _PIT * pen**2:
            cv2.drawContours(whole, [outline], -1, 1, cv2.FILLED)
    return whole


def _usual_width(ink: Mask) -> float:
    """Return the usual width of ink (H, W) in pixels along its lines, 0 where there is none."""
    widths = ridge_widths(depths(ink))
    return float(np.median(widths)) if len(widths) else 0.0


def _streaks(page: Page, cleared: Grey, line: float) -> Mask:
    """Return the cells (h, w) of pale wax beside the colouring: darker than paper, far from ink.

    `cleared` (H, W) is the page without its colouring. Pale grey wax has no hue and hardly any tone;
    its streaks are no faint lines where the lines are as dark as ink.
    """
    darkest = cv2.erode(cv2.blur(cleared, (2, 2)), np.ones((page.cell, page.cell), np.uint8))
    left = celled(np.asarray(darkest, np.uint8), page.cell)
    ink = (left < line + _HALF * (PAPER - line)).astype(np.uint8)
    pale = (left < line + _STREAK * (PAPER - line)).astype(np.uint8)
    return pale & (1 - widened(ink, 2 * page.pens))


def _blocks(cells: Mask, cell: int, shape: tuple[int, ...]) -> Mask:
    """Return the cells' values for each of their pixels (H, W)."""
    whole = cv2.resize(cells, None, fx=cell, fy=cell, interpolation=cv2.INTER_NEAREST)
    return np.asarray(whole[: shape[0], : shape[1]], np.uint8)
