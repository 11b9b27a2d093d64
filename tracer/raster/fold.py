"""Creases: single lines, straight from edge to edge, paler than what is drawn, are left out."""

import itertools
from collections.abc import Sequence

import cv2
import numpy as np

from tracer.model.ink import Mend
from tracer.raster.lanes import (
    PAPER,
    Grey,
    Lanes,
    Reals,
    darkest_of,
    divided,
    halved_to,
    lanes_along,
    measured,
    strips_of,
    turned,
)

MOST = 2000
"""Pixels of the longer side of the copy on which creases are looked for."""

STRIPS = 32
"""Strips in which they are looked for; a crease is in the outermost ones, too, where few drawings are."""

SPAN = 25
"""Pixels of that copy that no crease is wide."""

DARK = 8
"""Greys that a crease is darker than the paper beside it at the least."""

SLOPE = 0.09
"""Steepest slope to the picture's edge (5 degrees)."""

ASTRAY = 0.004
"""Parts of its length by which a crease may stray from straight to each side."""

SEEN, COVERED = 0.35, 0.85
"""It is seen where it is this part as dark as usual, and that on this part of its length."""

PALE = 0.75
"""A crease is paler than this part of the drawing's ink."""

HIDDEN = 0.5
"""Part of its length on which a drawn line may hide it: one that is dark on more is drawn."""

LEFT = 0.3
"""What is left of a crease, in parts of the drawing's ink, at the most: its darkness is uneven."""


def without_folds(channels: Sequence[Grey]) -> tuple[list[Grey], list[Mend]]:
    """Return even channels (H, W) without creases; one Mend for each.

    Limits: folded parallel to the picture's edges, within 5 degrees; a crease as dark as the
    drawn lines is taken for one.
    """
    channels = list(channels)
    darkest = darkest_of(channels)
    mends: list[Mend] = []
    for across in (False, True):
        page = turned(darkest, across=across)
        ink = _ink_of(page)
        for lanes in _creases(page, PALE * ink):
            if not 0 < lanes.dark <= PALE * ink or np.isnan(lanes.strength).mean() > HIDDEN:
                continue
            channels = [_without(channel, lanes, ink, across=across) for channel in channels]
            mends.append(_mend(lanes, page, across=across))
    return channels, mends


def may_be_folded(copy: Grey) -> bool:
    """Say whether it is worth while to look for creases, by a copy of at most MOST pixels a side."""
    return any(bool(crease_rows(copy, across=across)) for across in (False, True))


def crease_rows(copy: Grey, *, across: bool = False) -> list[Reals]:
    """Return the rows (STRIPS,) at which lines from edge to edge cross the strips of a copy (h, w).

    Or the columns at which those `across` cross strips of its rows.
    """
    rows = strips_of(copy, STRIPS, across=across)
    length = copy.shape[0 if across else 1]
    bare = cv2.morphologyEx(rows, cv2.MORPH_CLOSE, np.ones((1, SPAN), np.uint8))
    lines = np.asarray(cv2.subtract(bare, rows), np.uint8)
    starts, ends = _peaks(lines[0]), _peaks(lines[-1])
    if not starts or not ends:
        return []
    near = 2 * max(1, round(ASTRAY * length)) + 1
    dark = cv2.dilate(lines, np.ones((1, near), np.uint8))
    found: dict[int, tuple[float, Reals]] = {}
    for first, last in itertools.product(starts, ends):
        if abs(last - first) > SLOPE * length:
            continue
        way = np.linspace(first, last, STRIPS, dtype=np.float32)
        along = dark[np.arange(STRIPS), np.round(way).astype(int)]
        usual = float(np.median(along))
        if usual > DARK and (along > max(SEEN * usual, DARK / 2)).mean() >= COVERED:
            found[first] = max(found.get(first, (0.0, way)), (usual, way), key=lambda one: one[0])
    return [way for _, way in found.values()]


def _peaks(line: Grey) -> list[int]:
    """Return the rows at which an outermost strip (h,) is darkest round about, the six darkest."""
    around = cv2.dilate(line[None], np.ones((1, 2 * SPAN + 1), np.uint8))[0]
    places = np.flatnonzero((line == around) & (line > DARK))
    apart = places[np.diff(places, prepend=-2 * SPAN) > SPAN]
    return [int(k) for k in apart[np.argsort(-line[apart].astype(int))][:6]]


def _creases(page: Grey, darkest: float) -> list[Lanes]:
    """Return the lines from edge to edge of a page (H, W), each by itself, where paler than `darkest`."""
    copy, times = halved_to(page, MOST)
    reach = round(SPAN * times / 2)
    columns = (np.arange(page.shape[1]) + 0.5) / page.shape[1]
    found = []
    for rows in crease_rows(copy):
        middles = (rows[0] + (rows[-1] - rows[0]) * columns + 0.5) * times - 0.5
        way = middles[None].astype(np.float32)
        found.append(lanes_along(page, way, reach, wayward=ASTRAY * page.shape[1], darkest=darkest))
    return found


def _ink_of(page: Grey) -> float:
    """Return how dark (0 to 1) what is drawn on even paper is: the tenth part of what is dark at all."""
    counts = np.bincount(page.ravel()[::7], minlength=256)[:200]
    if not counts.any():
        return 0.0
    darkest = int(np.searchsorted(np.cumsum(counts), 0.1 * counts.sum()))
    return 1 - darkest / PAPER


def _without(channel: Grey, lanes: Lanes, ink: float, *, across: bool) -> Grey:
    """Return a channel without a crease."""
    page = turned(channel, across=across)
    own = measured(page, lanes.middles, lanes.reach, PALE * ink)
    return turned(divided(page, own, ink, left=LEFT, stiff=1), across=across)


def _mend(lanes: Lanes, page: Grey, *, across: bool) -> Mend:
    """Describe one crease, in art pixels."""
    x, y = page.shape[1] / 2, float(lanes.middles[0, page.shape[1] // 2]) + 0.5
    x, y = (y, x) if across else (x, y)
    return Mend("fold left out", x, y, float(page.shape[1]))
