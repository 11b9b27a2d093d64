"""Flaws in lines are filled, and nothing that was drawn."""

import cv2
import numpy as np
import pytest
from pen import Page, traced

from tracer.art.read import scan_of
from tracer.model.ink import Ink, Mend
from tracer.raster.dropouts import fill_bites, fill_holes, is_worn
from tracer.raster.ink import find_ink

PEN = 12.0


def ink_of(grey: np.ndarray) -> Ink:
    return find_ink(scan_of(grey))


def whited(grey: np.ndarray, *spots: tuple[float, float, float]) -> np.ndarray:
    """A page with white round spots (x, y, radius)."""
    for x, y, radius in spots:
        place = round(16 * (x - 0.5)), round(16 * (y - 0.5))
        cv2.circle(grey, place, round(16 * radius), 255, -1, cv2.LINE_AA, 4)
    return grey


def mask_of(page: Page) -> np.ndarray:
    return (page.grey < 128).astype(np.uint8)


@pytest.mark.parametrize(("off", "radius"), [(0, 3), (0, 4), (1, 3), (-3, 2)])
@pytest.mark.parametrize("slope", [0.0, 0.7])
def test_a_hole_in_a_line_is_filled_and_listed(off: float, radius: float, slope: float) -> None:
    page = Page(300, 200).line((30, 100 - 110 * slope / 2), (270, 100 + 120 * slope), width=PEN)
    x = 150.0
    y = 100 - 55 * slope + (x - 30) / 240 * 175 * slope + off
    drawing = traced(whited(page.grey, (x, y, radius)))
    assert len(drawing.strokes) == 1
    assert drawing.strokes[0].length == pytest.approx(np.hypot(240, 175 * slope), abs=1.0)
    (mend,) = [mend for mend in drawing.mends if mend.kind == "pinhole filled"]
    assert (mend.x, mend.y, mend.size_px) == pytest.approx((x, y, 2 * radius), abs=2.6)


def test_the_middle_of_a_line_stays_where_it_is_beside_a_hole() -> None:
    page = Page(300, 200).line((30, 100), (270, 100), width=PEN)
    (stroke,) = traced(whited(page.grey, (150, 102, 2.4))).strokes
    assert np.abs(stroke.points(0.01)[:, 1] - 100).max() < 0.25


@pytest.mark.parametrize("hole", [2.0, 4.0, 8.0])
def test_the_eye_of_a_tight_loop_stays(hole: float) -> None:
    mask = mask_of(Page(300, 200).line((30, 30), (270, 30), width=PEN).ring(150, 110, (PEN + hole) / 2, PEN))
    before = mask.copy()
    assert not fill_holes(mask, 255 * mask, PEN, 1.0)
    assert np.array_equal(mask, before)


def test_a_small_ring_of_a_finer_pen_stays() -> None:
    mask = mask_of(
        Page(300, 200)
        .line((30, 20), (270, 20), width=PEN)
        .ring(150, 110, 5, 3)
        .line((150, 115), (150, 190), width=3)
    )
    assert not fill_holes(mask, 255 * mask, PEN, 1.0)


def test_a_hole_in_a_solid_stays() -> None:
    mask = mask_of(Page(300, 200).disc(150, 100, 60))
    mask[97:103, 147:153] = 0
    assert not fill_holes(mask, 255 * mask, PEN, 1.0)


HOLES = ((60.0, 100.0, 2.5), (90.0, 100.0, 2.5), (240.0, 100.0, 2.5))
BITES = ((150.0, 107.0, 4.0), (180.0, 93.0, 4.0))


def test_a_worn_copys_bites_and_cuts_are_filled() -> None:
    grey = whited(Page(300, 200).line((30, 100), (270, 100), width=PEN).grey, *HOLES, *BITES)
    grey[90:110, 210:215] = 255
    drawing = traced(grey)
    (stroke,) = drawing.strokes
    assert np.abs(stroke.points(0.01)[:, 1] - 100).max() < 0.7
    assert sum(mend.kind == "pinhole filled" for mend in drawing.mends) == 6


def test_where_nothing_is_worn_no_bite_is_filled() -> None:
    grey = whited(Page(300, 200).line((30, 100), (270, 100), width=PEN).grey, *BITES)
    ink = ink_of(grey)
    assert not ink.mends
    assert not ink.line[round(107 * ink.zoom), round(150 * ink.zoom)]


def test_specks_beside_a_worn_copys_line_are_not_tied_to_it() -> None:
    grey = whited(Page(300, 200).line((30, 100), (270, 100), width=PEN).grey, *HOLES)
    cv2.circle(grey, (200, 112), 3, 0, -1, cv2.LINE_AA)
    ink = ink_of(grey)
    assert not ink.line[round(112 * ink.zoom), round(200 * ink.zoom)]
    assert "speck dropped" in {mend.kind for mend in ink.mends}


def test_the_roughness_of_an_edge_is_no_bite() -> None:
    mask = mask_of(Page(300, 200).line((30, 100), (270, 100), width=PEN))
    mask[94:96, 60:240:9] = 0
    assert not fill_bites(mask, 255 * mask, PEN, 1.0)


def test_pinholes_where_lines_merge_make_no_worn_copy() -> None:
    grey = whited(Page(300, 200).line((30, 100), (270, 100), width=PEN).grey, *BITES)
    for x in (60, 90, 120, 220, 240):
        grey[99:101, x : x + 2] = 255
    ink = ink_of(grey)
    assert len(ink.mends) == 5
    assert not ink.line[round(107 * ink.zoom), round(150 * ink.zoom)]


@pytest.mark.parametrize(("size", "pen", "worn"), [(2.0, 3.5, False), (3.0, 3.5, False), (4.0, 12.0, True)])
def test_holes_of_few_pixels_make_no_worn_copy_of_a_web_picture(size: float, pen: float, worn: bool) -> None:
    # Between the tips of hairs, and where lines run together, 3 px lines leave holes of 1 to 3 px.
    assert is_worn(3 * [Mend("pinhole filled", 50, 50, size)], pen) is worn
