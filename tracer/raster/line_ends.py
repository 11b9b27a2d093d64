"""Where lines end on paper with other ink ahead: place, direction and width to a fraction of a pixel."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]

FITTED = 2.5
"""Line widths behind an end over which its direction is measured."""

SHORTEST = 1.0
"""Line widths that an end must be followed back for its direction to mean anything."""

NEAR = 0.9
"""Line widths behind an end over which its own width and darkness are measured."""

_FAN = np.radians((-40.0, -20.0, 0.0, 20.0, 40.0))
"""Directions in which other ink is looked for ahead of an end."""

_PLACES = 14
"""Places behind an end at which the two edges of its ink are measured."""

_ACROSS = np.linspace(0.0, 1.3, 27)
"""Where the darkness is looked at to either side, in line widths."""

BLOCK = 4000
"""Ends that are measured at a time: each takes some ten kilobytes."""

_ROWS = 20_000
"""Rows a call of the sampler takes: it addresses no more than 32 767."""

_STEPS = ((0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0), (1, 1))


@dataclass(frozen=True, eq=False)
class Trails:
    """The skeleton's pixels from each end backwards.

    Attributes
    ----------
    pixels : (n, m, 2) columns and rows, the end first; the last one repeats where the line stops.
    count : (n,) pixels that count.
    other : (n,) bool, the last of them is the line's other end.
    """

    pixels: Index
    count: Index
    other: Flags


@dataclass(frozen=True, eq=False)
class LineEnds:
    """Ends of lines, one row each, in ink pixels.

    Attributes
    ----------
    pixels, before : (n, 2) column and row of the skeleton's last pixel, and of the one before it.
    points : (n, 2) the middle of the line there; the pen reached up to half a width further.
    headings : (n, 2) unit vectors onwards.
    widths, usual : (n,) the line's width at its end, and that of it all as far as it was looked at.
    inks : (n,) how dark its middle is, 0 to 255.
    lengths : (n,) how far the line was followed back, FITTED of its widths at the most.
    """

    pixels: Index
    before: Index
    points: Array
    headings: Array
    widths: Array
    usual: Array
    inks: Array
    lengths: Array

    def of(self, rows: Index | Flags) -> "LineEnds":
        """Return some of the ends."""
        return LineEnds(*(column[rows] for column in vars(self).values()))


class Skeleton:
    """A skeleton (H, W) that can be walked along; at the picture's border it may look joined to itself."""

    def __init__(self, skeleton: Flags) -> None:
        self._flat, self._width = skeleton.ravel(), skeleton.shape[1]
        self._steps = np.array([row * self._width + column for row, column in _STEPS])

    def ends(self) -> Index:
        """Return the pixels (n, 2), column and row, that have one neighbour."""
        pixels = np.flatnonzero(self._flat)
        around = np.zeros(len(pixels), np.uint8)
        for step in self._steps.tolist():
            around += self._flat.take(pixels + step, mode="clip")
        return self._places(pixels[around == 1])

    def trails(self, ends: Index, most: int) -> Trails:
        """Return up to `most` pixels of the lines from `ends` (n, 2) backwards, up to the next junction."""
        here = ends[:, 1] * self._width + ends[:, 0]
        walked = np.repeat(here[:, None], most, axis=1)
        count, other = np.ones(len(here), np.intp), np.zeros(len(here), bool)
        going, came = np.arange(len(here)), np.full(len(here), -1)
        for k in range(1, most):
            around = self._flat.take(walked[going, k - 1][:, None] + self._steps, mode="clip")
            if k > 1:
                around[np.arange(len(going)), came[going]] = False
            ways = around.sum(axis=1)
            other[going[ways == 0]] = True
            going, way = going[ways == 1], around.argmax(axis=1)[ways == 1]
            if not len(going):
                break
            came[going] = (way + 4) % 8
            walked[going, k:] = (walked[going, k - 1] + self._steps[way])[:, None]
            count[going] = k + 1
        return Trails(self._places(walked), count, other)

    def _places(self, pixels: Index) -> Index:
        return np.stack(np.divmod(pixels, self._width)[::-1], axis=-1)


def find_line_ends(ink: Ink, skeleton: Skeleton, ends: Index, reach: float) -> LineEnds:
    """Return those of `ends` (n, 2) that have ink ahead, across at most `reach` line widths of paper.

    Their direction is that of a parabola through the middles between the two edges of the ink.
    """
    ends = ends[_ink_ahead(ink, skeleton.trails(ends, max(4, round(ink.line_width))), reach)]
    trails = skeleton.trails(ends, max(4, round(FITTED * ink.line_width)))
    widths = _widths(ink, trails)
    width = np.maximum(_median(widths, np.ones(widths.shape, bool)), 1.0)
    known = trails.count >= np.maximum(SHORTEST * width, 3)
    return _measured(ink, trails.pixels[known], trails.count[known], width[known])


def sampled(ink: Ink, points: Array) -> Array:
    """Return the darkness, 0 to 1, at points (n, k, 2) by bilinear interpolation, paper beyond."""
    at = (points * ink.grain - 0.5).astype(np.float32)
    parts = [
        cv2.remap(ink.darkness, part[..., 0], part[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
        for part in (at[k : k + _ROWS] for k in range(0, len(at), _ROWS))
    ]
    if not parts:
        return np.zeros(points.shape[:2])
    return np.concatenate(parts).astype(np.float64) / 255


def _widths(ink: Ink, trails: Trails) -> Array:
    """Return about how wide the ink is along trails, (n, m)."""
    at = trails.pixels[..., 1] * ink.radius.shape[1] + trails.pixels[..., 0]
    widths: Array = 2.0 * ink.radius.ravel()[at].astype(np.float64) - 0.5
    return widths


def _ink_ahead(ink: Ink, trails: Trails, reach: float) -> Flags:
    """Say which trails have paper and then ink ahead within about `reach` widths."""
    pixels, rows = trails.pixels, np.arange(len(trails.count))
    width = _widths(ink, trails)[rows, trails.count - 1]
    back = pixels[:, 0] - pixels[rows, trails.count - 1]
    angle = np.arctan2(back[:, 1], back[:, 0])[:, None] + _FAN
    far = (reach + 1) * width + 1
    along = np.arange(1.0, far.max(initial=1.0) + 1)
    height, across = ink.line.shape
    x = np.round(pixels[:, 0, 0, None, None] + np.cos(angle)[..., None] * along)
    y = np.round(pixels[:, 0, 1, None, None] + np.sin(angle)[..., None] * along)
    inside = (x >= 0) & (y >= 0) & (x < across) & (y < height) & (along <= far[:, None, None])
    inked = ink.radius.ravel().take((y * across + x).astype(np.intp), mode="clip") > 0
    paper = np.logical_or.accumulate(~inked, axis=2)
    found: Flags = (paper & inked & inside).any(axis=(1, 2))
    return found


def _measured(ink: Ink, pixels: Index, count: Index, width: Array) -> LineEnds:
    """Return the ends of trails (n, m, 2) of `count` pixels that are about `width` (n,) wide."""
    steps = np.hypot(*np.moveaxis(np.diff(pixels, axis=1).astype(np.float64), 2, 0))
    walked = np.concatenate([np.zeros((len(pixels), 1)), np.cumsum(steps, axis=1)], axis=1)
    index = np.round(np.linspace(0, 1, _PLACES) * (count[:, None] - 1)).astype(np.intp)
    along = np.take_along_axis(walked, index, axis=1)
    rough: Array = pixels[np.arange(len(pixels))[:, None], index].astype(np.float64) + 0.5
    middle, tangent = _at(_parabola(along, rough, np.ones(along.shape)), along)
    normal = np.stack([-tangent[..., 1], tangent[..., 0]], axis=-1)
    right, left = (_edges(ink, middle, side * normal, width) for side in (1.0, -1.0))
    across = right + left
    seen = np.isfinite(across) & (across < 1.5 * width[:, None])
    shift = np.where(seen, (right - left) / 2, 0.0)
    course = _parabola(along, middle + shift[..., None] * normal, np.where(seen, 1.0, 0.02))
    filled = np.where(seen, across, width[:, None])
    near = along <= np.maximum(NEAR * width, along[:, 1])[:, None]
    points, back = _at(course, np.zeros((len(pixels), 1)))
    return LineEnds(
        pixels=pixels[:, 0],
        before=pixels[:, 1],
        points=points[:, 0],
        headings=-back[:, 0],
        widths=_median(filled, near),
        usual=_median(filled, np.ones(near.shape, bool)),
        inks=255 * _median(sampled(ink, middle), near),
        lengths=along[:, -1],
    )


def _median(values: Array, use: Flags) -> Array:
    """Return the upper median (n,) of those values (n, k) that are to be used."""
    ordered = np.sort(np.where(use, values, np.inf), axis=1)
    return np.take_along_axis(ordered, use.sum(axis=1)[:, None] // 2, axis=1)[:, 0]


def _edges(ink: Ink, points: Array, rays: Array, width: Array) -> Array:
    """Return how far (n, k) along unit rays the ink's edge is from points (n, k, 2), nan where unseen."""
    blocks = [slice(k, k + BLOCK) for k in range(0, len(points), BLOCK)]
    return np.concatenate(
        [np.zeros((0, _PLACES)), *(_edges_of(ink, points[b], rays[b], width[b]) for b in blocks)]
    )


def _edges_of(ink: Ink, points: Array, rays: Array, width: Array) -> Array:
    """Return the same for not too many points."""
    along = width[:, None] * _ACROSS
    at = points[:, :, None] + rays[:, :, None] * along[:, None, :, None]
    n, k, m, _ = at.shape
    values = sampled(ink, at.reshape(n, k * m, 2)).reshape(n, k, m)
    out = values < ink.level
    first = out.argmax(axis=2)
    before = np.take_along_axis(values, np.maximum(first - 1, 0)[..., None], axis=2)[..., 0]
    after = np.take_along_axis(values, first[..., None], axis=2)[..., 0]
    crossing = first - 1 + (before - ink.level) / np.maximum(before - after, 1e-6)
    step = _ACROSS[1] * width[:, None]
    return np.where(first > 0, crossing * step, np.nan)


def _parabola(along: Array, points: Array, weights: Array) -> Array:
    """Return (n, 3, 2) coefficients of parabolas through points (n, k, 2) at distances `along` (n, k)."""
    scale = np.maximum(along[:, -1:], 1.0)
    powers = (along / scale)[..., None] ** np.arange(3)
    weighted = powers * weights[..., None]
    normal = np.einsum("nki,nkj->nij", weighted, powers) + 1e-6 * np.eye(3)
    right = np.einsum("nki,nkd->nid", weighted, points)
    solved: Array = np.linalg.solve(normal, right) / (scale[..., None] ** np.arange(3)[:, None])
    return solved


def _at(course: Array, along: Array) -> tuple[Array, Array]:
    """Return the points and unit tangents (n, k, 2) of parabolas at distances `along` (n, k)."""
    zero, one = np.zeros_like(along), np.ones_like(along)
    points = np.einsum("nki,nid->nkd", np.stack([one, along, along**2], axis=-1), course)
    slopes = np.einsum("nki,nid->nkd", np.stack([zero, one, 2 * along], axis=-1), course)
    return points, slopes / np.maximum(np.linalg.norm(slopes, axis=-1, keepdims=True), 1e-9)
