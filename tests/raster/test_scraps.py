"""Scraps under colouring go, lines, their ends and dots stay."""

import cv2
import numpy as np
from pen import Page

from tracer.raster.scraps import scraps

PEN = 12


def taken(page: Page, *, coloured: bool = True, lighter: int = 0) -> np.ndarray:
    ink = (page.grey < 128).astype(np.uint8)
    found = scraps(ink, np.full_like(ink, coloured), np.full_like(ink, lighter), PEN)
    assert not (found & ~ink.astype(bool)).any()
    return found


def cross() -> Page:
    return Page(400, 300).line((40, 150), (360, 150), width=PEN).line((200, 40), (200, 260), width=PEN)


def test_lines_dots_and_short_strokes_stay() -> None:
    page = cross().line((80, 60), (80, 61), width=PEN).line((300, 60), (324, 60), width=PEN)
    assert not taken(page).any()


def test_crumbs_go_where_it_is_coloured() -> None:
    page = cross().line((80, 60), (95, 66), width=6).line((300, 220), (318, 224), width=5)
    found = taken(page)
    assert cv2.connectedComponents(found)[0] - 1 == 2
    assert np.argwhere(found)[:, 0].max() < 235
    assert not taken(page, coloured=False).any()


def test_spurs_of_a_line_go_and_the_line_stays_whole() -> None:
    page = cross().line((100, 150), (108, 132), width=7).line((200, 220), (217, 226), width=7)
    found = taken(page)
    assert found.any()
    left = (page.grey < 128).astype(np.uint8) & (1 - found)
    assert cv2.connectedComponents(left)[0] - 1 == 1
    whole = (cross().grey < 128).astype(np.uint8)
    stubs = np.count_nonzero(left != whole)  # within a quarter pen of the line's edge it may stay
    assert stubs < 0.5 * np.count_nonzero((page.grey < 128) != whole.astype(bool))


def test_a_line_that_forks_at_its_end_keeps_the_longer_end() -> None:
    page = Page(400, 300).line((40, 150), (316, 150), width=PEN).line((316, 150), (340, 152), width=8)
    found = taken(page.line((314, 150), (326, 136), width=6))
    assert found.any()
    ink = (page.grey < 128).astype(np.uint8) & (1 - found)
    assert np.argwhere(ink)[:, 1].max() >= 342


def test_a_short_branch_that_is_lighter_than_lines_goes() -> None:
    page = cross().line((100, 150), (100, 170), width=PEN)
    assert not taken(page).any()
    assert taken(page, lighter=20).any()


def test_a_dot_far_smaller_than_the_pen_stays() -> None:
    """A freckle under wax has a small core: half as wide as the pen, and hardly longer than wide."""
    page = cross().line((80, 60), (80, 61), width=6)
    assert not taken(page).any()
