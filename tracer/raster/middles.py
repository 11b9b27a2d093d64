"""The middles of ink lines in colouring: they let far less light through than both their sides."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.cells import closed, disc, widened

Cells = NDArray[np.float32]
Mask = NDArray[np.uint8]

_TURNS = 8
"""Directions of lines that are told apart."""

_CORE, _LONG = 0.4, 0.6
"""Pens across and along of a piece of a line's middle, and of its sides, that is looked at."""

_AWAY = 0.8
"""Pens from the middle to where each side begins, clear of the line's blurred edge."""

DIM, _DIM_SIDE = 0.002, 0.004
"""Light, of the paper's, that a scan is uncertain by where it is darkest: of a middle, and of its side."""

_SURE, _LIKELY, _MAYBE = 0.15, 0.3, 0.6
"""Part of its sides' light that ink lets through: surely ink; ink if sure ink goes on in it; ink if it
joins ink to ink. Printing ink lets 3 % through, wax that lies on it throws up to 10 % back; the darkest wax
lets 8 % through, most let 15 % and more."""

_SEEN, _REACH = 0.25, 1.6
"""Squared pens of a line that are surely ink at least, and pens that it is long."""

_SPAN = 6.0
"""Pens to which ink that only maybe is some joins ink: the furrows between strokes of wax are longer."""

_CROSSED = 0.3
"""Part of the light round about that a dot lets through at most in whatever direction."""


def let_through(light: Cells, floor: float, pens: float) -> tuple[Cells, Cells]:
    """Return the part (h, w) of the light of its sides that each cell lets through: the least and the most.

    `light` (h, w, 3) is linear, 1 on paper, `floor` what the darkest ink throws back, `pens` a line's
    width in cells. Of each direction that a line might have the brighter of its two parts counts; the
    least is that of the likeliest direction, the most is small only where a dot is.

    Layers of dye and wax multiply (Beer 1852, Lambert 1760). Each side is taken in the channel that its
    colour lets pass best: there ink is seen best. Light has to be linear and free of the surface's
    own gleam: in grey levels dark wax and ink are alike.
    """
    least = np.full(light.shape[:2], 9, np.float32)
    most = np.zeros(light.shape[:2], np.float32)
    away = pens * (_AWAY + _CORE / 2)
    for angle in np.pi * np.arange(_TURNS) / _TURNS:
        means = cv2.filter2D(light, -1, _window(angle, pens), borderType=cv2.BORDER_REPLICATE)
        bright = brightest(np.asarray(means, np.float32)) - np.float32(floor)
        step = round(-away * np.sin(angle)), round(away * np.cos(angle))
        clear = np.minimum(_moved(bright, *step), _moved(bright, -step[0], -step[1]))
        part = (bright + np.float32(DIM)) / (np.maximum(clear, 0) + np.float32(_DIM_SIDE))
        np.minimum(least, part, out=least)
        np.maximum(most, part, out=most)
    return least, most


def brightest(light: Cells) -> Cells:
    """Return the brightest of the three channels (h, w, 3) of each cell, channel by channel: quick."""
    one, other, third = cv2.split(light)
    return np.asarray(cv2.max(cv2.max(one, other), third), np.float32)


def _window(angle: float, pens: float) -> Cells:
    """Return the kernel of a piece of a line's middle at an angle."""
    reach = int(np.ceil(pens * np.hypot(_CORE, _LONG) / 2)) + 1
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1].astype(np.float32)
    along, across = x * np.cos(angle) + y * np.sin(angle), y * np.cos(angle) - x * np.sin(angle)
    box = np.clip(pens * _CORE / 2 + 0.5 - np.abs(across), 0, 1)
    box *= np.clip(pens * _LONG / 2 + 0.5 - np.abs(along), 0, 1)
    return np.asarray(box / box.sum(), np.float32)


def _moved(cells: Cells, across: int, down: int) -> Cells:
    """Return what lies so many cells across and down from each cell (h, w), the border's beyond it."""
    height, width = cells.shape
    x, y = abs(across), abs(down)
    wide = np.asarray(cv2.copyMakeBorder(cells, y, y, x, x, cv2.BORDER_REPLICATE), np.float32)
    return wide[y + down : y + down + height, x + across : x + across + width]


def ink_middles(least: Cells, most: Cells, pens: float) -> Mask:
    """Return 1 on the middles of ink lines and dots (h, w), by the light they let through."""
    likely = (least < _LIKELY).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(likely, connectivity=8)
    sure = np.bincount(labels[least < _SURE], minlength=count)
    long = stats[:, [cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT]].max(axis=1) >= _REACH * pens
    dot = (np.bincount(labels[most < _CROSSED], minlength=count) > 0) & (sure > 0)
    kept = (sure >= _SEEN * pens**2) & (sure >= _SURE * stats[:, cv2.CC_STAT_AREA]) & long | dot
    kept[0] = False
    marks = closed((least < _MAYBE).astype(np.uint8), disc(3))
    return _joined(kept[labels].astype(np.uint8), marks, _SPAN * pens)


def _joined(kept: Mask, marks: Mask, span: float) -> Mask:
    """Return what is `kept` (h, w) of the marks, and the short rest that joins it at two places or more."""
    count, rest, stats, _ = cv2.connectedComponentsWithStats(marks & (1 - widened(kept, 3)), connectivity=8)
    near = cv2.dilate(rest.astype(np.float32), np.ones((5, 5), np.uint8)).astype(np.intp)
    ends, touching = cv2.connectedComponents(((near > 0) & (kept > 0)).astype(np.uint8), connectivity=8)
    of_part = np.zeros(ends, np.intp)
    of_part[touching.ravel()] = near.ravel()
    joins = np.bincount(of_part[1:], minlength=count) > 1
    joins &= stats[:, [cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT]].max(axis=1) <= span
    joins[0] = False
    return np.asarray(kept | (marks & joins[near]), np.uint8)
