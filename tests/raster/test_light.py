"""Light that falls off to a border is no ink, lines and solids along a border are."""

import cv2
import numpy as np
import pytest
from pen import Page

from tracer.raster.light import even_light

WIDTH, HEIGHT = 640, 480


def page() -> np.ndarray:
    return Page(WIDTH, HEIGHT).ring(320, 240, 130).line((150, 60), (560, 420)).line((90, 100), (90, 400)).grey


def even_of(light: np.ndarray, grey: np.ndarray) -> np.ndarray:
    noise = np.random.default_rng(2).normal(0, 2, grey.shape)
    return even_light(np.clip(240 / 255 * grey * light + noise, 0, 255).astype(np.uint8))


@pytest.mark.parametrize("reach", [25, 45, 90])
@pytest.mark.parametrize("darkest", [0.2, 0.4])
@pytest.mark.parametrize("side", ["left", "right", "top", "bottom"])
def test_a_gutter_is_paper(reach: float, darkest: float, side: str) -> None:
    """A book's page falls into shadow towards the spine, over 5 to 20 mm (common practice, no source)."""
    clean = page()
    y, x = np.indices(clean.shape)
    away = {"left": x, "right": WIDTH - 1 - x, "top": y, "bottom": HEIGHT - 1 - y}[side] + 0.02 * (x + y)
    even = even_of(1 - (1 - darkest) * np.exp(-away / reach), clean)
    mask = (clean < 128).astype(np.uint8)
    square = np.ones((5, 5), np.uint8)
    paper, inside = cv2.dilate(mask, square) == 0, cv2.erode(mask, square) > 0
    smooth = cv2.blur(even, (3, 3))
    assert np.quantile(smooth[paper], 0.0005) > 0.75 * 250
    assert smooth[inside].max() < 0.5 * 250


@pytest.mark.parametrize(
    "along",
    [
        Page(WIDTH, HEIGHT).line((3, -9), (3, 500)),
        Page(WIDTH, HEIGHT).solid((-1, -1), (40, -1), (40, 481), (-1, 481)),
        Page(WIDTH, HEIGHT).solid((-1, -1), (120, -1), (60, 481), (-1, 481)),
        Page(WIDTH, HEIGHT).line((0, 0), (WIDTH, 0), (WIDTH, HEIGHT), (0, HEIGHT), (0, 0), width=24),
    ],
    ids=["line", "bar", "wedge", "frame"],
)
def test_ink_along_the_border_stays_ink(along: Page) -> None:
    clean = np.minimum(page(), along.grey)
    even = even_of(np.ones(clean.shape), clean)
    ink = cv2.erode((clean < 128).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    assert even[ink].max() < 0.5 * 250


@pytest.mark.parametrize("shade", [0.6, 0.45])
def test_a_phone_s_shadow_has_an_edge_and_is_paper(shade: float) -> None:
    clean = page()
    y, x = np.indices(clean.shape)
    light = cv2.GaussianBlur(np.where(0.8 * x + 0.5 * y > 380, shade, 1.0), (0, 0), 1.5)
    even = cv2.blur(even_of(light, clean), (3, 3))
    paper = cv2.dilate((clean < 128).astype(np.uint8), np.ones((7, 7), np.uint8)) == 0
    assert np.quantile(even[paper], 0.0005) > 0.75 * 250


@pytest.mark.parametrize("paper", [(0.85, 0.72, 0.45), (0.55, 0.4, 0.25)])
def test_yellow_and_brown_paper_is_white_in_every_channel(paper: tuple[float, float, float]) -> None:
    clean = page()
    for part in paper:
        even = even_of(np.full(clean.shape, part), clean)
        assert np.median(even[clean > 250]) == pytest.approx(250, abs=8)
        assert np.median(even[clean < 5]) < 40


@pytest.mark.parametrize("shade", [0.4, 0.45])
def test_the_shadow_over_most_of_a_thin_drawing_is_paper(shade: float) -> None:
    """A shadow's edge runs into a corner of the page: what lies beside it there is no solid."""
    clean = Page(WIDTH, HEIGHT).ring(320, 300, 60, width=3).grey
    y, x = np.indices(clean.shape)
    side = (y - 0.55 * x - 12) / 3
    even = even_of(1 - (1 - shade ** (1 / 2.2)) / (1 + np.exp(-np.clip(side, -40, 40))), clean)
    paper = cv2.dilate((clean < 250).astype(np.uint8), np.ones((7, 7), np.uint8)) == 0
    assert np.quantile(cv2.blur(even, (3, 3))[paper], 0.001) > 0.8 * 250
