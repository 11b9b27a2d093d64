"""Coloured pages: what is coloured in goes, what is drawn stays, whatever its hue."""

import cv2
import numpy as np
import pytest
from dyes import Colour, outlines, patch, seen, through
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page

from tracer.art.read import scan_of
from tracer.model.ink import Ink
from tracer.raster.balance import PAPER, balanced
from tracer.raster.colour import has_colour, line_colours
from tracer.raster.ink import find_ink
from tracer.raster.uncoloured import _black_and_pen
from tracer.reading import Reading

ANYHOW = Reading(insist=True)  # whether it is line art at all is another question

PENS = [
    (200, 20, 30),
    (20, 40, 160),
    (0, 130, 60),
    (240, 120, 0),
    (120, 20, 140),
    (110, 60, 30),
    (0, 150, 200),
]
DYES = [*PENS, (250, 225, 40), (240, 150, 180), (44, 62, 132), (96, 56, 128), (112, 74, 52), (36, 82, 66)]


def ink_of(picture: np.ndarray) -> Ink:
    return find_ink(scan_of(picture), ANYHOW)


def assert_only_ink(picture: np.ndarray, clean: np.ndarray, within: int = 2) -> None:
    """The ink found is the ink drawn, but for `within` pixels at its edges."""
    ink = ink_of(picture)
    mask = (ink.line | ink.solid).astype(np.float32)
    found = cv2.resize(mask, None, fx=1 / ink.zoom, fy=1 / ink.zoom, interpolation=cv2.INTER_AREA) > 0.5
    drawn = (clean < 128).astype(np.uint8)
    square = np.ones((2 * within + 1, 2 * within + 1), np.uint8)
    assert not (found & (cv2.dilate(drawn, square) == 0)).any()
    assert not (~found & (cv2.erode(drawn, square) == 1)).any()


@pytest.mark.parametrize("dye", DYES)
def test_an_area_of_any_hue_is_left_out_and_listed(dye: Colour) -> None:
    clean = outlines()
    light = through(clean) * patch(dye, (120, 20), (260, 300), clean.shape)
    assert_only_ink(seen(light), clean)
    mends = [mend for mend in ink_of(seen(light)).mends if mend.kind == "colouring left out"]
    assert len(mends) == 1
    assert (mends[0].x, mends[0].y, mends[0].size_px) == pytest.approx(
        (250, 170, 300), abs=40
    )  # the pen is 8, its dilation about two pens


def test_the_ink_says_where_dark_colouring_was() -> None:
    clean = outlines()
    light = through(clean) * patch((44, 62, 132), (120, 20), (260, 300), clean.shape)
    coloured = ink_of(seen(light)).coloured
    assert coloured is not None
    found = cv2.resize(coloured.astype(np.uint8), clean.shape[::-1], interpolation=cv2.INTER_NEAREST)
    assert found[40:300, 140:360].all()
    assert not found[:, :90].any()
    assert ink_of(seen(through(clean))).coloured is None


def test_ends_of_dark_wax_strokes_that_stand_out_beside_a_line_are_no_ink() -> None:
    """Their rims are as dark as half the ink, and paler in hue than what counts as colour."""
    clean = Page(400, 320).line((200, 30), (200, 290), width=14).grey
    wax = np.zeros(clean.shape, np.float32)
    cv2.rectangle(wax, (60, 60), (198, 260), 1, -1)
    for k in range(6):
        cv2.line(wax, (180, 80 + 32 * k), (216, 74 + 32 * k), 1, 14, cv2.LINE_AA)
    wax = cv2.GaussianBlur(wax, (0, 0), 3.0)[..., None]
    light = through(clean, (50, 50, 50)) * (1 - 0.8 * wax * (1 - np.array((36, 82, 66)) / 255))
    assert_only_ink(seen(light), clean, within=4)


@pytest.mark.parametrize("first", DYES[7:])
@pytest.mark.parametrize("second", [(112, 74, 52), (44, 62, 132), (20, 130, 60)])
def test_lines_stay_under_two_dyes_over_one_another(first: Colour, second: Colour) -> None:
    clean = outlines()
    light = through(clean) * patch(first, (20, 20), (300, 240), clean.shape)
    light = light * patch(second, (180, 120), (280, 220), clean.shape)
    # a sliver up to a pen long, in the corner of an overlap as dark as ink, may go with the line beside it
    assert_only_ink(seen(light), clean, within=10)


@settings(max_examples=12, deadline=None)
@given(
    st.tuples(*[st.integers(60, 255)] * 3).filter(lambda dye: max(dye) - min(dye) > 60),
    st.integers(0, 60),
    st.integers(0, 90),
)
def test_any_dye_multiplies_and_goes(dye: Colour, black: int, left: int) -> None:
    clean = outlines()
    light = through(clean, (black,) * 3) * patch(dye, (100 + left, 60), (200, 220), clean.shape)
    assert_only_ink(seen(light), clean, within=3)


@pytest.mark.parametrize(
    ("first", "second"),
    [((240, 150, 180), (138, 198, 232)), ((28, 120, 190), (250, 200, 30)), ((250, 208, 60), (138, 198, 232))],
)
def test_a_strip_where_two_dyes_lie_over_one_another_is_no_drawn_line(first: Colour, second: Colour) -> None:
    """It is as narrow and as long as a line of a third hue, but no paper is beside it."""
    shape = 360, 480
    light = patch(first, (40, 40), (200, 280), shape) * patch(second, (230, 40), (200, 280), shape)
    drawn, filled = line_colours(seen(light), 8.0)
    assert not drawn.any()
    assert filled[60:300, 60:410].all()


def test_the_pen_is_as_wide_as_its_lines_where_one_half_of_them_is_coloured_over() -> None:
    corners = [(100, 100), (500, 100), (500, 500), (100, 500)]
    page = Page(600, 600)
    for one, other in zip(corners, corners[1:] + corners[:1], strict=True):
        page.line(one, other, width=24)
    filled = np.zeros((600, 600), np.uint8)
    filled[106:494, 106:494] = 1
    assert _black_and_pen(page.grey, filled)[1] == pytest.approx(24, abs=2)


@pytest.mark.parametrize("paper", [(250, 250, 250), (245, 230, 195), (200, 225, 240)])
@pytest.mark.parametrize("pen", PENS)
def test_a_line_of_any_hue_is_a_line(pen: Colour, paper: Colour) -> None:
    clean = outlines()
    assert_only_ink(seen(through(clean, pen), paper), clean)
    assert not ink_of(seen(through(clean, pen), paper)).mends


@pytest.mark.parametrize("pen", PENS)
def test_coloured_lines_beside_black_ones_are_lines(pen: Colour) -> None:
    black = Page(480, 360).line((40, 40), (440, 40)).line((60, 100), (60, 330)).grey
    own = Page(480, 360).ring(240, 200, 100).grey
    picture = seen(through(black) * through(own, pen))
    assert_only_ink(picture, np.minimum(black, own))


def test_the_dark_middle_of_felt_pen_lines_is_no_black_pen_of_its_own() -> None:
    violet, red = (112, 52, 128), (200, 20, 30)
    whole, dark, other = (Page(800, 600) for _ in range(3))
    for line in (((60, 90), (740, 110)), ((120, 110), (150, 540))):
        whole.line(*line, width=14)
        dark.line(*line, width=4)  # the pen gives off most in the middle of its line
    for line in (((300, 540), (700, 300)), ((330, 240), (680, 520))):
        other.line(*line, width=14)
    light = through(whole.grey, violet) * through(dark.grey, (90, 90, 90)) * through(other.grey, red)
    ink = ink_of(seen(light))
    assert not [mend for mend in ink.mends if mend.kind == "colouring left out"]
    found = cv2.resize(ink.line.astype(np.uint8), (800, 600), interpolation=cv2.INTER_AREA)
    assert np.mean(found[dark.grey < 128]) > 0.99
    assert np.mean(found[other.grey < 128]) > 0.9


def test_coloured_lines_stay_where_another_hue_is_coloured_in() -> None:
    black = Page(480, 360).line((40, 40), (440, 40)).line((60, 100), (60, 330)).grey
    own = Page(480, 360).ring(300, 200, 100).grey
    light = (
        through(black) * through(own, (200, 20, 30)) * patch((60, 140, 220), (20, 20), (140, 300), own.shape)
    )
    assert_only_ink(seen(light), np.minimum(black, own), within=3)


@pytest.mark.parametrize("grey", [60, 110, 130])
def test_a_grey_line_beside_a_coloured_area_is_kept(grey: int) -> None:
    black = Page(480, 360).line((40, 40), (440, 40)).grey
    pencil = Page(480, 360).ring(330, 200, 90).grey
    light = through(black) * through(pencil, (grey,) * 3)
    light = light * patch((112, 178, 92), (30, 80), (160, 240), black.shape)
    assert_only_ink(seen(light), np.minimum(black, pencil))


def test_pale_wax_over_black_leaves_the_line() -> None:
    # Wax throws a part of the light back, whatever lies under it: black becomes grey.
    clean = outlines()
    inside = 1 - patch((0, 0, 0), (150, 60), (250, 260), clean.shape)
    orange = 1 - patch((5, 110, 200), (20, 20), (100, 60), clean.shape)
    wax = np.array((150, 150, 152)) / 255
    light = through(clean) * (1 - inside * (1 - wax)) + 0.25 * wax * inside
    assert_only_ink(seen(light * (1 - orange)), clean, within=3)


def test_a_black_solid_in_a_coloured_area_stays() -> None:
    clean = outlines()
    cv2.circle(clean, (240, 200), 30, 0, -1, cv2.LINE_AA)
    light = through(clean) * patch((240, 150, 74), (130, 90), (220, 220), clean.shape)
    assert_only_ink(seen(light), clean)


def test_streaks_of_pale_grey_wax_are_no_ink_on_a_coloured_page() -> None:
    # Grey wax of 150 laid on by a third lets 0.86 of the light through, its streaks 0.72.
    clean = outlines()
    light = through(clean) * patch((220, 220, 220), (120, 60), (300, 280), clean.shape)
    for y in range(130, 290, 40):
        light = light * patch((196, 196, 196), (170, y), (120, 7), clean.shape)
    light = light * patch((5, 110, 200), (20, 20), (100, 60), clean.shape)
    assert_only_ink(seen(light), clean, within=3)


def test_texture_of_wax_is_no_ink() -> None:
    # A grain of about a pixel: the paper's bumps take the wax, its pits stay white.
    clean = outlines()
    grain = cv2.GaussianBlur(np.random.default_rng(7).normal(0, 1, clean.shape), (0, 0), 1.1)
    bumps = np.clip(0.8 + grain / grain.std() * 0.5, 0, 1)[..., None]
    cover = (1 - patch((0, 0, 0), (130, 70), (240, 250), clean.shape)) * bumps
    light = through(clean) * (1 - cover * (1 - np.array((44, 50, 120)) / 255))
    assert_only_ink(seen(light), clean, within=5)


def test_a_grey_page_saved_in_colour_has_no_colour_and_the_same_ink() -> None:
    grey = seen(through(outlines()))[..., 0]
    picture = np.repeat(grey[..., None], 3, axis=2)
    assert not has_colour(picture)
    one, other = ink_of(picture), ink_of(grey)
    assert np.array_equal(one.line, other.line)
    assert np.array_equal(one.darkness, other.darkness)


def test_tinted_paper_alone_is_no_colour() -> None:
    assert not has_colour(seen(through(outlines()), (245, 225, 185)))


def test_one_short_coloured_line_is_colour() -> None:
    line = Page(480, 360).line((100, 100), (160, 100)).grey
    assert has_colour(seen(through(outlines()) * through(line, (200, 30, 30))))


def test_light_is_taken_from_bare_paper_only() -> None:
    # A warm lamp that falls off by a third, and half of the page coloured in.
    shape = (400, 480)
    fall = np.linspace(1, 0.7, 480)[None, :, None]
    light = patch((90, 140, 200), (120, 100), (240, 300), shape)
    channels = balanced((light * fall * np.array((255, 235, 200))).astype(np.uint8))
    for k, dye in enumerate((90, 140, 200)):
        assert np.abs(channels[k][200:360, 160:320].astype(float) - dye / 255 * PAPER).max() < 0.08 * PAPER
        assert np.abs(channels[k][20:60, 20:460].astype(float) - PAPER).max() < 0.08 * PAPER
