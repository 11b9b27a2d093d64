"""A glyph's outline as ink, its skeleton as a network.

Frame of all that follows: ink pixels, y down, the outline's top left at (MARGIN, MARGIN).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.flatten import flatten
from tracer.letters.face import Contour
from tracer.middles.outline import Outline
from tracer.raster.binarize import depths
from tracer.raster.thin import thin
from tracer.vector.network import Network, skeleton_network
from tracer.vector.prune import depth_at, prune

Array = NDArray[np.float64]

CAPITAL = 300.0
"""Pixels to a capital's height: a sixth of a millimetre each where that is 50 mm."""

LEAST_STEM = 12.0
"""Pixels that stems are drawn wide at the least, as far as the picture does not grow too large."""

MARGIN = 8.0

_MOST = 2400.0
"""Pixels a side of the picture."""

_FLAT = 0.05
"""Pixels of the outline's flattening."""

_SHIFT = 8
"""Binary places of the outline's points when it is filled."""


@dataclass(frozen=True, eq=False)
class GlyphInk:
    """A glyph drawn: its outline and network in ink pixels, and pixels to a font unit.

    Attributes
    ----------
    outline : exact.
    radius : (H, W) how deep each pixel lies, within 2 %.
    network : of the skeleton, without spurs.
    corner : (2,) the outline's top left, font units.
    scale : pixels to a font unit.
    cap : pixels to a capital's height.
    """

    outline: Outline
    radius: NDArray[np.float32]
    network: Network
    corner: Array
    scale: float
    cap: float

    def to_font(self, points: Array) -> Array:
        """Return points (..., 2) in font units, y up."""
        return np.asarray((points - MARGIN) / self.scale * (1, -1) + self.corner)


def draw(contours: Sequence[Contour], cap_height: float) -> GlyphInk:
    """Draw the area between closed contours (font units, y up) and thin it."""
    ink = _drawn(contours, cap_height, CAPITAL / cap_height)
    along = [branch.points for branch in ink.network.branches]
    stem = 2 * float(np.median(depth_at(ink.radius, np.concatenate(along)))) if along else LEAST_STEM
    if stem < LEAST_STEM:
        ink = _drawn(contours, cap_height, CAPITAL / cap_height * min(6.0, LEAST_STEM / max(stem, 1.0)))
    return ink


def _drawn(contours: Sequence[Contour], cap_height: float, scale: float) -> GlyphInk:
    x0, y0, x1, y1 = bezier.bounds(np.concatenate([contour.curves for contour in contours]))
    scale = min(scale, _MOST / max(x1 - x0, y1 - y0))
    corner = np.array([x0, y1])
    rings = [(flatten(c.curves, _FLAT / scale) - corner) * (scale, -scale) + MARGIN for c in contours]
    size = np.ceil((np.array([y1 - y0, x1 - x0])) * scale + 2 * MARGIN).astype(int)
    mask = np.zeros(size, np.uint8)
    whole = [np.round((ring - 0.5) * (1 << _SHIFT)).astype(np.int32) for ring in rings]
    cv2.fillPoly(mask, whole, 1, cv2.LINE_8, _SHIFT)
    depth = depths(mask)
    network = prune(skeleton_network(thin(mask.view(bool), depth)), depth)
    return GlyphInk(Outline.of(rings), depth, network, corner, scale, scale * cap_height)
