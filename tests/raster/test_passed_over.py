"""Lines that may have gone with the colouring: told, with their places."""

import cv2
import numpy as np
import pytest
from dyes import outlines, patch, seen, through
from pen import Page

from tracer.art.read import scan_of
from tracer.model.ink import Mend, MendKind
from tracer.raster.ink import find_ink
from tracer.reading import Reading

ANYHOW = Reading(insist=True)  # whether it is line art at all is another question
BLUE, GREEN, BROWN = (60, 140, 220), (20, 130, 60), (112, 74, 52)


def told(light: np.ndarray, kind: MendKind) -> list[Mend]:
    return [mend for mend in find_ink(scan_of(seen(light)), ANYHOW).mends if mend.kind == kind]


def test_two_dyes_as_dark_as_ink_are_told_where_they_lie_over_one_another() -> None:
    # 44 x 20 / 255 and so on: the light of both dyes is their product, next to nothing here.
    clean = outlines()
    light = through(clean) * patch((60, 20, 10), (60, 110), (160, 180), clean.shape)
    light = light * patch((250, 225, 40), (300, 90), (120, 120), clean.shape)
    (mend,) = told(light, "dark colouring left out")
    assert (mend.x, mend.y, mend.size_px) == pytest.approx((140, 200, 180), abs=25)


@pytest.mark.parametrize("dye", [BLUE, GREEN, BROWN, (250, 225, 40)])
def test_colouring_in_which_lines_can_be_seen_hides_nothing(dye: tuple[int, int, int]) -> None:
    clean = outlines()
    light = through(clean) * patch(dye, (120, 20), (260, 300), clean.shape)
    assert not told(light, "dark colouring left out")
    assert not told(light, "coloured line left out")


def test_a_black_solid_is_no_dark_colouring() -> None:
    clean = outlines()
    cv2.circle(clean, (240, 200), 60, 0, -1, cv2.LINE_AA)
    light = through(clean) * patch(BLUE, (20, 20), (120, 120), clean.shape)
    assert not told(light, "dark colouring left out")


def test_a_line_in_a_colour_that_fills_an_area_is_told() -> None:
    clean = outlines()
    own = Page(480, 360).line((370, 130), (450, 320)).grey
    light = through(clean) * through(own, BLUE) * patch(BLUE, (80, 120), (130, 160), clean.shape)
    (mend,) = told(light, "coloured line left out")
    assert (mend.x, mend.y, mend.size_px) == pytest.approx((410, 225, 190), abs=15)


def test_strokes_of_sparse_hatching_are_no_lines() -> None:
    """Wax laid on in strokes four pens apart is colouring, though each is as thin as a line."""
    clean = outlines()
    own = Page(480, 360)
    for x in (300, 340, 380, 420):
        own = own.line((x, 330), (x + 45, 230), width=7)
    light = through(clean) * through(own.grey, BLUE) * patch(BLUE, (80, 120), (130, 160), clean.shape)
    assert not told(light, "coloured line left out")


def test_every_coloured_area_is_listed_however_many_there_are() -> None:
    clean = Page(800, 600).line((20, 20), (780, 20)).line((20, 580), (780, 580)).grey
    light = through(clean)
    for x in range(40, 760, 90):
        for y in range(60, 540, 100):
            light = light * patch(BLUE, (x, y), (40, 50), clean.shape)
    assert len(told(light, "colouring left out")) == 40


def test_a_dark_brown_line_that_was_found_is_not_told() -> None:
    clean = outlines()
    own = Page(480, 360).line((370, 130), (450, 320)).grey
    dark, pale = (60, 30, 24), (150, 75, 56)
    light = through(clean) * through(own, dark) * patch(pale, (80, 120), (130, 160), clean.shape)
    assert not told(light, "coloured line left out")
