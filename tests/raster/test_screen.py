"""Screens become even grey, lines over them keep their places; hatching and noise are no screens."""

import math

import cv2
import numpy as np
import pytest
from pen import Page

from tracer.raster.light import even_light
from tracer.raster.screen import may_be_screened, without_screen

SIZE = 512
INCH = 25.4


def drawing() -> np.ndarray:
    page = Page(SIZE, SIZE).ring(256, 256, 160, width=14).line((60, 60), (450, 400), width=14)
    return page.grey / 255


def dots(dpi: float, lines_per_inch: float, *, angle_deg: float = 45, tone: float = 0.3) -> np.ndarray:
    """Light (H, W) that round dots in square rows leave: `tone` of the paper is ink."""
    turn, fine = math.radians(angle_deg), 3
    y, x = (np.indices((SIZE * fine, SIZE * fine)) + 0.5) / fine
    often = 2 * math.pi * lines_per_inch / dpi
    u, v = x * math.cos(turn) + y * math.sin(turn), y * math.cos(turn) - x * math.sin(turn)
    spot = np.cos(u * often) + np.cos(v * often)
    ink = (spot > np.quantile(spot[::7, ::7], 1 - tone)).astype(np.float32)
    return 1 - 0.95 * cv2.resize(ink, (SIZE, SIZE), interpolation=cv2.INTER_AREA)


def diffused(tone: float) -> np.ndarray:
    """Light of scattered dots by error diffusion, as inkjets print (Floyd & Steinberg 1976)."""
    half = np.full((SIZE // 2, SIZE // 2 + 2), tone)
    half += np.random.default_rng(8).normal(0, 0.02, half.shape)
    out = np.zeros_like(half)
    for row in range(len(half)):
        for column in range(1, half.shape[1] - 1):
            out[row, column] = half[row, column] > 0.5
            rest = half[row, column] - out[row, column]
            half[row, column + 1] += rest * 7 / 16
            if row + 1 < len(half):
                half[row + 1, column - 1 : column + 2] += rest * np.array([3, 5, 1]) / 16
    return 1 - 0.95 * np.kron(out[:, 1:-1], np.ones((2, 2)))


def scanned(light: np.ndarray, blur: float = 0.6) -> np.ndarray:
    noise = np.random.default_rng(3).normal(0, 2, light.shape)
    return np.clip(245 * cv2.GaussianBlur(light, (0, 0), blur) + noise, 0, 255).astype(np.uint8)


def area(light: np.ndarray) -> np.ndarray:
    """The screen on the left three fifths of the page only."""
    light = light.copy()
    light[:, 300:] = 1
    return light


@pytest.mark.parametrize(("dpi", "lines"), [(300, 65), (400, 133), (600, 100), (200, 60)])
@pytest.mark.parametrize("angle", [45, 15])
@pytest.mark.parametrize("tone", [0.2, 0.45])
def test_a_screen_becomes_even_grey(dpi: float, lines: float, angle: float, tone: float) -> None:
    """60 to 133 lines an inch, turned: newsprint to book printing (common practice, no source)."""
    even = even_light(scanned(drawing() * area(dots(dpi, lines, angle_deg=angle, tone=tone))))
    channels, mends = without_screen([even], INCH / dpi)
    assert [mend.kind for mend in mends] == ["screen left out"]
    assert mends[0].x == pytest.approx(150, abs=33)
    # Blank paper within: hardly any ripple is left of dots that went from paper to ink.
    patch = np.s_[420:500, 20:200]
    assert channels[0][patch].std() < 8 < even[patch].std()
    # Lines off the screen are as they were, those on it still go from ink to grey, at the same places.
    assert np.array_equal(channels[0][:, 400:], even[:, 400:])
    inside = cv2.erode((drawing() < 0.5).astype(np.uint8), np.ones((9, 9), np.uint8)) > 0
    assert channels[0][inside].max() < 100


def test_scattered_dots_become_even_grey() -> None:
    even = even_light(scanned(drawing() * area(diffused(0.3))))
    channels, mends = without_screen([even], INCH / 300)
    assert len(mends) == 1
    patch = np.s_[420:500, 20:200]
    assert channels[0][patch].std() < 0.25 * even[patch].std()


def hatched() -> np.ndarray:
    page = Page(SIZE, SIZE).ring(256, 256, 160, width=6)
    for k in range(60, 440, 10):
        page.line((k, 180), (k + 60, 330), width=4)
    return page.grey


def crossed() -> np.ndarray:
    page = Page(SIZE, SIZE)
    for k in range(60, 440, 12):
        page.line((k, 60), (k, 440), width=4).line((60, k), (440, k), width=4)
    return page.grey


@pytest.mark.parametrize("picture", [hatched(), crossed(), (255 * drawing()).astype(np.uint8)])
def test_drawn_hatching_is_no_screen(picture: np.ndarray) -> None:
    even = even_light(scanned(picture / 255))
    channels, mends = without_screen([even], INCH / 200)
    assert not mends
    assert channels[0] is even


def test_plain_pages_and_noise_are_not_looked_at_closely() -> None:
    assert not may_be_screened(scanned(drawing()))
    noise = np.random.default_rng(1).normal(200, 8, (SIZE, SIZE))
    assert not may_be_screened(noise.clip(0, 255).astype(np.uint8))
    assert may_be_screened(scanned(dots(300, 85)))


@pytest.mark.parametrize(("dpi", "lines"), [(300, 65), (600, 85)])
def test_the_distance_of_dots_is_the_one_they_were_drawn_at(dpi: float, lines: float) -> None:
    """dpi / lines pixels, by definition of lines an inch: told from the ripple that is left."""
    even = even_light(scanned(dots(dpi, lines)))
    left = without_screen([even], INCH / dpi)[0][0].astype(float)
    before = np.ptp(cv2.GaussianBlur(even, (0, 0), 0.5)[100:400, 100:400])
    # The wave of a screen blurred by half its distance is 0.7 % as high: exp(-2 pi^2 / 4).
    assert cv2.GaussianBlur(left, (0, 0), 1.0)[100:400, 100:400].std() < 0.03 * before
