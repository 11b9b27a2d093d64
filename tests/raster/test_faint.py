"""Faint lines beside black ones are kept whole; noise, ripples, blurs and dots are not made lines."""

import cv2
import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pen import Page

from tracer.art.read import scan_of
from tracer.model.ink import Ink
from tracer.raster.binarize import levelled
from tracer.raster.darkness import darkness_of
from tracer.raster.faint import tinted, with_faint
from tracer.raster.ink import find_ink
from tracer.reading import Reading


def scanned(grey: np.ndarray, noise: float = 2.0) -> np.ndarray:
    """A page (H, W) through a lens of sigma 0.7 px onto a sensor with noise."""
    dirt = np.random.default_rng(1).normal(0, noise, grey.shape)
    return np.clip(cv2.GaussianBlur(grey * 0.95 + 8, (0, 0), 0.7) + dirt, 0, 255).astype(np.uint8)


def both(black: Page, faint: Page, contrast: float) -> np.ndarray:
    return np.minimum(black.grey, 255 - contrast * (255.0 - faint.grey))


def found_along(ink: Ink, start: tuple[float, float], end: tuple[float, float]) -> float:
    """Part of a line's middle that is ink."""
    t = np.linspace(0.03, 0.97, 300)[:, None]
    x, y = ((start + t * np.subtract(end, start)) * ink.zoom).astype(int).T
    return float((ink.line | ink.solid)[y, x].mean())


@settings(max_examples=25, deadline=None)
@given(
    contrast=st.floats(0.15, 0.9),
    width=st.floats(2, 6),
    black=st.floats(4, 20),
    apart=st.floats(1.5, 6),
    slope=st.floats(-0.2, 0.2),
)
@example(contrast=0.15625, width=6.0, black=4.0, apart=2.0, slope=0.0)  # wider than the black ones
def test_a_faint_line_beside_a_black_one_is_whole(
    contrast: float, width: float, black: float, apart: float, slope: float
) -> None:
    off = black / 2 + (apart + 0.5) * width
    start, end = (40.0, 130.0 - 160 * slope), (360.0, 130.0 + 160 * slope)
    low, high = (start[0], start[1] + off), (end[0], end[1] + off)
    page = both(
        Page(400, 260).line(start, end, width=black), Page(400, 260).line(low, high, width=width), contrast
    )
    ink = find_ink(scan_of(scanned(page)))
    assert found_along(ink, low, high) > 0.98
    assert found_along(ink, start, end) > 0.98
    # Between them is paper: the faint line is not run together with the black one.
    between = black / 2 + apart * width / 2
    assert found_along(ink, (start[0], start[1] + between), (end[0], end[1] + between)) < 0.05


@pytest.mark.parametrize("contrast", [0.2, 0.5])
def test_a_faint_line_between_two_black_ones_reaches_both(contrast: float) -> None:
    black = Page(400, 260).line((60, 30), (60, 230), width=12).line((340, 30), (340, 230), width=12)
    faint = Page(400, 260).line((60, 130), (340, 130), width=4)
    ink = find_ink(scan_of(scanned(both(black, faint, contrast))))
    assert found_along(ink, (60, 130), (340, 130)) == 1.0


def test_its_middle_stays_where_it_was_drawn() -> None:
    black = Page(400, 260).line((40, 100), (360, 100), width=16)
    faint = Page(400, 260).line((40, 118), (360, 118), width=4)
    ink = find_ink(scan_of(scanned(both(black, faint, 0.25))))
    z = ink.zoom * ink.grain
    column = ink.darkness[:, round(200 * z)].astype(float) / 255
    part = slice(round(112 * z), round(126 * z))
    dark = np.flatnonzero(column[part] >= ink.level) + part.start
    assert (dark.mean() + 0.5) / z == pytest.approx(118, abs=0.3)
    assert len(dark) / z == pytest.approx(4, abs=1.1)


def raised(darkness: np.ndarray, line_width: float) -> int:
    """How many pixels become ink that were none."""
    before = levelled(np.asarray(darkness, np.uint8), line_width)
    after = with_faint(np.asarray(darkness, np.uint8), before, line_width)
    return int(((after > 127) & (before <= 127)).sum())


@pytest.mark.parametrize("quality", [15, 25, 40])
@pytest.mark.parametrize("noise", [0, 2, 5])
def test_noise_and_a_jpegs_ripples_are_no_lines(quality: int, noise: float) -> None:
    page = Page(400, 260).ring(200, 130, 90, width=8).line((40, 40), (360, 220), width=8)
    coded = cv2.imencode(".jpg", scanned(page.grey, noise=noise), [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    grey = cv2.imdecode(coded, cv2.IMREAD_GRAYSCALE)
    assert grey is not None
    assert raised(darkness_of(scan_of(np.asarray(grey, np.uint8)))[0], 8.0) == 0


@pytest.mark.parametrize("contrast", [0.2, 0.3, 0.38])
def test_what_shows_through_blurred_is_no_line(contrast: float) -> None:
    # Light spreads in a sheet by more than its thickness, 0.1 mm: 3 px are 0.25 mm at 300 dpi.
    black = Page(400, 260).line((40, 60), (360, 60), width=6)
    back = cv2.GaussianBlur(Page(400, 260).line((40, 150), (360, 190), width=6).grey, (0, 0), 3)
    seen = 249 - scanned(np.minimum(black.grey, 255 - contrast * (255.0 - back))).astype(float)
    assert raised(np.clip(seen, 0, 255), 6.0) == 0


def test_a_page_of_black_lines_is_left_as_it_is() -> None:
    darkness = 255 - scanned(Page(400, 260).ring(200, 130, 90).grey, noise=0)
    assert with_faint(darkness, darkness, 8.0) is darkness


def test_colours_are_seen_on_paper_of_any_tint() -> None:
    grey = Page(400, 260).ring(200, 130, 90).grey
    cream = (grey[..., None] / 255 * np.array([240, 225, 190])).astype(np.uint8)
    waxed = cream.copy()
    waxed[100:160, 150:250] = (200, 90, 90)
    assert not tinted(scan_of(grey))
    assert not tinted(scan_of(cream))
    assert tinted(scan_of(waxed))


@pytest.mark.parametrize("contrast", [0.35, 0.41])
@pytest.mark.parametrize("slope", [0.0, 0.6])
def test_a_faint_line_as_wide_as_the_black_one_that_it_crosses_reaches_it(
    contrast: float, slope: float
) -> None:
    # A line's width from black ink the black is the darkest near by: there a faint line is easily lost.
    start, end = (60.0, 130 - 140 * slope), (340.0, 130 + 140 * slope)
    page = both(
        Page(400, 260).line((200, 20), (200, 240), width=9),
        Page(400, 260).line(start, end, width=9),
        contrast,
    )
    assert found_along(find_ink(scan_of(scanned(page))), start, end) == 1.0


def test_beside_black_ink_its_blur_alone_is_led_nowhere() -> None:
    black = Page(400, 260).line((200, 20), (200, 240), width=9)
    faint = Page(400, 260).line((60, 130), (186, 130), width=6)  # ends 6.5 px short of the black line
    ink = find_ink(scan_of(scanned(both(black, faint, 0.4))), Reading(close_gaps=False))
    assert found_along(ink, (190, 130), (194, 130)) == 0.0


def test_a_clean_scan_as_a_jpeg_is_not_searched() -> None:
    """Ripples right beside black ink (ISO 10918-1) are no faint lines: the page comes back as it was."""
    page = Page(900, 700)
    for x in range(40, 860, 40):
        page = page.line((x, 40), (x + 15, 660), width=5)
    stored = cv2.imencode(".jpg", scanned(page.grey), [cv2.IMWRITE_JPEG_QUALITY, 75])[1]
    darkness = darkness_of(scan_of(np.asarray(cv2.imdecode(stored, cv2.IMREAD_GRAYSCALE), np.uint8)))[0]
    even = levelled(darkness, 5.0)
    assert with_faint(darkness, even, 5.0) is even
