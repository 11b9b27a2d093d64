"""Where the sheet of paper lies in a photograph: four straight edges, paper on their inner sides."""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.straight_lines import FEW, MANY, SPACING, Lines, lines_of

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

SMALL = 640
"""Pixels of the longer side of the copy in which the sheet is looked for."""

_CLOSED = 9
"""Pixels of the small copy that a drawn line is narrower than: at 640 pixels, 4 mm of an A4 sheet."""

_SMOOTH = 1.2
"""Sigma in pixels: noise goes, edges stay sharp enough to be told 3 pixels to each side."""

STEPS = np.array([4.0, 8.0, 16.0, 32.0])
"""Grey levels between paper and table that are asked for along an edge, in turn."""

_TRUST = np.array([0.70, 0.85, 1.0, 1.0])
"""What an edge with such steps is worth: shadows of a few levels are everywhere."""

_OUTSIDE = 0.15
"""Part of the picture's longer side by which a corner may lie out of the picture."""

_LEAST_AREA = 0.06
"""Part of the picture that a sheet covers at the least."""

_LEAST_SEEN = 0.25
"""Part of each edge that is to be seen at the least: else the edge is another's."""

_OVERRUN = 0.12
"""Part of its length by which an edge is looked at beyond its corners: a sheet's ends there."""

_LEAST_SIDE, _LEAST = 0.42, 0.2
"""Worth of the poorest edge, and of all four multiplied, below which there is no sheet."""

_PLAIN = 0.75
"""Worth, less the paper beyond, from which on there is no need to look closer."""

_SOME_BEYOND, _MOST_BEYOND = 0.2, 0.5
"""Parts of the surround that look like paper: from which on is looked twice, and a quad is a drawn frame."""

_LOOKED_AT = 8
"""Best quads whose surround is looked at."""


@dataclass(frozen=True, eq=False)
class Sheet:
    """A sheet found in a picture.

    Attributes
    ----------
    corners : (4, 2) art px, clockwise as seen, the first the top left of the sheet as it lies.
    worth : 0..1, how sure its four edges are.
    steps : (4,) grey levels between paper and table at the top, right, bottom and left edge.
    paper_beyond : part of the surround near by that is as bright as the sheet.
    """

    corners: Array
    worth: float
    steps: Array
    paper_beyond: float


def find_sheet(picture: Picture, *, dark: bool = False) -> Sheet | None:
    """Return the sheet in a picture (H, W) or (H, W, 3), roughly (about a pixel of a copy of SMALL pixels).

    Where no four edges enclose something brighter (`dark`: darker) than what lies round it, None.
    """
    small, factor = small_copy(picture)
    soft = _without_lines(small)
    soft = np.asarray(cv2.bitwise_not(soft), np.uint8) if dark else soft
    found = _best(lines_of(soft, FEW), soft)
    if found is None or found.worth * (1 - found.paper_beyond) < _PLAIN:
        more = _best(lines_of(soft, MANY), soft)
        found = more if found is None or (more is not None and more.worth > found.worth) else found
    if found is None:
        return None
    return Sheet(ordered(found.corners * factor), found.worth, found.steps, found.paper_beyond)


def small_copy(picture: Picture, longer: int = SMALL) -> tuple[Picture, float]:
    """Return a copy (h, w, c) about `longer` pixels long, and how many art px one of its pixels is."""
    whole = picture if picture.ndim == 3 else picture[..., None]
    factor = max(1, round(max(whole.shape[:2]) / longer))
    height, width = (n // factor for n in whole.shape[:2])
    cut = whole[: height * factor, : width * factor]
    small = cv2.resize(cut, (width, height), interpolation=cv2.INTER_AREA)
    return np.asarray(small.reshape(height, width, -1), np.uint8), float(factor)


def ordered(corners: Array) -> Array:
    """Return four corners (4, 2) clockwise as seen (y down), the first that from which an edge goes right."""
    middle = corners.mean(axis=0)
    angles = np.arctan2(corners[:, 1] - middle[1], corners[:, 0] - middle[0])
    round_about = corners[np.argsort(angles)]
    edges = np.roll(round_about, -1, axis=0) - round_about
    first = int(np.argmax(edges[:, 0] / np.hypot(edges[:, 0], edges[:, 1])))
    return np.asarray(np.roll(round_about, -first, axis=0))


def _without_lines(small: Picture) -> Picture:
    """Return the small copy with its thin dark lines closed and its noise smoothed, (h, w, c)."""
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (_CLOSED, _CLOSED))
    soft = cv2.GaussianBlur(cv2.morphologyEx(small, cv2.MORPH_CLOSE, disc), (0, 0), _SMOOTH)
    return np.asarray(soft.reshape(*small.shape[:2], -1), np.uint8)


def _best(lines: Lines, soft: Picture) -> Sheet | None:
    """Return the best quad of four lines, in small px."""
    quads = _quads(lines, soft.shape)
    if not len(quads):
        return None
    judged = _Judge(lines, soft.shape).worth(quads)
    darkest, lightest = soft[..., 0], soft[..., 0]
    for channel in cv2.split(soft)[1:]:
        darkest = np.asarray(cv2.min(darkest, channel), np.uint8)
        lightest = np.asarray(cv2.max(lightest, channel), np.uint8)
    order = np.argsort(-judged.rank, kind="stable")[:_LOOKED_AT]
    best: tuple[float, Sheet] | None = None
    for k in order:
        if judged.rank[k] <= 0:
            break
        corners = judged.corners[k]
        beyond = _paper_beyond(darkest, corners)
        if beyond > _SOME_BEYOND:  # wax up to the sheet's edge is bright in one channel only
            beyond = min(beyond, _paper_beyond(lightest, corners))
        if beyond > _MOST_BEYOND:
            continue
        rank = float(judged.rank[k]) * (1 - 0.8 * beyond)
        if best is None or rank > best[0]:
            steps = STEPS[judged.level[k]]
            best = rank, Sheet(corners, float(judged.value[k]), steps, beyond)
    return best[1] if best else None


def _quads(lines: Lines, shape: tuple[int, ...]) -> NDArray[np.intp]:
    """Return which lines (n, 4) may be opposite and neighbouring edges, in order round a quad."""
    n = lines.normals
    facing = n @ n.T < -0.7
    middle = np.array([shape[1] / 2, shape[0] / 2])
    feet = n * (lines.offsets - n @ middle)[:, None] + middle
    gap = ((feet[None] - feet[:, None]) * n[:, None]).sum(axis=-1)  # how far j lies on i's bright side
    least = 0.15 * min(shape[:2])
    facing &= np.minimum(gap, gap.T) > least
    a, c = np.nonzero(np.triu(facing))
    pair, other = np.triu_indices(len(a), 1)
    a1, c1, a2, c2 = a[pair], c[pair], a[other], c[other]
    crossing = np.abs(n[a1, 0] * n[a2, 1] - n[a1, 1] * n[a2, 0]) > 0.55
    return np.asarray(np.column_stack([a1, a2, c1, c2])[crossing], np.intp)


@dataclass(frozen=True, eq=False)
class _Judged:
    """What quads are worth: corners (n, 4, 2), value (n,) of the edges, rank (n,), level (n, 4) of STEPS."""

    corners: Array
    value: Array
    rank: Array
    level: NDArray[np.intp]


class _Judge:
    """Tells what quads are worth, from sums along their lines."""

    def __init__(self, lines: Lines, shape: tuple[int, ...]) -> None:
        self.lines, self.shape = lines, shape
        first = np.zeros((len(STEPS), len(lines.offsets), 1))
        over = (lines.steps[None] > STEPS[:, None, None]) & lines.seen
        self.over = np.concatenate([first, np.cumsum(over, axis=2)], axis=2)
        self.seen = np.concatenate([first[0], np.cumsum(lines.seen, axis=1)], axis=1)
        n, d = lines.normals, lines.offsets
        cross = n[:, None, 0] * n[None, :, 1] - n[:, None, 1] * n[None, :, 0]
        cross = np.where(np.abs(cross) < 1e-9, 1e-9, cross)
        x = (d[:, None] * n[None, :, 1] - d[None] * n[:, None, 1]) / cross
        y = (n[:, None, 0] * d[None] - n[None, :, 0] * d[:, None]) / cross
        self.meet = np.stack([x, y], axis=-1)

    def worth(self, quads: NDArray[np.intp]) -> _Judged:
        """Judge quads (n, 4) of lines in order round."""
        before, after = np.roll(quads, 1, axis=1), np.roll(quads, -1, axis=1)
        starts, ends = self.meet[quads, before], self.meet[quads, after]
        fits = self._possible(starts, quads)
        quads, starts, ends = quads[fits], starts[fits], ends[fits]
        share, seen, beyond = self._along(quads, starts, ends)
        level = (share * _TRUST[:, None, None]).argmax(axis=0)
        side = np.take_along_axis(share * _TRUST[:, None, None], level[None], axis=0)[0]
        overrun = np.take_along_axis(beyond, level[None], axis=0)[0].mean(axis=1)
        value = side.prod(axis=1) * (seen.min(axis=1) > _LEAST_SEEN)
        value *= (side.min(axis=1) > _LEAST_SIDE) & (value > _LEAST)
        area = _areas(starts) / (self.shape[0] * self.shape[1])
        rank = value * np.sqrt(np.minimum(area, 1)) * (1 - 0.6 * overrun)
        return _Judged(starts, value, rank, level)

    def _possible(self, corners: Array, quads: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Say which quads (n, 4, 2) are convex, large enough, and hardly out of the picture."""
        height, width = self.shape[:2]
        out = _OUTSIDE * max(height, width)
        near = (corners > -out).all(axis=(1, 2)) & (corners[..., 0] < width + out).all(axis=1)
        near &= (corners[..., 1] < height + out).all(axis=1)
        ahead = np.roll(corners, -1, axis=1) - corners
        turn = (
            ahead[..., 0] * np.roll(ahead, -1, axis=1)[..., 1]
            - ahead[..., 1] * np.roll(ahead, -1, axis=1)[..., 0]
        )
        convex = (turn > 0).all(axis=1) | (turn < 0).all(axis=1)
        inward = np.einsum("nkd,nkd->nk", corners.mean(axis=1)[:, None] - corners, self.lines.normals[quads])
        large = _areas(corners) > _LEAST_AREA * height * width
        return np.asarray(near & convex & (inward > 0).all(axis=1) & large)

    def _along(self, quads: NDArray[np.intp], starts: Array, ends: Array) -> tuple[Array, Array, Array]:
        """Return the parts of edges with each step (s, n, 4), the parts seen (n, 4), and those beyond."""
        along, begin = self.lines.along[quads], self.lines.begin[quads]
        t0 = np.einsum("nkd,nkd->nk", starts, along) - begin
        t1 = np.einsum("nkd,nkd->nk", ends, along) - begin
        low, high = np.minimum(t0, t1), np.maximum(t0, t1)
        length = high - low
        over, seen = self._between(quads, low, high)
        more = _OVERRUN * length
        left, left_seen = self._between(quads, low - more, low - 2 * SPACING)
        right, right_seen = self._between(quads, high + 2 * SPACING, high + more)
        beyond = (left + right) / np.maximum(left_seen + right_seen, 1)
        return over / np.maximum(seen, 1), seen * SPACING / length, beyond

    def _between(self, quads: NDArray[np.intp], low: Array, high: Array) -> tuple[Array, Array]:
        """Return how many measurements between places have each step (s, n, 4), and how many there are."""
        last = self.seen.shape[1] - 1
        a = np.clip(np.ceil(low / SPACING), 0, last).astype(np.intp)
        b = np.maximum(np.clip(np.ceil(high / SPACING), 0, last).astype(np.intp), a)
        return self.over[:, quads, b] - self.over[:, quads, a], self.seen[quads, b] - self.seen[quads, a]


def _areas(corners: Array) -> Array:
    """Return the areas (n,) of quads (n, 4, 2)."""
    x, y = corners[..., 0], corners[..., 1]
    return np.asarray(np.abs((x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1)).sum(axis=1)) / 2)


def _paper_beyond(bright: Picture, corners: Array) -> float:
    """Return what part of a ring round a quad is as bright as the paper within the edge near by."""
    size = math.sqrt(float(_areas(corners[None])[0]))
    middle = corners.mean(axis=0)
    shares = []
    for k in range(4):
        a, b = corners[k], corners[(k + 1) % 4]
        normal = np.array([-(b - a)[1], (b - a)[0]]) / math.hypot(*(b - a))
        normal = normal if normal @ (middle - a) > 0 else -normal
        on = a + (b - a) * np.linspace(0.06, 0.94, 40)[:, None]
        inner, _ = _levels(bright, on[:, None] + normal * (size * np.array([0.012, 0.02, 0.03]))[:, None])
        near, near_in = _levels(bright, on[:, None] - normal * (size * np.array([0.012, 0.018]))[:, None])
        ring, ring_in = _levels(
            bright, on[:, None] - normal * (size * np.array([0.03, 0.05, 0.07, 0.1]))[:, None]
        )
        if not near_in.any() or not ring_in.any():
            continue
        paper = np.median(inner, axis=1)
        step = max(4.0, float(np.median((paper - np.median(near, axis=1))[near_in.any(axis=1)])))
        shares.append(float(np.mean((ring > (paper - 0.4 * step)[:, None])[ring_in])))
    return float(np.mean(shares)) if shares else 1.0


def _levels(bright: Picture, points: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Return the grey levels (n, m) at points (n, m, 2), and whether they lie in the picture."""
    height, width = bright.shape
    column, row = np.floor(points[..., 0]).astype(np.intp), np.floor(points[..., 1]).astype(np.intp)
    inside = (column >= 0) & (column < width) & (row >= 0) & (row < height)
    found = bright[np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)]
    return found.astype(np.float64), inside
