"""The paper's brightness divided out: lamps, shadows and what the lens does to them."""

import itertools

import cv2
import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.uint8]

_REACH = 11
"""Cells across which the brightest paper counts: wider than any line, narrower than lamp fall-off."""

_WIDE = 8
"""Cells of the grid across which solids are bridged: this part of the picture's shorter side to each side."""

_SUNK = 0.35
"""Paper darker than this part of the way from ink to the brightness round about is no paper but a solid."""

_SOLID = 0.6
"""What is brighter than this part of the brightness round about may be paper in a shadow: one that takes
six tenths of the light leaves 0.4 ** (1 / 2.2) = 0.66 of the grey (IEC 61966-2-1, about).
"""

_BLUR = 4.0
"""Cells over which the paper's brightness is smoothed."""

_EDGE = 0.8
"""The same where shadows have edges; there a cell is half as large, too."""

_STEEP = 0.88
"""Paper darker than this part of the brightest within the closing's reach lies where light is steep."""

_STEPS, _GROWS = (0, 2, 4, 7), 0.97
"""Cells from the border between which light grows at a gutter, and by at least how much, in parts."""

_EDGES = 0.002
"""Part of the picture that is steep from which on the paper is estimated anew."""


def even_light(grey: Grey) -> Grey:
    """Return `grey` (H, W) divided by the paper's brightness round about, paper at 250."""
    grey = np.ascontiguousarray(grey)
    quarter = _halved(_halved(grey))
    paper, steep = paper_of(_halved(quarter), _BLUR)
    if steep < _EDGES:
        paper = np.asarray(cv2.resize(paper, grey.shape[::-1]), np.uint8)
    else:
        paper = _paper_with_edges(grey, paper_of(quarter, _EDGE)[0])
    return np.asarray(cv2.divide(grey, paper, dst=paper, scale=250), np.uint8)


def _paper_with_edges(grey: Grey, cells: Grey) -> Grey:
    """Return the paper's brightness (H, W) from that of cells a few pixels wide.

    At a shadow's edge it jumps within a cell, nobody knows where: a pixel as bright as the
    cells round about, or between two of them, is paper.
    """
    three = np.ones((3, 3), np.uint8)
    darkest = cv2.resize(cv2.erode(cells, three), grey.shape[::-1])
    brightest = cv2.resize(cv2.dilate(cells, three), grey.shape[::-1])
    return np.asarray(cv2.min(cv2.max(grey, darkest), brightest), np.uint8)


def paper_of(coarse: Grey, blur: float) -> tuple[Grey, float]:
    """Return the paper's brightness (h, w) for a small picture `coarse` (h, w), and on what part it is steep.

    A morphological closing bridges lines and follows lamp fall-off. In solids wider than
    its reach it would sink to the ink: what a far wider closing says is much brighter, and is
    nearly as dark as ink, takes its brightness from round about. Then it is blurred by
    `blur` cells. Where light falls off within the closing's reach, or has an edge, both are wrong.
    """
    disc = np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (_REACH, _REACH)), np.uint8)
    gutters = _gutters(coarse)
    near = _closed(coarse, disc, gutters).astype(np.float32)
    wide = 2 * (min(coarse.shape) // _WIDE) + _REACH
    far = _closed(coarse, np.ones((wide, wide), np.uint8), gutters).astype(np.float32)
    ink, usual = np.percentile(coarse, 1), np.median(near)
    floor = _off_gutters(ink + _SUNK * (usual - ink), coarse.shape, wide // 2, gutters)
    far = np.maximum(far, floor).astype(np.float32)
    sunk = cv2.dilate(
        (near < np.minimum(ink + _SUNK * (far - ink), _SOLID * far)).astype(np.uint8),
        np.ones((3, 3), np.uint8),
    )
    seen = (1 - sunk).astype(np.float32)
    weight = cv2.GaussianBlur(seen, (0, 0), blur) + np.float32(1e-3)
    paper = (cv2.GaussianBlur(near * seen, (0, 0), blur) + 1e-3 * far) / weight
    steep = (near < _STEEP * cv2.dilate(near, disc)) & (cv2.dilate(sunk, disc) == 0)
    return np.clip(paper, 1, 255).astype(np.uint8), np.count_nonzero(steep) / steep.size


def _gutters(coarse: Grey) -> tuple[bool, bool, bool, bool]:
    """Say at which sides (top, bottom, left, right) of a page (h, w) light falls off to the border.

    As at a book's spine: on most of the side it grows from cell to cell, not at once as beside a line.
    """
    sides = (coarse, coarse[::-1], coarse.T, coarse.T[::-1])
    if min(coarse.shape) <= _STEPS[-1]:
        return False, False, False, False
    steps = [[float(np.median(side[k])) for k in _STEPS] for side in sides]
    found = [all(a < _GROWS * b for a, b in itertools.pairwise(grey)) for grey in steps]
    return found[0], found[1], found[2], found[3]


def _off_gutters(
    value: float, shape: tuple[int, ...], near: int, gutters: tuple[bool, bool, bool, bool]
) -> NDArray[np.float32]:
    """Return a value for a page (h, w), and 0 within some cells of its gutters."""
    values = np.full(shape, value, np.float32)
    for gutter, side in zip(gutters, (values, values[::-1], values.T, values.T[::-1]), strict=True):
        if gutter:
            side[:near] = 0
    return values


def _closed(coarse: Grey, shape: Grey, gutters: tuple[bool, bool, bool, bool]) -> Grey:
    """Return a page (h, w) closed by a shape; dark at a border with a gutter is no line to be bridged."""
    if not any(gutters):
        return np.asarray(cv2.morphologyEx(coarse, cv2.MORPH_CLOSE, shape), np.uint8)
    reach = len(shape)
    top, bottom, left, right = (reach if gutter else 0 for gutter in gutters)
    dark = cv2.copyMakeBorder(coarse, top, bottom, left, right, cv2.BORDER_CONSTANT, value=0)
    height, width = coarse.shape
    return np.asarray(
        cv2.morphologyEx(dark, cv2.MORPH_CLOSE, shape)[top : top + height, left : left + width], np.uint8
    )


def _halved(grey: Grey) -> Grey:
    """Return `grey` (H, W) at half the size: whole pixels are averaged, which is quick."""
    height, width = (max(2, n // 2 * 2) for n in grey.shape)
    whole = grey[:height, :width]
    return np.asarray(cv2.resize(whole, (width // 2, height // 2), interpolation=cv2.INTER_AREA), np.uint8)
