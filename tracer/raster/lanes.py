"""Lines that run across the whole page: followed, their profile measured, and divided out.

A page (H, W) is even grey, paper at 250, and its lanes run about along the rows; for those
along the columns the page is handed over transposed. What is printed on the paper, or
creased into it, dims what was drawn over it: dividing by a lane's own profile leaves the
drawn lines that cross it, or run along it, as dark as they are.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.uint8]
Reals = NDArray[np.float32]

PAPER = 250.0
"""Grey of even paper."""

BLOCKS = 64
"""Pieces along a lane, each of which has its own darkness and its own place across."""

SAMPLES = 16
"""Columns of each piece that are looked at."""

FINER = 4
"""Steps to a pixel of a profile."""

WAYWARD = 2.0
"""Pixels that a piece of a lane may lie beside where it was looked for."""

RIDGE = 5.0
"""Part of a band's reach that the ridge is wide by which a lane's middle is found."""

ALIKE = 0.75
"""How much like a ridge (1 the same) the profile of a piece must be to say where the lane is."""

STIFF = 4
"""Pieces to each side over which a lane's place and darkness are smoothed."""

DRAWN = 1.6
"""Times a lane's usual darkness from which on a drawn line runs along it."""


@dataclass(frozen=True, eq=False)
class Lanes:
    """Lanes of one kind.

    Attributes
    ----------
    middles : (n, W) row of each lane's middle at each column; it may lie beyond the page.
    profile : (2 * reach * FINER + 1,) how dark across, 1 in the middle.
    strength : (n, blocks) part of the light that is taken in the middle of each piece, nan where nobody
        can tell: beyond the page, and where it was said that something is drawn.
    reach : pixels to each side.
    stray : how far pieces lay beside where they were looked for, usually, pixels.
    """

    middles: Reals
    profile: Reals
    strength: Reals
    reach: int
    stray: float = 0.0

    @property
    def width(self) -> float:
        """Full width at half the darkness, pixels."""
        return float(np.count_nonzero(self.profile > 0.5)) / FINER

    @property
    def dark(self) -> float:
        """Usual strength of all; 0 where none of them is wholly on the page."""
        known = self.strength[~np.isnan(self.strength)]
        return float(np.median(known)) if len(known) else 0.0

    def usual(self) -> Reals:
        """Strength (n,) of each lane: that of its middle piece in order of strength; nan off the page."""
        known = [row[~np.isnan(row)] for row in self.strength]
        return np.array([np.median(row) if len(row) else np.nan for row in known], np.float32)

    def chosen(self, flags: NDArray[np.bool_]) -> "Lanes":
        """Return some of the lanes."""
        return replace(self, middles=self.middles[flags], strength=self.strength[flags])


def lanes_along(
    page: Grey, middles: Reals, reach: int, *, wayward: float = 0.0, darkest: float = 1.0
) -> Lanes:
    """Return the lanes of a page (H, W) near some rows (n, W), moved to where they are darkest.

    Neighbours stray together by up to `wayward` pixels, then each for itself by WAYWARD. Pieces
    near which it is darker than `darkest`, 0 to 1, have no say: something is drawn along them.
    """
    if wayward > WAYWARD:
        bare = _undrawn(page, middles, reach + math.ceil(wayward), darkest)
        middles = middles + _strayed(page, bare, reach=reach, most=wayward, together=2, stiff=1)
    bare = _undrawn(page, middles, reach + math.ceil(WAYWARD), darkest)
    shifts = _strayed(page, bare, reach=reach, most=WAYWARD, together=1, stiff=STIFF)
    lanes = measured(page, (middles + shifts).astype(np.float32), reach, darkest)
    return replace(lanes, stray=float(np.median(np.abs(shifts - np.median(shifts)))))


def measured(page: Grey, middles: Reals, reach: int, darkest: float = 1.0) -> Lanes:
    """Return how dark a page (H, W) is along lanes with these middles (n, W), where nothing is drawn.

    Something is where it is darker than `darkest`, 0 to 1.
    """
    bare = _undrawn(page, middles, reach, darkest)
    profile = _profile(page, bare, reach)
    depth = _by_blocks(page, bare, reach)
    level = depth - np.minimum(depth[:, :1], depth[:, -1:])
    coarse = profile[::FINER]
    strength = np.einsum("r,nrb->nb", coarse, level) / max(float(coarse @ coarse), 1e-6)
    return Lanes(middles, profile, np.asarray(strength, np.float32), reach)


def _undrawn(page: Grey, middles: Reals, reach: int, darkest: float) -> Reals:
    """Return middles (n, W), far beyond the page in pieces that somewhere are darker than `darkest`."""
    if darkest >= 1:
        return middles
    drawn = _by_blocks(page, middles, reach).max(axis=1) > darkest
    piece = np.arange(page.shape[1]) * BLOCKS // page.shape[1]
    return np.where(drawn[:, piece], np.float32(-4 * reach), middles)


def _strayed(page: Grey, middles: Reals, *, reach: int, most: float, together: int, stiff: int) -> Reals:
    """Return how far (n, W) below its middle each lane is darkest, in pixels, smooth along it.

    Each is taken with `together` neighbours on either side. Pieces that do not look like a
    lane, or are much darker than most, have no say: something is drawn there.
    """
    far = reach + math.ceil(most)
    depth = np.nan_to_num(_by_blocks(page, middles, far))
    usual = max(float(np.median(depth.max(axis=1))), 1e-6)
    level = depth - depth.mean(axis=1, keepdims=True)
    level /= np.linalg.norm(level, axis=1, keepdims=True) + 1e-6
    steps = np.arange(-most, most + 0.25, 0.25)
    ridges = np.exp(-(((np.arange(-far, far + 1) - steps[:, None]) * RIDGE / reach) ** 2))
    ridges -= ridges.mean(axis=1, keepdims=True)
    ridges /= np.linalg.norm(ridges, axis=1, keepdims=True)
    fit = np.einsum("sr,nrb->nsb", ridges, level)
    clear = (fit.max(axis=1) > ALIKE) & (np.abs(depth.max(axis=1) / usual - 1) < DRAWN - 1)
    found = np.where(clear, steps[np.argmax(fit, axis=1)], np.nan)
    return np.stack([_along(shift, page.shape[1]) for shift in _smooth(found, together, stiff)])


def _smooth(shifts: Reals, together: int, stiff: int) -> Reals:
    """Return shifts (n, blocks), nan where unknown, as running medians, then means, along each lane."""
    padded = np.pad(shifts, ((together, together), (stiff, stiff)), constant_values=np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(padded, (2 * together + 1, 2 * stiff + 1))
    flat = windows.reshape(*shifts.shape, -1)
    known = (~np.isnan(flat)).sum(axis=2)
    middle = np.sort(flat, axis=2)  # nan is sorted to the end
    at = np.maximum(known - 1, 0) // 2
    running = np.take_along_axis(middle, at[..., None], axis=2)[..., 0]
    blocks = np.arange(shifts.shape[1])
    whole = [
        np.interp(blocks, blocks[k > 0], row[k > 0]) if (k > 0).any() else np.zeros(len(blocks))
        for row, k in zip(running, known, strict=True)
    ]
    return np.asarray(cv2.blur(np.array(whole, np.float32), (stiff + 1, 1)), np.float32)


def _band(page: Grey, middle: Reals, reach: int) -> tuple[NDArray[np.intp], Grey]:
    """Return rows (2 * reach + 1, W) round a middle, and what is there of a page (H, W).

    Beyond the page's edge it is mirrored.
    """
    top = np.round(np.clip(middle, -2 * reach, len(page) + 2 * reach)).astype(np.intp)
    rows = top + np.arange(-reach, reach + 1)[:, None]
    seen = np.abs(rows)
    seen = np.clip(np.minimum(seen, 2 * (len(page) - 1) - seen), 0, None)
    return rows, page[seen, np.arange(page.shape[1])]


def _by_blocks(page: Grey, middles: Reals, reach: int) -> Reals:
    """Return the median darkness (n, 2 * reach + 1, blocks) of pieces of bands; nan near the page's edge."""
    columns = _columns(page.shape[1])
    some = np.ascontiguousarray(page[:, columns.ravel()])
    found = np.empty((len(middles), 2 * reach + 1, BLOCKS), np.float32)
    for band, middle in zip(found, middles[:, columns.ravel()], strict=True):
        values = _band(some, middle, reach)[1].reshape(2 * reach + 1, *columns.shape)
        values.partition(columns.shape[1] // 2, axis=2)
        band[:] = 1 - values[..., columns.shape[1] // 2] / np.float32(PAPER)
        inside = (middle > reach - 1) & (middle < len(page) - reach)
        band[:, ~inside.reshape(columns.shape).all(axis=1)] = np.nan
    return found


def _columns(width: int) -> NDArray[np.intp]:
    """Return the columns (blocks, m) that are looked at in each piece of a page so wide."""
    edges = np.linspace(0, width, BLOCKS + 1)
    count = int(np.clip(width // BLOCKS, 1, SAMPLES))
    return (edges[:-1, None] + (np.arange(count) + 0.5) * (width / BLOCKS / count)).astype(np.intp)


def _along(blocks: Reals, width: int) -> Reals:
    """Return values of pieces for each column (W,)."""
    middles = (np.arange(len(blocks)) + 0.5) * width / len(blocks) - 0.5
    return np.interp(np.arange(width), middles, blocks).astype(np.float32)


def _profile(page: Grey, middles: Reals, reach: int) -> Reals:
    """Return the median profile of all lanes; 1 in the middle, 0 at the sides."""
    columns = _columns(page.shape[1]).ravel()
    some = np.ascontiguousarray(page[:, columns])
    counts = np.zeros((2 * reach * FINER + 1, 256))
    for middle in middles[:, columns]:
        rows, values = _band(some, middle, reach)
        place = np.round((rows - middle + reach) * FINER)
        inside = (middle > reach - 1) & (middle < len(page) - reach)
        near = (place >= 0) & (place < len(counts)) & inside
        cells = place[near].astype(np.intp) * 256 + values[near]
        counts += np.bincount(cells, minlength=counts.size).reshape(counts.shape)
    below = np.cumsum(counts, axis=1)
    known = np.flatnonzero(below[:, -1] > 0.01 * below[:, -1].max())
    depth = 1 - (below[known] < below[known, -1:] / 2).sum(axis=1) / PAPER
    depth = np.interp(np.arange(len(counts)), known, depth) if len(known) else np.zeros(len(counts))
    profile = np.convolve(np.pad(depth, 1, mode="edge"), [0.25, 0.5, 0.25], "valid")
    profile -= np.median(np.r_[profile[:FINER], profile[-FINER:]])
    peak = profile[(reach - 1) * FINER : (reach + 1) * FINER + 1].max()
    return np.asarray(np.clip(profile / max(peak, 1e-6), 0, 1), np.float32)


def divided(page: Grey, lanes: Lanes, ink: float, *, left: float = 0.0, stiff: int = STIFF) -> Grey:
    """Return a page (H, W) without its lanes; `ink` is how dark drawn lines are, 0 to 1.

    What is left within them of up to `left` parts of it is taken for theirs, too. Their strength
    is smoothed over `stiff` pieces to each side.

    Where a drawn line is as dark as the lane it hides, nothing of it is left within the
    lane: what is drawn on both sides is joined, though never darker than the page was.
    """
    page = page.copy()
    usual = lanes.dark
    for middle, strength in zip(lanes.middles, lanes.strength, strict=True):
        _divide(page, middle, _steady(strength, usual, stiff), lanes=lanes, ink=ink, left=left)
    return page


def _steady(strength: Reals, usual: float, stiff: int) -> Reals:
    """Return a lane's strength (blocks,) smooth, where a drawn line runs along it as on both sides.

    The `usual` one of all lanes says where a drawn line does, and is taken where nothing else is known.
    """
    bare = strength[strength < DRAWN * usual]
    if len(bare):
        usual = float(np.median(bare))
    steady = np.where(np.abs(strength - usual) < (DRAWN - 1) * usual, strength, np.nan)
    if np.isnan(steady).all():
        return np.full(len(steady), usual, np.float32)
    return np.asarray(_smooth(steady[None], 0, stiff)[0], np.float32)


def _divide(page: Grey, middle: Reals, strength: Reals, *, lanes: Lanes, ink: float, left: float) -> None:
    """Divide one lane out of a page, in place."""
    rows, values = _band(page, middle, lanes.reach)
    at = (rows - middle + lanes.reach) * FINER
    at = np.clip(np.round(at), 0, len(lanes.profile) - 1).astype(np.intp)
    taken = np.clip(lanes.profile[at] * _along(strength, page.shape[1]), 0, 0.95)
    before = 1 - values / np.float32(PAPER)
    after = 1 - (1 - before) / (1 - taken)
    after = np.where((taken > 0.02) & (after < left * ink), 0, after)
    bridged = np.minimum(np.maximum.accumulate(after, 0), np.maximum.accumulate(after[::-1], 0)[::-1])
    after = np.where((bridged > 0.4 * ink) & (taken > 0.05), np.minimum(before, bridged), after)
    cut = (rows[0] < 0) | (rows[-1] >= len(page))  # there nobody knows how dark it is, nor just where
    after = np.where(cut & (before < DRAWN * taken.max(axis=0)), 0, after)
    inside = (rows >= 0) & (rows < len(page))
    columns = np.broadcast_to(np.arange(page.shape[1]), rows.shape)
    grey = np.clip(np.round(PAPER * (1 - after)), 0, 255).astype(np.uint8)
    page[rows[inside], columns[inside]] = grey[inside]


def strips_of(copy: Grey, count: int, *, across: bool) -> Grey:
    """Return the mean greys (count, h) of strips side by side of a page (h, w), or `across` (count, w)."""
    edges = np.linspace(0, copy.shape[0 if across else 1], count + 1).astype(int)
    strips = [
        cv2.reduce(copy[a:b] if across else copy[:, a:b], 0 if across else 1, cv2.REDUCE_AVG).ravel()
        for a, b in itertools.pairwise(edges)
    ]
    return np.array(strips, np.uint8)


def turned(page: Grey, *, across: bool) -> Grey:
    """Return a page as it is, or with rows for columns."""
    return np.ascontiguousarray(page.T) if across else page


def darkest_of(channels: Sequence[Grey]) -> Grey:
    """Return the darkest of channels (H, W)."""
    darkest = channels[0]
    for channel in channels[1:]:
        darkest = np.asarray(cv2.min(darkest, channel), np.uint8)
    return darkest


def halved_to(grey: Grey, most: int) -> tuple[Grey, int]:
    """Return `grey` (H, W) halved until no side is above `most`, and how many pixels make one of it."""
    times = 1
    while max(grey.shape) > most:
        height, width = (n // 2 for n in grey.shape)
        grey = np.asarray(
            cv2.resize(grey[: 2 * height, : 2 * width], (width, height), interpolation=cv2.INTER_AREA),
            np.uint8,
        )
        times *= 2
    return grey, times
