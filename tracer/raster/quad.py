"""The four corners of a photographed sheet: as seen, or as said."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.errors import ArtError
from tracer.model.scan import Scan
from tracer.raster.homography import area_of
from tracer.raster.lens import Lens, lens_of
from tracer.raster.paper_fit import fit_paper
from tracer.raster.sheet import SMALL, find_sheet
from tracer.raster.sheet_edges import Edge, corners_of, measured_edges, without_lens
from tracer.raster.surround import dark_rim, has_dark_rim, has_grain, is_white_to_the_rim

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

_ROUGH = 4.0
"""Pixels of the small copy to which a sheet is found in it."""

_SURE, _OTHER = 0.6, 0.2
"""Worth of the edges, and part of the surround like paper, for which a picture is taken for a photo."""

_SURROUNDED = 0.9
"""Part of the picture's rim that must be no paper, to be sure."""

_SQUARE = 0.01
"""Cosine of the angles, and part by which opposite sides differ, of a sheet on a scanner at the most."""

MOST_SIDE = 32_000
"""Pixels of a picture's side beyond which it cannot be resampled here (indices of 16 bits)."""

_MOST_HIDDEN = 0.4
"""Parts of an edge, of all four together, beyond which they may be another thing's: a hand hides less."""

_OUT = 0.25
"""Part of the picture's longer side by which a corner that is said may lie out of it."""

_LEAST_AREA = 0.01
"""Part of the picture that a sheet covers at the least."""


@dataclass(frozen=True, eq=False)
class Quad:
    """Where a sheet lies.

    Attributes
    ----------
    corners : (4, 2) art px, clockwise from its top left, as they would lie without the lens.
    edges : top, right, bottom and left, without the lens; none where they were not measured.
    lens : what bent the edges, or None where nothing did.
    """

    corners: Array
    edges: tuple[Edge, ...] = ()
    lens: Lens | None = None

    @property
    def corners_seen(self) -> Array:
        """The corners (4, 2) in the picture, art px."""
        return self.corners if self.lens is None else self.lens.bent(self.corners)

    def unbent(self, points: Array) -> Array:
        """Return where points (n, 2) of the picture would lie without the lens."""
        return points if self.lens is None else self.lens.unbent(points)


def quad_seen(scan: Scan, *, sure: bool, dark: bool = False) -> Quad | None:
    """Return where a sheet is seen to lie, or None.

    To be `sure` that the picture is a photo of a sheet, all that lies round it must be no
    paper, and not flat as in drawn pictures, and the sheet must have the shape of a known
    paper; on a scan of known size the rim must be dark and the sheet not in perspective. A
    `dark` sheet is one darker than the table.
    """
    picture = scan.grey if scan.colour is None else scan.colour
    if sure and not _may_be(scan, picture):
        return None
    quad = _quad_in(picture, sure=sure, dark=dark)
    return quad if quad is None or not sure or _is_sure(scan, picture, quad) else None


def _may_be(scan: Scan, picture: Picture) -> bool:
    """Say, after a quick look, whether a picture may be the photo of a sheet."""
    if scan.mm_per_px is not None and not has_dark_rim(picture):
        return False
    return not is_white_to_the_rim(picture) and has_grain(picture)


def _is_sure(scan: Scan, picture: Picture, quad: Quad) -> bool:
    """Say whether a quad in a picture that may be any has a sheet's shape, and something else all round."""
    if dark_rim(picture, quad.corners_seen) < _SURROUNDED:
        return False
    corners = quad.corners
    height, width = scan.grey.shape
    if scan.mm_per_px is None:
        return fit_paper(corners, (width, height)).paper is not None
    sides = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    skew = np.abs((sides * np.roll(sides, -1, axis=0)).sum(axis=1)) / (lengths * np.roll(lengths, -1))
    return bool(skew.max() < _SQUARE and np.abs(lengths[:2] / lengths[2:] - 1).max() < _SQUARE)


def _quad_in(picture: Picture, *, sure: bool, dark: bool) -> Quad | None:
    """Return where a sheet brighter or darker than what lies round it is seen, or None."""
    sheet = find_sheet(picture, dark=dark)
    if sheet is None:
        return None
    if sure and (sheet.worth < _SURE or sheet.paper_beyond > _OTHER):
        return None
    doubt = _ROUGH * max(1.0, max(picture.shape) / SMALL)
    if dark:
        picture = np.asarray(cv2.bitwise_not(picture), np.uint8)
    edges = measured_edges(picture, sheet.corners, doubt)
    if sum(1 - edge.on for edge in edges) > _MOST_HIDDEN:
        return None
    lens = lens_of([edge.points for edge in edges], (picture.shape[1], picture.shape[0]))
    if lens is not None:
        edges = [without_lens(edge, lens) for edge in edges]
    return Quad(corners_of(edges), tuple(edges), lens)


def corners_said(said: Sequence[tuple[float, float]], scan: Scan) -> Array:
    """Return the corners as said (4, 2), art px, checked.

    Raises
    ------
    ArtError
        Where they lie far out of the picture, cross, go the wrong way round, or enclose next to nothing.
    """
    corners = np.array(said, float) / scan.shrunk
    height, width = scan.grey.shape
    out = _OUT * max(width, height)
    for x, y in corners:
        if not (-out <= x <= width + out and -out <= y <= height + out):
            raise ArtError(
                f"The corner ({x * scan.shrunk:g}, {y * scan.shrunk:g}) lies far out of {scan.name}, "
                f"which is {width * scan.shrunk:.0f} x {height * scan.shrunk:.0f} pixels: "
                "say --corners in its pixels, from its top left."
            )
    ahead = np.roll(corners, -1, axis=0) - corners
    after = np.roll(ahead, -1, axis=0)
    turns = ahead[:, 0] * after[:, 1] - ahead[:, 1] * after[:, 0]
    if not (turns > 0).all():
        crossed = "make no sheet (sides cross, or one points inwards)"
        what = "go the wrong way round" if (turns < 0).all() else crossed
        raise ArtError(
            f"The corners said for {scan.name} {what}: say top left, top right, bottom right, bottom left."
        )
    if area_of(corners) < _LEAST_AREA * width * height:
        raise ArtError(
            f"The corners said for {scan.name} enclose {area_of(corners) / (width * height):.2%} of it: "
            "they are pixels, counted from its top left."
        )
    return corners
