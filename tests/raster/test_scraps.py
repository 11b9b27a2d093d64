"""Scraps under colouring go, lines, their ends and dots stay."""

import cv2
import numpy as np
from pen import Page

from tracer.raster.scraps import Passed, scraps

PEN, CELL = 12, 3


def taken(
    page: Page, *, coloured: bool = True, lighter: int = 0, through: tuple[float, float] = (0.03, 0.2)
) -> np.ndarray:
    """What goes of a page; `through`: the least and the most of the light that all of it lets through."""
    ink = (page.grey < 128).astype(np.uint8)
    least, most = (np.full([side // CELL for side in ink.shape], part, np.float32) for part in through)
    passed = Passed(CELL, least, most)
    found, left = scraps(ink, np.full_like(ink, coloured), np.full_like(ink, lighter), passed, PEN)
    assert not (found & ~ink.astype(bool)).any()
    assert left.any()
    assert not (left & found).any()
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


def test_the_tips_of_stars_under_wax_stay() -> None:
    """A sharp corner of a pen's line has a short branch of the skeleton, as thick as the line or thicker."""
    turns = 2 * np.pi * np.arange(11) / 10
    far = np.where(np.arange(11) % 2, 17.0, 40.0)
    star = [(200 + r * np.sin(a), 80 - r * np.cos(a)) for r, a in zip(far, turns, strict=True)]
    assert not taken(cross().line(*star, width=PEN)).any()


def test_lashes_under_wax_stay() -> None:
    """Those of the sample's hare are thinner than its other lines, and up to 16 greys lighter."""
    page = cross().line((100, 150), (97, 170), width=0.85 * PEN)
    assert not taken(page, lighter=16).any()


def test_a_dot_far_smaller_than_the_pen_stays() -> None:
    """A freckle under wax has a small core: half as wide as the pen, and hardly longer than wide."""
    page = cross().line((80, 60), (80, 61), width=6)
    assert not taken(page).any()


def test_a_short_piece_that_lets_light_through_is_no_line() -> None:
    """Where two dark waxes cross they are as thick as a pen, and nearly as dark; ink lets 3 % through."""
    page = cross().line((80, 60), (115, 60), width=PEN)
    assert not taken(page, through=(0.05, 1.0)).any()
    found = taken(page, through=(0.15, 1.0))
    assert found[60, 97]
    assert not found[150].any()
    assert not taken(page, coloured=False, through=(0.15, 1.0)).any()


def test_a_short_branch_that_lets_light_through_goes() -> None:
    page = cross().line((100, 150), (100, 170), width=PEN)
    assert not taken(page, through=(0.15, 1.0)).any()
    assert taken(page, through=(0.25, 1.0)).any()


def test_what_lets_light_through_along_one_direction_is_no_dot() -> None:
    page = cross().line((80, 60), (80, 61), width=PEN)
    assert not taken(page, through=(0.15, 0.3)).any()
    assert taken(page, through=(0.15, 0.8)).any()


def test_a_long_line_that_lets_light_through_stays() -> None:
    """A worn print under wax: what is longer than five pens no two waxes make where they cross."""
    page = cross().line((60, 60), (180, 60), width=PEN)
    assert not taken(page, through=(0.15, 1.0)).any()
