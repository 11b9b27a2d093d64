"""Lines that run across the whole page: followed, their profile measured, and divided out.

A page (H, W) is even grey, paper at 250, and its lanes run about along the rows; for those
along the columns the page is handed over transposed. What is printed on the paper, or
creased into it, dims what was drawn over it: dividing by a lane's own profile leaves the
drawn lines that cross it, or run along it, as dark as they are.
"""

import math
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

FINER = 4
"""Steps to a pixel of a profile."""

WAYWARD = 2.0
"""Pixels that a piece of a lane may lie beside where it was looked for."""

RIDGE = 5.0
"""Part of a band's reach that the ridge is wide by which a lane's middle is found."""

DRAWN = 1.6
"""Times a lane's usual darkness from which on a drawn line runs along it."""


@dataclass(frozen=True, eq=False)
class Lanes:
    """Lanes of one kind.

    Attributes
    ----------
    middles : (n, W) row of each lane's middle at each column, nan beyond the page.
    profile : (2 * reach * FINER + 1,) how dark across, 1 in the middle.
    strength : (n, blocks) part of the light that is taken in the middle of each piece, nan beyond the page.
    reach : pixels to each side.
    stray : how far pieces lay beside where they were looked for, usually, pixels.
    """

    middles: Reals
    profile: Reals
    strength: Reals
    reach: int
    stray: float

    @property
    def width(self) -> float:
        """Full width at half the darkness, pixels."""
        return float(np.count_nonzero(self.profile > 0.5)) / FINER

    def usual(self) -> Reals:
        """Strength (n,) of each lane: that of its middle piece in order of strength."""
        return np.asarray(np.nanmedian(self.strength, axis=1), np.float32)

    def chosen(self, flags: NDArray[np.bool_]) -> "Lanes":
        """Return some of the lanes."""
        return replace(self, middles=self.middles[flags], strength=self.strength[flags])


def lanes_along(page: Grey, middles: Reals, reach: int, wayward: float = 0.0) -> Lanes:
    """Return the lanes of a page (H, W) near some rows (n, W), moved to where they are darkest.

    Neighbours stray together by up to `wayward` pixels, then each for itself by WAYWARD.
    """
    if wayward > WAYWARD:
        middles = middles + _strayed(page, middles, reach=reach, most=wayward, together=2)
    shifts = _strayed(page, middles, reach=reach, most=WAYWARD, together=0)
    moved = (middles + shifts).astype(np.float32)
    bands = [_band(page, middle, reach) for middle in moved]
    profile = _profile(moved, bands, reach)
    strength = np.stack([_strength(values, profile[::FINER]) for _, values in bands])
    return Lanes(moved, profile, strength, reach, float(np.nanmedian(np.abs(shifts))))


def _strayed(page: Grey, middles: Reals, *, reach: int, most: float, together: int) -> Reals:
    """Return how far (n, W) below its middle each lane is darkest, in pixels, smooth along it.

    Each is taken with `together` neighbours on either side.
    """
    far = reach + math.ceil(most)
    depth = np.stack([_by_blocks(_band(page, middle, far)[1]) for middle in middles])
    steps = np.arange(-most, most + 0.25, 0.25)
    rows = np.arange(-far, far + 1)
    ridges = np.exp(-(((rows - steps[:, None]) * RIDGE / reach) ** 2))
    ridges -= ridges.mean(axis=1, keepdims=True)
    usual = np.nanmedian(depth.max(axis=1))
    fit = np.einsum("sr,nrb->nsb", ridges, np.minimum(np.nan_to_num(depth), 1.5 * usual))
    fit = cv2.blur(fit.reshape(len(fit), -1), (1, 2 * together + 1)).reshape(fit.shape)
    found = steps[np.argmax(fit, axis=1)]
    return np.stack([_along(_smooth(shift, 5), page.shape[1]) for shift in found])


def _band(page: Grey, middle: Reals, reach: int) -> tuple[NDArray[np.intp], Reals]:
    """Return the row above all (W,) of a band round a middle, and how dark it is (2 * reach + 1, W); nan outside."""
    top = np.round(np.nan_to_num(middle, nan=-1e6)).astype(np.intp) - reach
    rows = top + np.arange(2 * reach + 1)[:, None]
    inside = (rows >= 0) & (rows < len(page))
    values = 1 - page[np.clip(rows, 0, len(page) - 1), np.arange(page.shape[1])] / np.float32(PAPER)
    values[~inside] = np.nan
    return top, values.astype(np.float32)


def _by_blocks(values: Reals) -> Reals:
    """Return the median darkness (2 * reach + 1, blocks) of pieces of a band; nan outside the page."""
    edges = np.linspace(0, values.shape[1], BLOCKS + 1).astype(int)
    size = int(np.diff(edges).min())
    pieces = values[:, edges[:-1, None] + np.arange(max(size, 1))]
    return np.asarray(np.median(pieces, axis=2), np.float32)


def _smooth(values: Reals, size: int) -> Reals:
    """Return running medians, then means, along the last axis."""
    half = size // 2
    padded = np.pad(values, half, mode="edge")
    middle = np.median(np.lib.stride_tricks.sliding_window_view(padded, size), axis=-1)
    padded = np.pad(middle, half, mode="edge")
    return np.convolve(padded, np.full(size, 1 / size), "valid").astype(np.float32)


def _along(blocks: Reals, width: int) -> Reals:
    """Return values of pieces for each column (W,)."""
    middles = (np.arange(len(blocks)) + 0.5) * width / len(blocks) - 0.5
    return np.interp(np.arange(width), middles, blocks).astype(np.float32)


def _profile(middles: Reals, bands: list[tuple[NDArray[np.intp], Reals]], reach: int) -> Reals:
    """Return the median profile of all lanes, from every column; 1 in the middle, 0 at the sides."""
    places, depths = [], []
    for middle, (top, values) in zip(middles, bands, strict=True):
        offset = top + np.arange(2 * reach + 1)[:, None] - middle
        known = ~np.isnan(values)
        places.append(np.round(offset[known] * FINER).astype(np.intp) + reach * FINER)
        depths.append(values[known])
    place, depth = np.concatenate(places), np.concatenate(depths)
    order = np.argsort(place, kind="stable")
    place, depth = place[order], depth[order]
    ends = np.searchsorted(place, np.arange(2 * reach * FINER + 2))
    found = [float(np.median(depth[a:b])) if b > a else 0.0 for a, b in zip(ends[:-1], ends[1:], strict=True)]
    profile = np.convolve(np.pad(found, 1, mode="edge"), [0.25, 0.5, 0.25], "valid")
    profile -= np.median(np.r_[profile[:FINER], profile[-FINER:]])
    peak = profile[reach * FINER - FINER : reach * FINER + FINER + 1].max()
    return np.clip(profile / max(peak, 1e-6), 0, 1).astype(np.float32)


def _strength(values: Reals, profile: Reals) -> Reals:
    """Return how dark (blocks,) each piece of a lane is, nan outside: its median profile laid on the usual one."""
    depth = _by_blocks(values)
    level = depth - np.minimum(depth[0], depth[-1])
    return np.asarray(profile @ level / (profile @ profile), np.float32)


def divided(page: Grey, lanes: Lanes, ink: float) -> Grey:
    """Return a page (H, W) without its lanes; `ink` is how dark drawn lines are, 0 to 1.

    Where a drawn line is as dark as the lane it hides, nothing of it is left within the
    lane: what is drawn on both sides is joined, though never darker than the page was.
    """
    page = page.copy()
    for middle, strength in zip(lanes.middles, lanes.strength, strict=True):
        _divide(page, middle, _steady(strength), lanes=lanes, ink=ink)
    return page


def _steady(strength: Reals) -> Reals:
    """Return a lane's strength (blocks,) with the usual one where a drawn line runs along it."""
    usual = float(np.nanmedian(strength))
    odd = np.isnan(strength) | (strength > DRAWN * usual)
    return _smooth(np.where(odd, usual, strength).astype(np.float32), 3)


def _divide(page: Grey, middle: Reals, strength: Reals, *, lanes: Lanes, ink: float) -> None:
    """Divide one lane out of a page, in place."""
    reach = lanes.reach
    top, values = _band(page, middle, reach)
    rows = top + np.arange(2 * reach + 1)[:, None]
    at = (rows - np.nan_to_num(middle) + reach) * FINER
    taken = np.interp(at, np.arange(len(lanes.profile)), lanes.profile) * _along(strength, page.shape[1])
    taken = np.clip(taken, 0, 0.95).astype(np.float32)
    before = np.nan_to_num(values)
    after = 1 - (1 - before) / (1 - taken)
    bridged = np.minimum(np.maximum.accumulate(after, 0), np.maximum.accumulate(after[::-1], 0)[::-1])
    after = np.where((bridged > 0.4 * ink) & (taken > 0.05), np.minimum(before, bridged), after)
    known = ~np.isnan(values)
    columns = np.broadcast_to(np.arange(page.shape[1]), rows.shape)
    page[rows[known], columns[known]] = np.clip(np.round(PAPER * (1 - after[known])), 0, 255).astype(np.uint8)


def halved_to(grey: Grey, most: int) -> tuple[Grey, int]:
    """Return `grey` (H, W) halved until its longer side is at most `most`, and how many pixels make one."""
    times = 1
    while max(grey.shape) > most:
        height, width = (n // 2 for n in grey.shape)
        grey = np.asarray(
            cv2.resize(grey[: 2 * height, : 2 * width], (width, height), interpolation=cv2.INTER_AREA), np.uint8
        )
        times *= 2
    return grey, times
