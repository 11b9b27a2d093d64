"""Is it line art at all: photographs, shaded paintings and pages of text are refused with a reason."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.errors import ArtError
from tracer.geometry.together import together
from tracer.model.scan import Scan
from tracer.raster.binarize import Mask
from tracer.raster.glance import glance

Flags = NDArray[np.bool_]
Pixels = NDArray[np.uint8]
Ratios = NDArray[np.float32]

SIDE = 400
"""Pixels of the longer side on which areas are judged: lines are a few wide there, and close."""

LINE = 7
"""Pixels of those that a line is narrower than: what is wider is an area."""

SHADE = (0.25, 0.7)
"""Brightness of what is neither ink nor paper, in parts of the paper's."""

SHADED = 0.1
"""Part of a picture that is such from which on it may be a photograph: colouring leaves a channel bright."""

RIM, FRAMED = 0.03, 0.75
"""How wide the picture's rim is, in parts of its longer side, and how much of a drawing's is paper."""

HUELESS, MODELLED = 0.25, 0.15
"""Saturation of what no crayon coloured, and how much of it is shade in a picture modelled in grey."""

STEP, CROSSED = 0.4, 0.3
"""How steep an area's edge is, by a Sobel operator, and how much darker than round about a line is."""

STANDS_OUT = 0.05
"""By what part of the paper's brightness a line is darker at the least, in the darkest places too."""

BARE = 0.06
"""Part of the edges between areas that no line follows from which on they were not drawn."""

FEW = 0.001
"""Part of the picture that lines cover at the least."""

PAPER, LITTLE = 0.8, 0.2
"""Brightness of paper in parts of the brightest near by, and the part of a picture it covers at the least."""

JUMP, NOISY = 64, 0.35
"""Greys between neighbours, and the part of all that are so far apart in noise: half, in coin tosses."""

READ_SIDE = 1600
"""Pixels of the longer side on which letters are told: some ten to a letter of an ordinary page."""

LETTERS, ROWS = 150, 4
"""Marks in rows from which on they are a text; nobody carves so many."""

IN_ROWS = 0.6
"""Part of the marks, and of the ink, that stands in the rows of a text."""

ROW = 6
"""Marks that stand side by side in a row."""


def refuse_shaded(scan: Scan) -> None:
    """Refuse a photograph or a shaded painting.

    Drawn areas have lines round them, and paper beside them. In a photograph much is neither
    as bright as paper nor as dark as ink, areas meet without a line, and it goes on to the
    border; a shaded drawing is grey where a coloured one has hues.

    Raises
    ------
    ArtError
        With what was measured, and what to do instead.
    """
    small = glance(scan.grey if scan.colour is None else scan.colour, SIDE)
    bright = _brightness(small)
    area = _closed(bright)
    shaded = (area > SHADE[0]) & (area < SHADE[1])
    shade = float(shaded.mean())
    if shade < SHADED or (_framed(area) and np.mean(shaded & ~_hued(small)) < MODELLED):
        return
    bare = _bare_edges(area, bright)
    if bare > BARE or np.mean(bright > PAPER) < LITTLE:
        raise ArtError(
            f"{scan.name} looks like a photograph or a shaded picture: {shade:.0%} of it is neither paper "
            f"nor ink, and {bare:.0%} of the edges in it have no line. Draw its outlines on paper and use "
            "that; of a sheet in a photo say where its --corners are, and neither --dpi nor --art-width; "
            "or go on with --insist."
        )


def _framed(area: Ratios) -> bool:
    """Say whether the picture's rim is paper."""
    rim = max(2, round(RIM * max(area.shape)))
    inside = np.zeros(area.shape, bool)
    inside[rim:-rim, rim:-rim] = True
    return bool(np.mean(area[~inside] > PAPER) > FRAMED)


def _hued(small: Pixels) -> Flags:
    """Return where the picture (h, w[, 3]) is saturated: its lightest channel well above its darkest."""
    if small.ndim == 2:
        return np.zeros(small.shape, bool)
    lightest, darkest = small.max(axis=2).astype(np.float32), small.min(axis=2)
    hued: Flags = cv2.blur(lightest - darkest, (5, 5)) > HUELESS * np.maximum(cv2.blur(lightest, (5, 5)), 1)
    return hued


def _brightness(small: Pixels) -> Ratios:
    """Return the lightest channel's brightness (h, w) in parts of the brightest paper's in a wide round."""
    height, width = small.shape[:2]
    wide = 2 * (min(height, width) // 8) + 11
    square = np.ones((wide, wide), np.uint8)
    paper = cv2.morphologyEx(small, cv2.MORPH_CLOSE, square).astype(np.float32)
    smooth = np.asarray(cv2.GaussianBlur(paper, (0, 0), wide / 4), np.float32)
    ratios = np.divide(small, np.maximum(smooth, 1), dtype=np.float32)
    return ratios if ratios.ndim == 2 else np.asarray(ratios.max(axis=2), np.float32)


def _bare_edges(area: Ratios, bright: Ratios) -> float:
    """Return the part of the edges in `area` (h, w) that no line in `bright` (h, w) follows.

    Where hardly anything is a line, that is all of them: shades that fade have no edges.
    """
    steep = np.hypot(cv2.Sobel(area, cv2.CV_32F, 1, 0), cv2.Sobel(area, cv2.CV_32F, 0, 1)) > STEP
    line = _lines(area, bright)
    if line.mean() < FEW:
        return 1.0
    beside = cv2.dilate(line, np.ones((LINE, LINE), np.uint8)) > 0
    return float((steep & ~beside).sum()) / max(1.0, float(steep.sum()))


def refuse_noise(scan: Scan) -> None:
    """Refuse noise, where hardly a pixel is like the next one.

    Raises
    ------
    ArtError
        With what was measured, and what to do instead.
    """
    grey = scan.grey[:: max(1, scan.grey.shape[0] // 256)].astype(np.int16)
    jumps = float(np.mean(np.abs(np.diff(grey, axis=1)) > JUMP))
    if jumps > NOISY:
        raise ArtError(
            f"{scan.name} is noise: {jumps:.0%} of all pixels differ from the next one. Choose a picture "
            "with dark lines on light paper, or go on with --insist."
        )


def _closed(bright: Ratios) -> Ratios:
    """Return the picture (h, w) without what is narrower than LINE."""
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (LINE, LINE))
    return np.asarray(cv2.morphologyEx(bright, cv2.MORPH_CLOSE, disc), np.float32)


def _lines(area: Ratios, bright: Ratios) -> NDArray[np.uint8]:
    """Return 1 where the picture (h, w) is much darker than its areas, 0 elsewhere."""
    darker: Flags = (area - bright) > np.maximum(CROSSED * area, STANDS_OUT)
    return darker.view(np.uint8)


def refuse_text(mask: Mask, name: str) -> None:
    """Refuse a page of text; `mask` (H, W) is 1 on ink.

    Raises
    ------
    ArtError
        Where most marks, and most ink, stand side by side in rows, and they are many.
    """
    small = glance(mask, READ_SIDE) if max(mask.shape) > READ_SIDE else mask
    outlines = cv2.findContours(small, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)[0]
    if len(outlines) < LETTERS:
        return
    marks = np.array([cv2.boundingRect(outline) for outline in outlines], np.int32)
    row = _rows(marks)
    sizes = np.bincount(row)
    text = sizes[row] >= ROW
    letters, rows = int(text.sum()), int(np.count_nonzero(sizes >= ROW))
    ink = np.array([cv2.contourArea(outline) for outline in outlines])
    many = letters >= max(LETTERS, IN_ROWS * len(marks)) and rows >= ROWS
    if many and ink[text].sum() > IN_ROWS * ink.sum():
        raise ArtError(
            f"{name} looks like a page of text: about {letters} marks of like height stand in {rows} rows. "
            "Cut out the picture or the few large words to carve and use that, or go on with --insist."
        )


def _rows(marks: NDArray[np.int32]) -> NDArray[np.int32]:
    """Return the row (m,) of each mark (m, 4: left, top, width, height).

    Marks that follow one another on a line, of like height, are of one row.
    """
    left, top, width, tall = (marks[:, k].astype(np.float32) for k in range(4))
    order = np.argsort(left)
    left, width, tall, bottom = left[order], width[order], tall[order], (top + tall)[order]
    pairs = []
    for k in range(len(marks)):
        far = int(np.searchsorted(left, left[k] + width[k] + 2 * tall[k]))
        near = slice(k + 1, far)
        like = (tall[near] < 2 * tall[k]) & (tall[k] < 2 * tall[near])
        level = np.abs(bottom[near] - bottom[k]) < 0.25 * np.maximum(tall[near], tall[k])
        follows = np.flatnonzero(like & level)
        pairs += [(k, k + 1 + int(j)) for j in follows[:1]]
    count = len(marks)
    row = np.empty(count, np.int32)
    row[order] = together(np.array(pairs, np.intp).reshape(-1, 2), count)
    return row
