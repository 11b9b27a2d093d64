"""Strips under colouring that are as dark as ink, where two waxes cross: neither edge is a pen's, and they
are no darker than the colours on both their sides over one another.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.balance import PAPER
from tracer.raster.band import Edges

Grey = NDArray[np.uint8]
Cells = NDArray[np.float32]
Mask = NDArray[np.uint8]
Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

BELIEVED = 0.6
"""Part of a line's places where one of its two edges is the pen's: of 398 lines none had less, of 25 strips
20 had.
"""

RAGGED = 0.04
"""Widths by which the edges of a strip waver about their own course in the middle: strokes of wax end in
scallops, while a brush's line that swells is smooth.
"""

_BEYOND, _EXPLAINED = 0.6, 0.75
"""Pens beyond its edges where the colours of its sides are seen, and part of the light that they let
through together that a strip throws back at the least: of 24 strips 23 did, of 84 lines with bent or ragged
edges none.
"""

_WITHIN = 0.8
"""Part of a strip that lies in the colouring."""

_REACH, _CLEAR = 1.6, 0.6
"""Pens from a strip's middle that are taken away with it, and from the middles of lines that stay."""


@dataclass(frozen=True, eq=False)
class Light:
    """The light of a coloured page (h, w, 3), 1 that of paper, in cells of `cell` pixels."""

    cell: int
    light: Cells

    def at(self, points: Array) -> Array:
        """Return the light (n, 3) at points (n, 2) in pixels."""
        height, width = self.light.shape[:2]
        x, y = np.clip(points // self.cell, 0, [width - 1, height - 1]).astype(np.intp).T
        found: Array = self.light[y, x].astype(np.float64)
        return found


def strips(edges: Edges, off: Array, inside: Flags, sound: Flags, *, light: Light, pen: float) -> Flags:
    """Return which lines (m,) are strips.

    `off` (n, 2) are widths by which the two edges are beyond those of a pen, nan where there is none,
    `inside` (n,) tells what lies in the colouring, `sound` (n,) where one edge is the pen's.
    """
    ways = edges.ways
    known = np.isfinite(off)
    edge = np.where(known, off, 0)
    wavers = np.where(known, np.abs(edge - ways.smooth(edge, pen)), np.inf)
    each = np.split(wavers, ways.starts[1:-1])
    ragged = np.array([np.median(own[np.isfinite(own)]) if np.isfinite(own).any() else 0 for own in each])
    coloured, believed = (
        np.add.reduceat(flags.astype(np.float64), ways.starts[:-1]) / np.diff(ways.starts)
        for flags in (inside, sound)
    )
    found: Flags = (coloured > _WITHIN) & (believed < BELIEVED) & (ragged > RAGGED)
    for k in np.flatnonzero(found):
        found[k] = _explained(edges, slice(ways.starts[k], ways.starts[k + 1]), light, pen) > _EXPLAINED
    return found


def _explained(edges: Edges, part: slice, light: Light, pen: float) -> float:
    """Return the light of a part of the places, by what the colours on their sides let through together.

    Layers of dye multiply (Beer 1852, Lambert 1760). Where a side lies on other ink it tells nothing: what
    three quarters of the places do not exceed counts.
    """
    points, normals = edges.ways.points[part], edges.normals[part]
    away = np.nan_to_num(edges.away[part], nan=pen) + _BEYOND * pen
    one, other = (light.at(points + sign * away[:, k : k + 1] * normals) for k, sign in ((0, -1), (1, 1)))
    both = float(np.percentile((one * other).max(axis=1), 75))
    return float(np.median(light.at(points).max(axis=1))) / max(both, 1e-6)


def wipe(page: Grey, skeleton: Mask, points: Array, pen: float) -> None:
    """Make a page (H, W) paper about a strip's pixels (n, 2) of the skeleton (H, W), up to other lines."""
    reach = round(_REACH * pen)
    columns, rows = points.astype(np.intp).T
    top, left = max(0, int(rows.min()) - reach), max(0, int(columns.min()) - reach)
    box = np.s_[top : int(rows.max()) + reach + 1, left : int(columns.max()) + reach + 1]
    free, others = np.ones_like(skeleton[box]), 1 - skeleton[box]
    free[rows - top, columns - left] = 0
    others[rows - top, columns - left] = 1
    own, away = (cv2.distanceTransform(mask, cv2.DIST_L2, cv2.DIST_MASK_5) for mask in (free, others))
    page[box][(own < reach) & (own < away) & (away > _CLEAR * pen + 2)] = PAPER
