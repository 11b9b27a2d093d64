"""Bulges beside lines under colouring go; junctions, corners, and lines on bare paper stay as they are."""

import cv2
import numpy as np
import pytest
from pen import Page

from tracer.raster.binarize import depths
from tracer.raster.evened import Lines, evened
from tracer.raster.strips import Light
from tracer.raster.thin import thin

PEN, DARK, PAPER = 12.0, 40.0, 250


def page_of(page: Page) -> np.ndarray:
    return (PAPER - (PAPER - DARK) * (1 - page.grey / 255)).astype(np.uint8)


def tidied(page: Page, *, coloured: int = 255, grey: np.ndarray | None = None) -> np.ndarray:
    """The page evened, its colouring everywhere or nowhere; `grey`: as it was with its colouring."""
    cleared = page_of(page)
    ink = (cleared < (DARK + PAPER) / 2).astype(np.uint8)
    skeleton = thin(ink.view(bool), depths(ink)).astype(np.uint8)
    seen = cleared if grey is None else grey
    light = Light(1, np.ones((*cleared.shape, 3), np.float32))
    return evened(Lines(cleared, seen, np.full_like(cleared, coloured), skeleton, DARK, light), PEN)


def off(found: np.ndarray, page: Page) -> int:
    """How many pixels are ink in one but not in the other, more than a pixel from any edge."""
    ink, true = ((one < (DARK + PAPER) / 2).astype(np.uint8) for one in (found, page_of(page)))
    edge = cv2.morphologyEx(true, cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8))
    return int(((ink != true) & (edge == 0)).sum())


def bar() -> Page:
    return Page(400, 200).line((30, 100), (370, 110), width=PEN)


def bulged(page: Page, y: float = 1.0) -> Page:
    """Scallops half a pen wide along one side."""
    for x, size in ((120, 5), (150, 4), (230, 6), (262, 5)):
        page.disc(x, 100 + (x - 30) * 10 / 340 + y * PEN / 2, size)
    return page


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_scallops_beside_a_line_go(side: float) -> None:
    assert off(page_of(bulged(bar(), side)), bar()) > 60
    assert off(tidied(bulged(bar(), side)), bar()) == 0


def test_lines_on_bare_paper_stay_as_they_are() -> None:
    page = bulged(bar())
    assert (tidied(page, coloured=0) == page_of(page)).all()


def test_sound_lines_stay_as_they_are() -> None:
    page = bar().line((200, 30), (200, 105), width=PEN).ring(90, 50, 30, width=PEN)
    assert (tidied(page) == page_of(page)).all()


def test_sharp_corners_stay_sharp() -> None:
    page = Page(300, 200).line((40, 160), (150, 40), (260, 160), width=PEN)
    assert off(tidied(page), page) == 0


def test_a_bulge_in_a_bend_goes() -> None:
    def ring() -> Page:
        return Page(300, 300).ring(150, 150, 90, width=PEN)

    page = ring().disc(150 + 90 + 5, 150, 6).disc(150, 150 - 90 - 5, 6)
    assert off(page_of(page), ring()) > 30
    assert off(tidied(page), ring()) == 0


def test_bulges_beside_a_stem_go_and_the_stem_stays() -> None:
    def tee() -> Page:
        return Page(400, 200).line((30, 100), (370, 100), width=PEN).line((200, 100), (200, 180), width=PEN)

    page = tee().disc(225, 94, 7).disc(228, 106, 6).disc(194, 140, 6)
    assert off(page_of(page), tee()) > 40
    assert off(tidied(page), tee()) == 0


def test_a_steady_rim_that_is_paler_than_ink_goes() -> None:
    """The rim that a wash leaves beside a line is as steady as the line's own edge."""

    def rim(page: Page, width: float) -> Page:
        return page.line((120, 100 + 90 / 34 + 3.5), (280, 100 + 250 / 34 + 3.5), width=width)

    page = rim(bar(), PEN)
    grey = page_of(page)
    inside = page_of(bar()) < (DARK + PAPER) / 2
    grey[(grey < (DARK + PAPER) / 2) & ~inside] += 15
    assert off(page_of(page), bar()) > 100
    assert off(tidied(page, grey=grey), bar()) == 0


def test_two_pens_keep_their_widths() -> None:
    page = bar().line((30, 50), (370, 50), width=7).line((30, 150), (370, 150), width=17)
    assert (tidied(page) == page_of(page)).all()


def test_what_is_short_and_what_is_empty_stays() -> None:
    dot = Page(100, 100).disc(50, 50, 7)
    assert (tidied(dot) == page_of(dot)).all()
    empty = Page(100, 100)
    assert (tidied(empty) == page_of(empty)).all()
