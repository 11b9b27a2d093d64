"""Ruled and squared paper is taken out; what is drawn stays, grids, fences and hatching too."""

import math

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page

from tracer.raster.lanes import Lanes
from tracer.raster.light import even_light
from tracer.raster.ruling import _even, period_of, thin_lines, without_ruling

HEIGHT, WIDTH = 560, 480


def drawing(width: float = 8.0) -> np.ndarray:
    """Lines that cross a ruling steeply and slanting, one along it, and a ring."""
    page = (
        Page(WIDTH, HEIGHT).line((60, 60), (200, 500), width=width).line((250, 80), (420, 120), width=width)
    )
    return page.line((230, 400), (430, 400), width=width).ring(320, 260, 80, width=width).grey


def ruled(
    period: float, *, slope_deg: float = 0.0, dark: float = 0.4, width: float = 2.0, across: bool = False
) -> np.ndarray:
    """Light (H, W), 0 to 1, that a ruling leaves: straight lines from edge to edge, blurred by a scanner."""
    y, x = np.indices((HEIGHT, WIDTH)) + 0.5
    slope = math.radians(slope_deg)
    place = (x if across else y) * math.cos(slope) + (y if across else x) * math.sin(slope)
    away = np.abs((place + 0.3 * period) % period - period / 2)
    cover = np.clip(width / 2 - away + 0.5, 0, 1)
    return cv2.GaussianBlur(1 - dark * cover, (0, 0), 0.8)


def noisy(light: np.ndarray, seed: int = 1) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(0, 2, light.shape)
    return np.clip(245 * light + noise, 0, 255).astype(np.uint8)


def freed(picture: np.ndarray) -> tuple[np.ndarray, int]:
    channels, mends = without_ruling([even_light(picture)])
    return channels[0], len(mends)


def assert_only_the_drawing_is_left(even: np.ndarray, clean: np.ndarray, ink: float = 0.0) -> None:
    """Paper everywhere off the drawing, ink everywhere within it, whatever single noisy pixels say."""
    mask = (clean < 128).astype(np.uint8)
    square = np.ones((5, 5), np.uint8)
    paper, inside = cv2.dilate(mask, square) == 0, cv2.erode(mask, square) > 0
    even = cv2.blur(even, (3, 3))
    # Faint ink counts from a fifth of the way to full ink on (binarize.FAINTEST * LEVEL), and noise adds.
    assert even[paper].min() > 250 - 0.25 * (250 - ink)
    assert even[inside].max() < 250 - 0.5 * (250 - ink)


@given(
    period=st.floats(14, 60),
    slope=st.floats(-5, 5),
    dark=st.floats(0.12, 0.55),
    width=st.floats(1.2, 3.0),
    across=st.booleans(),
)
@settings(max_examples=12)
def test_a_ruling_goes_whatever_its_period_slope_and_darkness(
    period: float, slope: float, dark: float, width: float, across: bool
) -> None:
    clean = drawing()
    light = clean / 255 * ruled(period, slope_deg=slope, dark=dark, width=width, across=across)
    even, count = freed(noisy(light))
    # A line a pixel wide that takes a fifth of the light drowns in the scanner's noise, and is no ink.
    assert count == 1 or dark * min(width, 2) < 0.4
    assert_only_the_drawing_is_left(even, clean)


@pytest.mark.parametrize("dark", [0.2, 0.4])
@pytest.mark.parametrize("slope", [0.0, 1.7])
def test_squared_paper_goes_both_ways(dark: float, slope: float) -> None:
    clean = drawing()
    squares = ruled(20, slope_deg=slope, dark=dark) * ruled(20, slope_deg=-slope, dark=dark, across=True)
    even, count = freed(noisy(clean / 255 * squares))
    assert count == 2
    assert_only_the_drawing_is_left(even, clean)


@pytest.mark.parametrize("adds_up", [True, False])
def test_pencil_as_dark_as_the_ruling_stays_whole(adds_up: bool) -> None:
    # Pencil over print: something between the product of both and the darker of the two.
    clean = drawing()
    pencil, lines = 1 - 0.45 * (1 - clean / 255), ruled(24, slope_deg=1, dark=0.45)
    even, count = freed(noisy(pencil * lines if adds_up else np.minimum(pencil, lines)))
    assert count == 1
    assert_only_the_drawing_is_left(even, clean, ink=250 * 0.55)


def test_wavy_paper() -> None:
    clean = drawing()
    y, x = np.indices(clean.shape, np.float32)
    waves = cv2.remap(
        ruled(26).astype(np.float32), x, y + 4 * np.sin(x / 90) + 0.00004 * x * y, cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REFLECT,
    )  # fmt: skip
    even, count = freed(noisy(clean / 255 * waves))
    assert count == 1
    assert_only_the_drawing_is_left(even, clean)


def test_staves_go_as_a_whole() -> None:
    clean = drawing()
    light = np.ones(clean.shape)
    for k in range(5):
        light *= np.roll(ruled(110, dark=0.4), 12 * k, axis=0)
    even, count = freed(noisy(clean / 255 * light))
    assert count == 1
    assert_only_the_drawing_is_left(even, clean)


def test_blue_lines_go_from_the_channels_that_have_them() -> None:
    # A blue line reflects little red and most blue (common practice, no source).
    clean = drawing()
    red, blue = (noisy(clean / 255 * ruled(24, dark=dark)) for dark in (0.5, 0.08))
    channels, mends = without_ruling([even_light(red), even_light(blue)])
    assert len(mends) == 1
    for channel in channels:
        assert_only_the_drawing_is_left(channel, clean)


def grid(
    rows: np.ndarray, *, low: float = 0, high: float = WIDTH, width: float = 3.0, pen: float = 1.0
) -> np.ndarray:
    """Pencil lines along the page beside a ring, drawn as dark as `pen` says."""
    lines = Page(WIDTH, HEIGHT)
    for row in rows:
        lines.line((low, row), (high, row), width=width)
    ring = Page(WIDTH, HEIGHT).ring(240, 280, 60).grey
    light = np.minimum(1 - 0.5 * (1 - lines.grey / 255), 1 - pen * (1 - ring / 255))
    return (255 * light).astype(np.uint8)


EVENLY = np.arange(30, 540, 25)


@pytest.mark.parametrize(
    "picture",
    [
        drawing(),
        grid(EVENLY, width=8, pen=0.5),  # from edge to edge, but with the pencil of the drawing
        grid(EVENLY, low=70, high=410),  # a drawn grid ends before the edge
        grid(EVENLY + np.random.default_rng(4).normal(0, 2.5, 21)),
        grid(EVENLY[:3]),  # wires: too few
        (255 * (ruled(22, dark=1.0, width=6, across=True) * ruled(500, dark=1.0, width=6))).astype(np.uint8),
        (255 * ruled(22, dark=1.0, width=3) * Page(WIDTH, HEIGHT).disc(240, 280, 60).grey / 255).astype(
            np.uint8
        ),
    ],
    ids=["drawing", "same pencil", "short", "uneven", "few", "fence", "stripes"],
)
def test_what_is_drawn_is_no_ruling(picture: np.ndarray) -> None:
    even = even_light(np.ascontiguousarray(picture))
    channels, mends = without_ruling([even])
    assert not mends
    assert channels[0] is even


def test_hatching_stays() -> None:
    page = Page(WIDTH, HEIGHT).ring(240, 280, 150)
    for x in range(130, 350, 10):
        page.line((x, 220), (x + 20, 330), width=3)
    even = even_light(page.grey)
    assert without_ruling([even])[0][0] is even


@pytest.mark.parametrize("across", [False, True])
@pytest.mark.parametrize("part", [0.55, 0.75])
@pytest.mark.parametrize("pens", [-0.5, -0.25, 0.0, 0.25, 0.5])
def test_a_black_stroke_along_a_ruling_stays_whole_and_the_ruling_goes(
    pens: float, part: float, across: bool
) -> None:
    """Where a stroke hides most of a printed line, the page's other lines tell how dark that is."""
    pen, period = 12.0, 60.0
    row = 4.2 * period + pens * pen
    page = Page(WIDTH, HEIGHT).line((60, row), (60 + part * (WIDTH - 60), row), width=pen)
    clean = page.line((90, 60), (200, 500), width=pen).ring(380, 130, 50, width=pen).grey
    light = (1 - 0.9 * (1 - clean / 255)) * ruled(period, dark=0.5)
    even, count = freed(noisy(light.T if across else light))
    assert count == 1
    assert_only_the_drawing_is_left(even.T if across else even, clean)


def lines(rows: np.ndarray, *, dark: float = 0.4, width: float = 2.0) -> np.ndarray:
    """Light (H, W) that a drawn ring and pale lines from edge to edge leave."""
    page = Page(WIDTH, HEIGHT)
    for row in rows:
        page.line((-10, row), (WIDTH + 10, row), width=width)
    light = cv2.GaussianBlur(1 - dark * (1 - page.grey / 255), (0, 0), 0.8)
    return light * Page(WIDTH, HEIGHT).ring(240, 280, 60, width=12).grey / 255


@pytest.mark.parametrize(("count", "gap", "gone"), [(4, 120, 0), (4, 130, 0), (5, 90, 1), (5, 105, 1)])
def test_a_ruling_has_five_lines(count: int, gap: float, gone: int) -> None:
    """A stave's number; fewer may be drawn wires or rails (common practice, no source)."""
    assert freed(noisy(lines(30 + gap * np.arange(count))))[1] == gone


@pytest.mark.parametrize(("stray", "even"), [(0.0, True), (0.5, True), (1.0, False)])
def test_lanes_that_stray_by_a_twenty_fifth_of_their_distance_are_drawn(stray: float, even: bool) -> None:
    """A printer's lines are even to a fiftieth of their distance (common practice, no source)."""
    profile, strength = np.ones(17, np.float32), np.full((9, 64), 0.4, np.float32)
    lanes = Lanes(np.zeros((9, 640), np.float32), profile, strength, reach=2, stray=stray)
    assert _even(lanes, 25.0) is even


@pytest.mark.parametrize(("dark", "gone"), [(0.5, 1), (0.85, 1), (0.93, 0)])
def test_lines_as_black_as_ink_are_no_ruling_however_slim(dark: float, gone: int) -> None:
    """Blurred by 0.8 px, of a line 3 px wide erf(1.5 / (0.8 * 2 ** 0.5)) = 0.94 is left in its middle.

    The last line is therefore darker than BLACK's upper limit, though paler than 0.85 of the ink
    and slimmer than half the pen, which would do below it.
    """
    assert freed(noisy(lines(np.arange(30, 540, 25), dark=dark, width=3)))[1] == gone


@pytest.mark.parametrize("period", [12.5, 24.0, 37.3])
def test_the_period_is_the_one_that_a_fourier_transform_shows(period: float) -> None:
    """Against numpy's transform of the mean row, zero-padded: another way to the same number."""
    grey = noisy(ruled(period, dark=0.3))
    mean = grey.mean(axis=1)
    power = np.abs(np.fft.rfft(mean - mean.mean(), 1 << 16))
    lowest = int((1 << 16) / (1.5 * period))
    highest = int((1 << 16) / (0.7 * period))
    peak = (1 << 16) / (lowest + int(np.argmax(power[lowest:highest])))
    assert period_of(thin_lines(grey)) == pytest.approx(peak, rel=0.01)
    assert period_of(thin_lines(grey)) == pytest.approx(period, rel=0.01)
