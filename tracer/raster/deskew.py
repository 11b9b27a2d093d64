"""A scan that lies a little askew is turned straight, by its long straight lines."""

import math
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.scan import Scan
from tracer.raster.sheet import small_copy

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

MOST_DEG = 15.0
"""A scan is turned by no more: what lies farther askew was drawn so."""

LEAST_DEG = 0.05
"""Below this there is nothing to turn: half a mm in 600."""

ASKEW_DEG, DRAWN_DEG = 0.5, 4.0
"""From which on a scan that is not to be turned is said to lie askew, and from which on it was drawn so."""

_SMALL = 1000
"""Pixels of the longer side of the copy that is looked at."""

_COARSE_DEG, _FINE_DEG = 0.25, 0.02
"""Steps of the angles tried, first and last."""

_EDGE = 120
"""Gradient (Sobel, eight times the slope) from which on a pixel is an edge."""

_PEAKED = 3.0
"""How much better the best angle must be than the usual one: without long straight lines all are alike."""


def turned_straight(scan: Scan) -> Scan:
    """Return a scan turned so that its long lines run level and plumb, and a note of by how much.

    Those are the paper's edges, frames, ruling, rows of text. The angle is that at which the
    sums of the edges along it differ most from one to the next (Postl 1986).
    """
    angle_deg = skew_deg(scan.grey)
    if angle_deg is None:
        note = "no long straight lines were found by which to turn it straight: it was left as it lies"
        return replace(scan, notes=(*scan.notes, note))
    if abs(angle_deg) < LEAST_DEG:
        return replace(scan, notes=(*scan.notes, "it lies straight already and was not turned"))
    way = "anticlockwise" if angle_deg > 0 else "clockwise"
    note = f"turned {way} by {abs(angle_deg):.2f} degrees to lie straight"
    colour = None if scan.colour is None else _turned(scan.colour, angle_deg)
    grey = (
        _turned(scan.grey, angle_deg)
        if colour is None
        else np.asarray(cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY), np.uint8)
    )
    return replace(scan, grey=grey, colour=colour, notes=(*scan.notes, note))


def with_skew_told(scan: Scan) -> Scan:
    """Return a scan with a note of how far its long lines lie askew, where they do."""
    edges = _edges(scan.grey)
    angle_deg = None if _lies_level(*edges) else _skew_deg(*edges)
    if angle_deg is None or not ASKEW_DEG <= abs(angle_deg) <= DRAWN_DEG:
        return scan
    way = "clockwise" if angle_deg > 0 else "anticlockwise"
    note = f"its straight lines lie {abs(angle_deg):.1f} degrees askew, {way}: --deskew turns it straight"
    return replace(scan, notes=(*scan.notes, note))


def skew_deg(grey: Picture) -> float | None:
    """Return by how many degrees, clockwise as seen, the long lines of a picture (H, W) lie askew.

    None where there are none, or they lie farther askew than MOST_DEG.
    """
    return _skew_deg(*_edges(grey))


def _lies_level(level: Array, plumb: Array) -> bool:
    """Say whether edges are piled highest as they lie, of all the angles that are told or next to one.

    Most pictures do; where another angle is better still, it is none that is told.
    """
    most = _piled(level, plumb, 0.0, 2.0)
    steps = range(1, round(DRAWN_DEG / _COARSE_DEG) + 2)
    angles = (way * step * _COARSE_DEG for step in steps for way in (1, -1))
    return all(_piled(level, plumb, angle, 2.0) < most for angle in angles)


def _skew_deg(level: Array, plumb: Array) -> float | None:
    """Return the same of the level and the plumb edges (n, 2) of a picture."""
    if len(level) + len(plumb) < _SMALL // 4:
        return None
    angles = np.arange(-MOST_DEG, MOST_DEG + _COARSE_DEG / 2, _COARSE_DEG)
    piled = np.array([_piled(level, plumb, a, 2.0) for a in angles])
    best = int(np.argmax(piled))
    if piled[best] < _PEAKED * np.median(piled) or best in (0, len(angles) - 1):
        return None
    near = angles[best] + np.arange(-_COARSE_DEG, _COARSE_DEG + _FINE_DEG / 2, _FINE_DEG)
    fine = cv2.GaussianBlur(np.array([[_piled(level, plumb, a, 1.0) for a in near]]), (0, 0), 2.0).ravel()
    return float(near[int(np.argmax(fine))])


def _edges(grey: Picture) -> tuple[Array, Array]:
    """Return the places (n, 2) of level edges and (m, 2) of plumb ones, small px from the middle."""
    factor = max(1, round(max(grey.shape) / _SMALL))
    small = small_copy(grey, _SMALL)[0][..., 0] if factor > 1 else grey
    gx = np.asarray(cv2.Sobel(small, cv2.CV_16S, 1, 0), np.int32)
    gy = np.asarray(cv2.Sobel(small, cv2.CV_16S, 0, 1), np.int32)
    slope = math.tan(math.radians(MOST_DEG + 5))
    middle = np.array(small.shape[::-1]) / 2
    found = []
    for one, other in ((gy, gx), (gx, gy)):
        row, column = np.nonzero((np.abs(one) > _EDGE) & (np.abs(other) < slope * np.abs(one)))
        found.append(np.column_stack([column + 0.5, row + 0.5]) - middle)
    return found[0], found[1]


def _piled(level: Array, plumb: Array, angle_deg: float, width: float) -> float:
    """Return how unlike neighbouring bands of edges are, of some `width` px, that lie askew by an angle."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    high = 0.0
    for places in (level @ (-s, c), plumb @ (c, s)):
        if len(places):
            counts = np.bincount(((places - places.min()) / width).astype(np.intp)).astype(np.float64)
            apart = np.diff(counts)
            high += float(apart @ apart) / width
    return high


def _turned(picture: Picture, angle_deg: float) -> Picture:
    """Return a picture (H, W[, 3]) turned back about its middle, whole, on its own paper."""
    height, width = picture.shape[:2]
    matrix = cv2.getRotationMatrix2D(((width - 1) / 2, (height - 1) / 2), angle_deg, 1.0)
    c, s = abs(matrix[0, 0]), abs(matrix[0, 1])
    size = math.ceil(width * c + height * s), math.ceil(height * c + width * s)
    matrix[:, 2] += (size[0] - width) / 2, (size[1] - height) / 2
    rim = np.concatenate([picture[0], picture[-1], picture[:, 0], picture[:, -1]])
    paper = tuple(float(v) for v in np.atleast_1d(np.median(rim, axis=0)))
    return np.asarray(
        cv2.warpAffine(picture, matrix, size, flags=cv2.INTER_CUBIC, borderValue=paper), np.uint8
    )
