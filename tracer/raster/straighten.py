"""A photograph of a sheet becomes the sheet itself, flat and at true size; a scan is turned straight."""

import math
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.errors import ArtError
from tracer.model.scan import Scan
from tracer.raster.deskew import turned_straight, with_skew_told
from tracer.raster.flatten import Flattening, flattened, with_clean_rim
from tracer.raster.homography import area_of, homography, led_through
from tracer.raster.paper_fit import Fit, fit_paper
from tracer.raster.quad import MOST_SIDE, Quad, corners_said, quad_seen
from tracer.raster.sheet_words import flat_notes, size_doubt, the_sheet
from tracer.reading import AS_IT_IS, Reading
from tracer.shop.paper import Paper

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

RIM = 1.0
"""mm inside the sheet's edge that are not looked at: its shadow lies there."""

_THINNEST = 3
"""Pixels of the rim at the least."""

_USUAL_SIDE = 297.0
"""mm taken for the longer side of a sheet of unknown paper where a width of its rim is wanted."""


def straightened(scan: Scan, reading: Reading = AS_IT_IS) -> Scan:
    """Return a photographed sheet as seen from straight above, at true size; other pictures as they are.

    Where `reading` names the paper or the corners, or the picture is seen to be the photo of a
    sheet (a camera's, or with something all round that is no paper), the sheet is flattened
    by its four corners, and the size is that of the paper. Scans are turned straight if asked.

    Raises
    ------
    ArtError
        Where a photo of a sheet was said and none is seen, or the corners said are no sheet's.
    """
    if max(scan.grey.shape) > MOST_SIDE:
        return scan
    # a length across a tilted sheet says nothing of the size before the sheet lies flat
    bare = scan if reading.known is None else replace(scan, mm_per_px=None)
    quad = _quad(bare, reading)
    if quad is not None:
        scanned = bare.mm_per_px is not None and reading.photo_of == "auto" and reading.corners is None
        return _cut_out(bare, quad) if scanned else _flat(bare, reading, quad)
    if scan.from_camera and reading.photo_of == "auto" and scan.mm_per_px is None:
        unseen = (
            "the edges of a sheet were not seen in the photo: its tilt is not cured, its true size unknown"
        )
        scan = replace(scan, notes=(*scan.notes, unseen))
    return turned_straight(scan) if reading.deskew else with_skew_told(scan)


def _quad(scan: Scan, reading: Reading) -> Quad | None:
    """Return where the sheet lies, by what was said or what is seen."""
    if reading.photo_of == "no":
        return None
    if reading.corners is not None:
        return Quad(corners_said(reading.corners, scan))
    if reading.photo_of == "auto":
        said = reading.dpi is not None or reading.art_width is not None
        return None if said else quad_seen(scan, sure=not scan.from_camera)
    quad = quad_seen(scan, sure=False) or quad_seen(scan, sure=False, dark=True)
    if quad is None:
        raise ArtError(
            f"{scan.name} shows no sheet of paper with its four edges in sight: photograph the whole sheet "
            "on something darker, or say where its corners are with --corners."
        )
    return quad


def _flat(scan: Scan, reading: Reading, quad: Quad) -> Scan:
    """Return the sheet alone, flat."""
    height, width = scan.grey.shape
    fit = fit_paper(quad.corners, (width, height))
    paper = reading.photo_of if isinstance(reading.photo_of, Paper) else fit.paper
    to_flat, mm_per_px, size = _plan(quad.corners, fit, paper)
    rim = _rim(quad, size, mm_per_px or _USUAL_SIDE / max(size))
    grey, colour = _pictures(scan, Flattening(to_flat, size, quad.lens), rim)
    source = (
        f"a photo of {the_sheet(paper)}, flattened" if paper else "unknown: no known paper has that shape"
    )
    doubt = size_doubt(paper, None if paper is reading.photo_of else fit.or_else) if paper else 0.0
    if reading.known is not None:
        a, b = led_through(to_flat, quad.unbent(np.array([reading.known.a, reading.known.b], float)))
        mm_per_px, source, doubt = _by_known(math.dist(a, b), reading.known.length, scan)
    notes = flat_notes(quad, fit, paper, (width, height), named=isinstance(reading.photo_of, Paper))
    return replace(
        scan, grey=grey, colour=colour, mm_per_px=mm_per_px, scale_source=source, size_doubt=doubt,
        rim=max(rim), notes=(*scan.notes, *notes),
    )  # fmt: skip


def _cut_out(scan: Scan, quad: Quad) -> Scan:
    """Return a scanned sheet without what the scanner saw round it, laid straight; its size is the scan's."""
    sides = np.hypot(*(np.roll(quad.corners, -1, axis=0) - quad.corners).T)
    width, height = (sides[0] + sides[2]) / 2, (sides[1] + sides[3]) / 2
    to_flat = homography(quad.corners, np.array([[0, 0], [width, 0], [width, height], [0, height]]))
    size = math.ceil(width - 0.01), math.ceil(height - 0.01)
    rim = _rim(quad, size, scan.mm_per_px or 1.0)
    grey, colour = _pictures(scan, Flattening(to_flat, size, quad.lens), rim)
    note = "the sheet was cut out of the dark round it and laid straight"
    return replace(scan, grey=grey, colour=colour, rim=max(rim), notes=(*scan.notes, note))


def _plan(corners: Array, fit: Fit, paper: Paper | None) -> tuple[Array, float | None, tuple[int, int]]:
    """Return the matrix to the flat sheet, mm per pixel of it or None, and its size (width, height) px.

    It has as many pixels as the sheet has in the photo.
    """
    aspect = fit.aspect
    if paper is not None:
        ratio = paper.width / paper.height
        aspect = ratio if aspect < 1 else 1 / ratio
    height = math.sqrt(area_of(corners) / aspect)
    width = aspect * height
    to = np.array([[0, 0], [width, 0], [width, height], [0, height]])
    mm_per_px = None if paper is None else max(paper.width, paper.height) / max(width, height)
    return homography(corners, to), mm_per_px, (math.ceil(width - 0.01), math.ceil(height - 0.01))


def _rim(quad: Quad, size: tuple[int, int], mm_per_px: float) -> tuple[int, int, int, int]:
    """Return how many px at the top, right, bottom and left the sheet's edge and its bow may spoil."""
    least = max(_THINNEST, math.ceil(RIM / mm_per_px))
    if not quad.edges:
        return least, least, least, least
    bows = [math.ceil(edge.bow * side) for edge, side in zip(quad.edges, (*size, *size), strict=True)]
    return least + bows[0], least + bows[1], least + bows[2], least + bows[3]


def _pictures(
    scan: Scan, flattening: Flattening, rim: tuple[int, int, int, int]
) -> tuple[Picture, Picture | None]:
    """Return the flat sheet's grey (H, W), and its colour (H, W, 3) if it has."""
    if scan.colour is None:
        return with_clean_rim(flattened(scan.grey, flattening), rim), None
    colour = with_clean_rim(flattened(scan.colour, flattening), rim)
    return np.asarray(cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY), np.uint8), colour


def _by_known(pixels: float, length: float, scan: Scan) -> tuple[float, str, float]:
    """Return mm per pixel by a length that is known, where it comes from, and its doubt."""
    if pixels < 1:
        raise ArtError(
            f"The known length in {scan.name} has both its ends in one place: say two that lie apart."
        )
    return length / pixels, f"a length of {length:g} mm in it, as said", 0.0
