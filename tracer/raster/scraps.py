"""Scraps under colouring: short free ends and crumbs that stay where dark colours cross beside a line."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.binarize import depths
from tracer.raster.cells import widened
from tracer.raster.thin import thin

Mask = NDArray[np.uint8]
Labels = NDArray[np.int32]
Flags = NDArray[np.bool_]

SHORT, CRUMB = 2.2, 3.0
"""Pens up to which a branch may be a scrap, and what is joined to nothing."""

STUB, TIP = 1.2, 0.5
"""Pens up to which what ends free is one, half a pen of them lies in the line itself; and pens from the
middle to the edge of the tip of a sharp corner at the least.
"""

THIN, THREAD = 0.42, 0.3
"""Pens from the middle to the edge of what is no line, and of what is none however dark: of 94 scraps 73 had
less than the first, of 175 branches of lines one that was longer than a pen.
"""

LIGHTER = 18.0
"""Greys that a short branch that ends free is lighter than lines on bare paper, if it is none: thin lines are
up to 16 lighter, being blurred.
"""

DOT, DOT_DEEP = 1.0, 0.15
"""Pens that a dot is long at the most, and from its middle to its edge at the least."""

SOLID, BROAD = 0.9, 2.0
"""Pens from the middle to the edge of what is a solid, no line, and how far its corners reach from there."""

FAR, CLEAR, TIED = 5.0, 0.1, 0.2
"""Pens that a crumb is long at the most that lets more than that part of the light round about through, and
the part that a short branch that ends free lets through: of lines 9 in 10 let less than the first through.
"""

ROUND = 0.5
"""Part of the light that a dot lets through at the most in whatever direction."""

_WITHIN = 0.6
"""Part of a scrap that lies in the colouring."""


@dataclass(frozen=True, eq=False)
class Passed:
    """The part of its sides' light that each place lets through, in cells (h, w) of `cell` pixels."""

    cell: int
    least: NDArray[np.float32]
    most: NDArray[np.float32]


def scraps(ink: Mask, coloured: Mask, lighter: Mask, passed: Passed, pen: float) -> tuple[Mask, Mask]:
    """Return 1 where ink (H, W) is a scrap under colouring (H, W), and the skeleton (H, W) of what is none.

    Lines are `pen` pixels wide, `lighter` (H, W) are greys above those of lines, `passed` the light that
    each place lets through. At a junction the longest end stays where all but one line would go. Dots
    stay, being as thick and as dark as lines.
    """
    depth = depths(ink)
    skeleton = thin(ink.view(bool), depth).astype(np.uint8)
    near = cv2.filter2D(skeleton, cv2.CV_8U, np.ones((3, 3), np.uint8), borderType=cv2.BORDER_CONSTANT)
    ends, crossings = skeleton & (near == 2), widened(skeleton & (near > 3), 3)
    count, labels = cv2.connectedComponents(skeleton & (1 - crossings), connectivity=8)
    solid = widened((depth > SOLID * pen).astype(np.uint8), 2 * round(BROAD * pen) + 1)
    branch = np.asarray(labels, np.int32)
    found = _measured(branch, count, (depth, ends, coloured & (1 - solid), lighter), passed)
    at, of = _meetings(crossings, branch)
    tied = np.bincount(of, minlength=count) > 0
    gone = _scraps(found, tied, pen)
    gone &= ~_needed(at, of, gone, found.length)
    gone[0] = False
    if not gone.any():
        return np.zeros_like(ink), skeleton
    taken = gone[branch].astype(np.uint8)
    reach = 2 * round(0.75 * pen) + 1
    left = skeleton & (1 - taken)
    return widened(taken, reach) & ink & (1 - widened(left, reach)), left


@dataclass(frozen=True, eq=False)
class _Branches:
    """The branches (n,): length in pixels, usual depth in pixels, whether they end free and lie in colouring,
    by how many greys they are lighter than lines, and the least and most light that they let through.
    """

    length: NDArray[np.float64]
    depth: NDArray[np.float64]
    free: Flags
    inside: Flags
    lighter: NDArray[np.float64]
    least: NDArray[np.float64]
    most: NDArray[np.float64]


def _measured(
    branch: Labels, count: int, layers: tuple[NDArray[Any], Mask, Mask, Mask], passed: Passed
) -> _Branches:
    """Return what there is to know of the branches (H, W): of depth, ends, colouring and greys (H, W)."""
    at = np.flatnonzero(branch)
    label = branch.ravel()[at]
    pixels = np.maximum(np.bincount(label, minlength=count), 1)
    depth, ends, coloured, lighter = (
        np.bincount(label, layer.ravel()[at], count) / pixels for layer in layers
    )
    row, column = (
        np.minimum(place // passed.cell, size - 1)
        for place, size in zip(np.unravel_index(at, branch.shape), passed.least.shape, strict=True)
    )
    least, most = (
        np.bincount(label, layer[row, column], count) / pixels for layer in (passed.least, passed.most)
    )
    return _Branches(pixels + 1.0, depth, ends > 0, coloured > _WITHIN, lighter, least, most)


def _scraps(found: _Branches, tied: Flags, pen: float) -> Flags:
    """Return which branches (n,) are scraps by their own measures."""
    narrow, length = found.depth < THIN * pen, found.length / pen
    dot = (length < DOT) & (found.depth > DOT_DEEP * pen) & (found.most < ROUND)
    clear = (length < FAR) & (found.least > CLEAR)
    crumb = ~tied & ((length < CRUMB) & narrow | clear) & ~dot
    stub = (length < STUB) & (found.depth < TIP * pen)
    loose = found.free & (narrow | (found.lighter > LIGHTER) | (found.least > TIED) | stub)
    short = tied & (length < SHORT) & (loose | (found.depth < THREAD * pen))
    return np.asarray(found.inside & (crumb | short), np.bool_)


def _meetings(crossings: Mask, branch: Labels) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return which crossing and which branch (n,) meet, each pair once."""
    crossing = cv2.connectedComponents(crossings, connectivity=8)[1]
    beside = cv2.dilate(crossing.astype(np.float32), np.ones((3, 3), np.uint8)).astype(np.intp)
    met = (beside > 0) & (branch > 0)
    pairs = np.unique(np.column_stack([beside[met], branch[met]]), axis=0)
    return pairs[:, 0], pairs[:, 1]


def _needed(at: NDArray[np.intp], of: NDArray[np.intp], spur: Flags, length: NDArray[np.float64]) -> Flags:
    """Return which spurs (count,) are the end of a line: the longest where less than two others stay."""
    others = np.bincount(at[~spur[of]], minlength=int(at.max(initial=0)) + 1)
    alone = spur[of] & (others[at] < 2)
    order = np.lexsort((length[of[alone]], at[alone]))
    crossing, ends = at[alone][order], of[alone][order]
    last = np.append(crossing[1:] != crossing[:-1], True)[: len(crossing)]
    needed = np.zeros(len(spur), bool)
    needed[ends[last]] = True
    return needed
