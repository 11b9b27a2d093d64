"""The whole raster stage: a Scan in, the Ink out."""

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.errors import ArtError
from tracer.model.ink import Ink, Mend
from tracer.model.scan import Scan
from tracer.raster.binarize import LEVEL, depths, ink_mask, levelled, ridge_widths
from tracer.raster.border import part_from_border
from tracer.raster.clean import clean
from tracer.raster.darkness import darkness_of
from tracer.raster.dropouts import fill_bites, fill_holes, is_worn
from tracer.raster.faint import tinted, with_faint
from tracer.raster.gaps import with_gaps_closed
from tracer.raster.grid import Grid, coarser, grid_of, padded, widest_line
from tracer.raster.kind import refuse_noise, refuse_shaded, refuse_text
from tracer.raster.lid import drop_bands
from tracer.raster.pencil import whole_lines
from tracer.raster.polarity import light_on_dark
from tracer.raster.punched import drop_holes
from tracer.raster.separate import deep_mask, line_width_of, solid_mask, with_bumps
from tracer.raster.shading import without_shading
from tracer.raster.sharpness import quality_of
from tracer.raster.stretch import histogram
from tracer.raster.thin import thin
from tracer.reading import AS_IT_IS, Reading

Grey = NDArray[np.uint8]


def find_ink(scan: Scan, reading: Reading = AS_IT_IS) -> Ink:
    """Return the ink of a picture: lines, solids and the skeleton of the lines.

    Where `reading` says to follow the edge of everything (lettering, silhouettes), all ink is
    taken for solid.

    Raises
    ------
    ArtError
        Where the picture is blank, or all dark.
    """
    _refuse_blank(scan)
    scan, mends = _dark_on_light(scan)
    if not reading.insist:
        refuse_noise(scan)
        refuse_shaded(scan)
    darkness, left_out, coloured = darkness_of(scan)
    waxed = tinted(scan) or any(mend.kind == "colouring left out" for mend in left_out)
    drawn, darkness = darkness, darkness if waxed else whole_lines(darkness)
    bare = drawn is darkness and not waxed and not left_out  # what is left of a pattern is no faint line
    grid = grid_of(darkness)
    darkness, shaded = without_shading(darkness, grid.line_width)
    if shaded:
        grid = grid_of(darkness)
    if not grid.line_width:
        raise ArtError(f"{scan.name} has no ink dark enough to follow: use a picture with darker lines.")
    if reading.follow == "edge":
        grid = replace(grid, grain=1)  # gaps may be far finer than what they part
    darkness, plain, grid = _levelled(darkness, grid, faint=bare)
    mask = ink_mask(coarser(darkness, grid.grain))
    if not reading.insist:
        refuse_text(mask, scan.name)
    pen = grid.line_width * grid.zoom
    mask, cleaned = _clean(mask, plain, darkness, pen=pen, zoom=grid.zoom)
    cleaned += drop_bands(mask, darkness, pen, grid.zoom)
    cleaned += drop_holes(mask, darkness, grid.zoom, scan.mm_per_px)
    if reading.follow == "line":
        cleaned += part_from_border(mask, darkness, pen, grid.zoom, scan.rim)
    if not mask.any():
        raise ArtError(f"{scan.name} holds only specks, no line to follow: use a sharper or larger picture.")
    ink = (_outlined if reading.follow == "edge" else _separated)(darkness, mask, grid)
    hidden = _passed_over(scan, ink) if any(m.kind == "colouring left out" for m in left_out) else []
    changed = (*mends, *left_out, *hidden, *shaded, *cleaned)
    ink = replace(ink, mends=changed, quality=quality_of(ink, scan.grey), coloured=_fitted(coloured, mask))
    return ink if reading.follow == "edge" else with_gaps_closed(ink, scan.name, reading)


def _fitted(coloured: Grey | None, mask: Grey) -> NDArray[np.bool_] | None:
    """Return the coloured cells (h, w) as flags of the mask's size."""
    if coloured is None:
        return None
    return cv2.resize(coloured, mask.shape[::-1], interpolation=cv2.INTER_NEAREST).astype(bool)


def _passed_over(scan: Scan, ink: Ink) -> list[Mend]:
    """Return where lines of a coloured-in picture may have gone with its colouring."""
    if scan.colour is None:
        return []
    from tracer.raster.passed_over import passed_over

    return passed_over(scan.colour, (ink.line | ink.solid).view(np.uint8), ink.line_width / ink.zoom)


def _levelled(darkness: Grey, grid: Grid, *, faint: bool) -> tuple[Grey, Grey, Grid]:
    """Return the darkness with all ink's edge at LEVEL, padded; as it was, on ink pixels; and the grid.

    Where `faint` lines are raised beside black ones they may be the finest.
    """
    if grid.enlarged > 1:
        darkness = _enlarged(darkness, grid.enlarged)
    pen = grid.line_width * grid.enlarged
    even = levelled(darkness, pen)
    found = with_faint(darkness, even, pen) if faint else even
    if found is not even and grid.grain > 1:
        grid = replace(grid, grain=min(grid.grain, grid_of(found).grain))
    return padded(found, grid.grain), coarser(darkness, grid.grain), grid


def _clean(mask: Grey, plain: Grey, darkness: Grey, *, pen: float, zoom: float) -> tuple[Grey, list[Mend]]:
    """Return the mask without specks and flaws, and what was changed; lines are mended in the darkness."""
    holes = fill_holes(mask, darkness, pen, zoom)
    mask, cleaned = clean(mask, plain, pen, zoom)
    bites = fill_bites(mask, darkness, pen, zoom) if is_worn(holes, pen / zoom) else []
    return mask, [*holes, *cleaned, *bites]


def _enlarged(darkness: Grey, times: int) -> Grey:
    """Return the darkness (H, W) as (H * times, W * times)."""
    finer = cv2.resize(darkness, None, fx=times, fy=times, interpolation=cv2.INTER_CUBIC)
    return np.asarray(finer, np.uint8)


def _separated(darkness: Grey, mask: Grey, grid: Grid) -> Ink:
    """Thin the ink, and tell lines from solids."""
    depth = depths(mask)
    deep = deep_mask(mask, depth, grid.line_width * grid.zoom)
    rest = mask if deep is None else mask & (~deep).view(np.uint8)
    skeleton = thin(rest.view(bool), depth)
    widest = widest_line(mask.shape)
    pen = line_width_of(depth[skeleton], widest) if skeleton.any() else grid.line_width * grid.zoom
    solid = solid_mask(rest, depth, skeleton, pen)
    if deep is not None:
        solid |= with_bumps(deep, mask, depth, skeleton & ~solid, pen)
    line = mask.view(bool)
    if solid.any():
        skeleton, line = skeleton & ~solid, line & ~solid
    return Ink(
        zoom=grid.zoom,
        grain=grid.grain,
        darkness=darkness,
        level=LEVEL,
        line=line,
        solid=solid,
        skeleton=skeleton,
        radius=depth,
        line_width=pen,
    )


def _outlined(darkness: Grey, mask: Grey, grid: Grid) -> Ink:
    """Take all ink for solid."""
    depth = depths(mask)
    none = np.zeros(mask.shape, bool)
    return Ink(
        zoom=grid.zoom,
        grain=grid.grain,
        darkness=darkness,
        level=LEVEL,
        line=none,
        solid=mask > 0,
        skeleton=none,
        radius=depth,
        line_width=float(np.median(ridge_widths(depth))),
    )


def _refuse_blank(scan: Scan) -> None:
    """Refuse pictures without a light and a dark."""
    seen = np.flatnonzero(histogram(scan.grey))
    low, high = int(seen[0]), int(seen[-1])
    if high - low < 24:
        what = "blank" if high > 127 else "all dark"
        raise ArtError(
            f"{scan.name} is {what}: its greys span {high - low} of 255, at least 24 are needed. "
            "Choose a picture with dark lines on light paper."
        )


def _dark_on_light(scan: Scan) -> tuple[Scan, list[Mend]]:
    """Turn light lines on dark round, and say so."""
    if not light_on_dark(scan.grey):
        return scan, []
    height, width = scan.grey.shape
    colour = None if scan.colour is None else 255 - scan.colour
    turned = replace(scan, grey=255 - scan.grey, colour=colour)
    return turned, [Mend("turned round", width / 2, height / 2, float(max(width, height)))]
