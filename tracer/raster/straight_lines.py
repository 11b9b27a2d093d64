"""Long straight edges in a small picture, each with its bright side, and the step of brightness along it."""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Small = NDArray[np.uint8]
Array = NDArray[np.float64]

FEW, MANY = 32, 72
"""Edges that are kept: a sheet's four, its drawing's and those of a table; of a striped cloth, more."""

_TURNS = 240
"""Directions told apart in the full circle: 1.5 degrees each."""

_SPREAD = 4
"""Directions to each side of its own for which a pixel votes: gradients are off by up to 6 degrees."""

_OFFSET = 2.0
"""Pixels between parallel lines that are told apart."""

_WEAK, _STRONG = 5, 12
"""Gradients (Sobel, eight times the slope) from which on a pixel is an edge, or begins one."""

_ENOUGH = 6000
"""Edge pixels that vote: a sheet's outline has 2000, a table's grain has many more."""

_CAP = 120.0
"""Gradient beyond which a pixel votes no louder: half a table's step is as sure as the whole."""

_NEAR = 2.5
"""Pixels from a line within which its edge pixels lie."""

_ALONG = 0.9
"""Cosine between a pixel's gradient and the normal of the line it belongs to, at the least."""

_FEWEST = 8
"""Edge pixels that make a line."""

STEP_AT = 3.5
"""Pixels to each side of an edge at which the brightness is compared."""

_LIGHT, _DIM = 240.0, 40.0
"""Steps are told as if the bright side were 200: in shadow, all differences shrink with the light."""

SPACING = 3.0
"""Pixels between comparisons along an edge."""


@dataclass(frozen=True, eq=False)
class Lines:
    """Straight edges of a small picture, all across it; frame: small px, pixel centres at halves.

    Attributes
    ----------
    normals : (n, 2) unit vectors to the brighter side.
    offsets : (n,) normal . point for the points of the edge.
    begin : (n,) where along (-ny, nx) the first step was measured, px; SPACING to the next.
    steps : (n, m) by how much the bright side is brighter, grey levels of the channel where it is
        most so, as if it were 200.
    seen : (n, m) bool, whether both sides lie in the picture.
    """

    normals: Array
    offsets: Array
    begin: Array
    steps: Array
    seen: NDArray[np.bool_]

    @property
    def along(self) -> Array:
        """The lines' directions (n, 2)."""
        return np.column_stack([-self.normals[:, 1], self.normals[:, 0]])


def lines_of(soft: Small, most: int) -> Lines:
    """Return the `most` outstanding edges of a picture (h, w, c) without thin lines and noise.

    Each edge pixel votes for the lines through it that run across its gradient (Ballard
    1981, after Hough 1962), with the bright side told from the dark; the peaks are fitted to
    their pixels by least squares.
    """
    points, gradients, strength = _edge_pixels(soft)
    normals, offsets = _peaks(points, gradients, strength, (*soft.shape[:2], most))
    for near in (2 * _NEAR, _NEAR):
        normals, offsets = _fitted(normals, offsets, near, (points, gradients, strength))
    return _measured(soft, normals, offsets)


def _edge_pixels(soft: Small) -> tuple[Array, Array, Array]:
    """Return the places (k, 2), unit gradients (k, 2) and their strengths (k,) of the edge pixels."""
    across = [cv2.Sobel(np.ascontiguousarray(c), cv2.CV_16S, 1, 0) for c in cv2.split(soft)]
    down = [cv2.Sobel(np.ascontiguousarray(c), cv2.CV_16S, 0, 1) for c in cv2.split(soft)]
    gx, gy = np.asarray(across[0]), np.asarray(down[0])
    for other_x, other_y in zip(across[1:], down[1:], strict=True):
        more = np.abs(other_x) + np.abs(other_y) > np.abs(gx) + np.abs(gy)
        gx, gy = np.where(more, other_x, gx), np.where(more, other_y, gy)
    edges = cv2.Canny(gx, gy, _WEAK, _STRONG, L2gradient=True)
    row, column = np.nonzero(edges)
    every = slice(None, None, 1 + len(row) // _ENOUGH)
    row, column = row[every], column[every]
    gradients = np.column_stack([gx[row, column], gy[row, column]]).astype(np.float64)
    strength = np.hypot(gradients[:, 0], gradients[:, 1])
    points = np.column_stack([column + 0.5, row + 0.5])
    return points, gradients / strength[:, None], np.minimum(strength, _CAP)


def _peaks(
    points: Array, gradients: Array, strength: Array, shape: tuple[int, int, int]
) -> tuple[Array, Array]:
    """Return the normals (n, 2) and offsets (n,) most voted for; `shape` is (height, width, n)."""
    reach = math.hypot(*shape[:2])
    rows = int(2 * reach / _OFFSET) + 2
    own = np.round(np.arctan2(gradients[:, 1], gradients[:, 0]) * _TURNS / math.tau).astype(np.intp)
    turns = (own[:, None] + np.arange(-_SPREAD, _SPREAD + 1)) % _TURNS
    angles = turns * (math.tau / _TURNS)
    offset = points[:, :1] * np.cos(angles) + points[:, 1:] * np.sin(angles)
    row = ((offset + reach) / _OFFSET + 0.5).astype(np.intp)
    weights = np.repeat(strength, 2 * _SPREAD + 1)
    votes = np.bincount((row * _TURNS + turns).ravel(), weights, rows * _TURNS).reshape(rows, _TURNS)
    votes = votes.astype(np.float32)
    votes = np.asarray(cv2.blur(np.hstack([votes[:, -4:], votes, votes[:, :4]]), (1, 3)))
    highest = np.asarray(cv2.dilate(votes, np.ones((7, 7), np.uint8)))
    at, turn = np.nonzero((votes[:, 4:-4] >= highest[:, 4:-4]) & (votes[:, 4:-4] > 0))
    best = np.argsort(-votes[at, turn + 4], kind="stable")[: shape[2]]
    angle = turn[best] * (math.tau / _TURNS)
    normals = np.column_stack([np.cos(angle), np.sin(angle)])
    return normals, np.asarray(at[best] * _OFFSET - reach, np.float64)


def _fitted(
    normals: Array, offsets: Array, near: float, pixels: tuple[Array, Array, Array]
) -> tuple[Array, Array]:
    """Return the lines (n, 2), (n,) through the edge pixels that lie near some, and run along them."""
    points, gradients, strength = pixels
    across = normals.T.astype(np.float32)
    own = np.abs(points.astype(np.float32) @ across - offsets.astype(np.float32)) < near
    own &= gradients.astype(np.float32) @ across > _ALONG
    x, y = points.T
    sums = own.T.astype(np.float64) @ (strength[:, None] * np.column_stack([x**0, x, y, x * x, x * y, y * y]))
    weight = np.maximum(sums[:, 0], 1e-9)
    mx, my, xx, xy, yy = (sums[:, 1:] / weight[:, None]).T
    turn = 0.5 * np.arctan2(2 * (xy - mx * my), (xx - mx * mx) - (yy - my * my))
    fitted = np.column_stack([-np.sin(turn), np.cos(turn)])
    fitted *= np.where((fitted * normals).sum(axis=1) < 0, -1, 1)[:, None]
    enough = own.sum(axis=0) >= _FEWEST
    fitted = np.asarray(np.where(enough[:, None], fitted, normals))
    return fitted, np.asarray(np.where(enough, fitted[:, 0] * mx + fitted[:, 1] * my, offsets))


def _measured(soft: Small, normals: Array, offsets: Array) -> Lines:
    """Measure the steps along lines."""
    height, width = soft.shape[:2]
    along = np.column_stack([-normals[:, 1], normals[:, 0]])
    feet = normals * offsets[:, None]
    middle = np.array([width / 2, height / 2])
    half = 0.75 * math.hypot(width, height)
    begin = ((middle - feet) * along).sum(axis=1) - half
    places = begin[:, None] + SPACING * np.arange(int(2 * half / SPACING))
    on = feet[:, None] + places[..., None] * along[:, None]
    aside = STEP_AT * normals[:, None]
    bright, bright_in = _sampled(soft, on + aside)
    dark, dark_in = _sampled(soft, on - aside)
    steps = (bright - dark).max(axis=-1) * (_LIGHT / (bright.max(axis=-1) + _DIM))
    return Lines(normals, offsets, begin, steps, bright_in & dark_in)


def _sampled(soft: Small, points: Array) -> tuple[NDArray[np.int16], NDArray[np.bool_]]:
    """Return the pixels (n, m, c) at points (n, m, 2), and whether (n, m) they lie in the picture."""
    height, width = soft.shape[:2]
    column, row = np.floor(points[..., 0]).astype(np.intp), np.floor(points[..., 1]).astype(np.intp)
    inside = (column >= 0) & (column < width) & (row >= 0) & (row < height)
    pixels = soft[np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)]
    return pixels.astype(np.int16), inside
