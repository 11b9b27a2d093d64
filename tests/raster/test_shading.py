"""Shading left out: fills, blushes and airbrush are no ink and have no edges; lines over them stay true."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page, departure

from tracer.art.read import scan_of
from tracer.model.drawing import Drawing
from tracer.model.ink import Ink
from tracer.raster.ink import find_ink
from tracer.raster.shading import without_shading
from tracer.reading import Reading
from tracer.vector.strokes import find_strokes

PEN = 6.0


def shaded(lines: Page, shade: np.ndarray) -> np.ndarray:
    """A page (H, W) with grey under its lines, that takes its part of the light, seen by a scanner."""
    light = lines.grey / 255 * (1 - shade)
    noise = np.random.default_rng(1).normal(0, 3, shade.shape)
    return np.clip(cv2.GaussianBlur(245 * light + 6, (0, 0), 0.8) + noise, 0, 255).astype(np.uint8)


def framed() -> Page:
    """A frame, so that the page has ink whatever else is on it."""
    corners = [(15, 15), (385, 15), (385, 285), (15, 285), (15, 15)]
    return Page(400, 300).line(*corners, width=PEN)


def box(grey: float) -> np.ndarray:
    shade = np.zeros((300, 400))
    shade[80:220, 120:280] = grey
    return shade


def ink_of(grey: np.ndarray) -> Ink:
    return find_ink(scan_of(grey), Reading(insist=True))


def traced(grey: np.ndarray) -> Drawing:
    return find_strokes(scan_of(grey), ink_of(grey))


def inside(ink: Ink) -> np.ndarray:
    """All ink well within the frame."""
    z = ink.zoom
    return (ink.line | ink.solid)[int(30 * z) : int(270 * z), int(30 * z) : int(370 * z)]


@pytest.mark.parametrize("grey", [0.1, 0.3, 0.45, 0.6])
def test_a_flat_fill_is_no_ink_and_neither_is_its_edge(grey: float) -> None:
    ink = ink_of(shaded(framed(), box(grey)))
    assert not inside(ink).any()


def test_a_flat_fill_is_told_of_once() -> None:
    found = [m for m in ink_of(shaded(framed(), box(0.5))).mends if m.kind == "shading left out"]
    assert len(found) == 1
    # The box of 160 x 140 px about (200, 150), found on cells of a third of the pen.
    assert (found[0].x, found[0].y, found[0].size_px) == pytest.approx((200, 150, 160), abs=PEN)


@settings(max_examples=20, deadline=None)
@given(
    dark=st.floats(0.05, 0.6),  # nearer to 0.7 of the ink a small one is as dark as a solid
    size=st.floats(2.5 * PEN, 60),
    x=st.floats(120, 280),
    y=st.floats(110, 190),
)
def test_a_blush_is_not_ink(dark: float, size: float, x: float, y: float) -> None:
    yy, xx = np.indices((300, 400)) + 0.5
    blush = dark * np.exp(-((xx - x) ** 2 + (yy - y) ** 2) / (2 * size**2))
    blush[:30], blush[270:], blush[:, :30], blush[:, 370:] = 0, 0, 0, 0
    assert not inside(ink_of(shaded(framed(), blush))).any()


@pytest.mark.parametrize("grey", [0.15, 0.3, 0.45, 0.6])
def test_a_line_across_a_fill_stays_true(grey: float) -> None:
    ends = (60.0, 140.0), (340.0, 165.0)
    drawing = traced(shaded(framed().line(*ends, width=PEN), box(grey)))
    (line,) = (s for s in drawing.strokes if not s.closed)
    assert departure(line, *ends) < 0.25
    assert np.ptp(line.points(0.1)[:, 0]) == pytest.approx(280, abs=1.5)


@pytest.mark.parametrize("grey", [0.15, 0.3, 0.45, 0.6])
def test_a_line_on_the_border_of_a_fill_stays_true(grey: float) -> None:
    ends = (120.0, 60.0), (120.0, 240.0)
    drawing = traced(shaded(framed().line(*ends, width=PEN), box(grey)))
    (line,) = (s for s in drawing.strokes if not s.closed)
    assert departure(line, *ends) < 0.35


def test_airbrush_along_an_outline_is_no_second_line() -> None:
    page = framed().ring(200, 150, 90, width=PEN)
    yy, xx = np.indices((300, 400)) + 0.5
    deep = 90 - np.hypot(xx - 200, yy - 150)
    shade = np.where(deep > 0, 0.55 * np.exp(-deep / 18), 0)
    drawing = traced(shaded(page, shade))
    assert len(drawing.strokes) == 2


def test_a_fill_as_dark_as_ink_is_a_solid() -> None:
    ink = ink_of(shaded(framed(), box(0.9)))
    assert inside(ink).mean() == pytest.approx(160 * 140 / (340 * 240), rel=0.02)
    assert not [m for m in ink.mends if m.kind == "shading left out"]


def test_hatching_is_no_shading() -> None:
    page = framed()
    for x in np.arange(120, 280, 2.2 * PEN):
        page.line((x, 80), (x + 20, 220), width=PEN)
    darkness = 255 - page.grey
    assert without_shading(darkness, PEN) == (darkness, [])


def test_a_page_without_shading_is_left_as_it_is() -> None:
    darkness = 255 - cv2.GaussianBlur(framed().disc(200, 150, 60).grey, (0, 0), 1.5)
    same, mends = without_shading(np.asarray(darkness, np.uint8), PEN)
    assert same is darkness
    assert not mends
