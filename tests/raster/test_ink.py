"""Ink out of pictures: light, colouring, white on black, specks, solids, and what is refused."""

import cv2
import numpy as np
import pytest
from pen import Page
from scipy.ndimage import label

from tracer.art.read import scan_of
from tracer.errors import ArtError
from tracer.model.ink import Ink
from tracer.raster.ink import find_ink


def ink_of(picture: np.ndarray) -> Ink:
    return find_ink(scan_of(picture))


def mask_of(ink: Ink) -> np.ndarray:
    """All ink (H, W) in art pixels."""
    mask = (ink.line | ink.solid).astype(np.float32)
    return cv2.resize(mask, None, fx=1 / ink.zoom, fy=1 / ink.zoom, interpolation=cv2.INTER_AREA) > 0.5


def off_the_edge(grey: np.ndarray) -> np.ndarray:
    """Where a clean page is plainly ink or plainly paper, further than a pixel from any edge."""
    ink = (grey < 128).astype(np.uint8)
    cross = np.ones((3, 3), np.uint8)
    return cv2.dilate(ink, cross) == cv2.erode(ink, cross)


def page() -> np.ndarray:
    return Page(400, 300).line((40, 40), (360, 40)).ring(200, 170, 80).line((60, 100), (60, 270)).grey


def assert_same_ink(picture: np.ndarray, clean: np.ndarray) -> None:
    sure = off_the_edge(clean)
    assert np.array_equal(mask_of(ink_of(picture))[sure], (clean < 128)[sure])


def test_a_clean_page_is_its_own_ink() -> None:
    assert_same_ink(page(), page())


@pytest.mark.parametrize("darkest", [0.7, 0.45])
@pytest.mark.parametrize("axis", [0, 1])
def test_uneven_light_is_divided_out(darkest: float, axis: int) -> None:
    clean = page()
    fall = np.linspace(1, darkest, clean.shape[axis])
    light = fall[:, None] if axis == 0 else fall[None, :]
    assert_same_ink((clean * light).astype(np.uint8), clean)


def test_a_lamp_in_one_corner() -> None:
    # Inverse square law of a point lamp 400 px above the near corner (handbook: E = I cos / d^2).
    clean = page()
    y, x = np.indices(clean.shape)
    light = (1 + (x**2 + y**2) / 400**2) ** -1.5
    assert light.min() < 0.3
    assert_same_ink((clean * light).astype(np.uint8), clean)


@pytest.mark.parametrize("blur", [0, 4])
@pytest.mark.parametrize("shade", [0.7, 0.5, 0.4])
def test_a_hard_shadow_across_the_page_is_no_ink(shade: float, blur: float) -> None:
    clean = page()
    y, x = np.indices(clean.shape)
    light = np.where(0.9 * x + 0.2 * y > 240, shade, 1.0)
    light = cv2.GaussianBlur(light, (0, 0), blur) if blur else light
    noise = np.random.default_rng(1).normal(0, 3, clean.shape)
    assert_same_ink((clean * light + noise).clip(0, 255).astype(np.uint8), clean)


def test_light_that_falls_off_steeply_over_a_small_page() -> None:
    clean = page()
    light = np.linspace(1, 0.2, clean.shape[1])
    assert_same_ink((clean * light).astype(np.uint8), clean)


@pytest.mark.parametrize("pencil", [120, 170, 205])
def test_a_pale_page_is_as_good_as_a_black_one(pencil: int) -> None:
    clean = page()
    noise = np.random.default_rng(1).normal(0, 3, clean.shape)
    pale = 245 - (245 - pencil) * (1 - clean / 255) + noise
    assert_same_ink(pale.clip(0, 255).astype(np.uint8), clean)


def test_noise_with_some_contrast_is_still_no_drawing() -> None:
    noise = np.random.default_rng(3).normal(235, 6, (100, 120)).clip(0, 255).astype(np.uint8)
    assert np.ptp(noise) > 24
    with pytest.raises(ArtError, match="no ink dark enough"):
        ink_of(noise)


@pytest.mark.parametrize("darkness", [1.0, 0.5, 0.35])
def test_faint_lines_beside_black_ones_are_ink(darkness: float) -> None:
    black = Page(400, 300).line((20, 20), (380, 20)).line((20, 20), (20, 280)).line((20, 280), (380, 280))
    faint = Page(400, 300).line((60, 60), (350, 240), width=3).line((60, 200), (350, 80), width=3)
    grey = np.minimum(black.grey, 255 - darkness * (255.0 - faint.grey))
    noise = np.random.default_rng(2).normal(0, 3, grey.shape)
    ink = ink_of((cv2.GaussianBlur(grey, (0, 0), 0.7) + noise).clip(0, 255).astype(np.uint8))
    t = np.linspace(0, 1, 300)[:, None]
    for start, end in (((60, 60), (350, 240)), ((60, 200), (350, 80))):
        x, y = ((start + t * np.subtract(end, start)) * ink.zoom).astype(int).T
        assert ink.line[y, x].mean() > 0.99


@pytest.mark.parametrize(
    "crayon", [(230, 40, 40), (255, 170, 0), (250, 240, 40), (40, 190, 60), (60, 110, 240), (235, 60, 200)]
)
def test_crayon_goes_and_black_stays(crayon: tuple[int, int, int]) -> None:
    clean = page()
    coloured = np.full((*clean.shape, 3), 255, np.uint8)
    coloured[120:220, 140:260] = crayon  # inside the ring
    coloured[30:52, 100:200] = crayon  # over a line
    picture = np.minimum(coloured, clean[..., None])
    assert_same_ink(picture, clean)


def test_paper_that_is_not_white() -> None:
    clean = page()
    cream = (clean[..., None] / 255 * np.array([240, 225, 190])).astype(np.uint8)
    assert_same_ink(cream, clean)


def test_white_on_black_is_turned_round_and_listed() -> None:
    clean = page()
    ink = ink_of(255 - clean)
    assert_same_ink(255 - clean, clean)
    assert [mend.kind for mend in ink.mends] == ["turned round"]
    assert not ink_of(clean).mends


@pytest.mark.parametrize(("side", "dropped"), [(2, True), (4, True), (7, False)])
def test_specks_are_dropped_and_listed(side: int, dropped: bool) -> None:
    # A pen 8 px wide leaves a dot of 50 px; dust of 4 or 16 px is none, a mark of 49 px is.
    picture = page()
    picture[250 : 250 + side, 300 : 300 + side] = 0
    ink = ink_of(picture)
    assert mask_of(ink)[250 : 250 + side, 300 : 300 + side].any() != dropped
    found = [(mend.kind, mend.x, mend.y, mend.size_px) for mend in ink.mends]
    wanted = [("speck dropped", 300 + side / 2, 250 + side / 2, side)] if dropped else []
    assert found == [(kind, *(pytest.approx(v, abs=0.6) for v in place)) for kind, *place in wanted]


def test_pinholes_are_filled_and_listed() -> None:
    picture = page()
    picture[40:42, 200:202] = 255
    ink = ink_of(picture)
    assert [mend.kind for mend in ink.mends] == ["pinhole filled"]
    assert (ink.mends[0].x, ink.mends[0].y) == pytest.approx((201, 41), abs=1.5)
    assert_same_ink(picture, page())


def test_wide_ink_is_solid_and_pen_lines_are_not() -> None:
    drawn = Page(400, 300).line((20, 30), (380, 30)).ring(100, 160, 50).disc(280, 160, 45)
    ink = ink_of(drawn.line((280, 160), (380, 260)).grey)
    z = int(ink.zoom)
    assert not (ink.line & ink.solid).any()
    assert ink.solid[160 * z, 280 * z]
    assert not ink.line[160 * z, 280 * z]
    assert ink.line[30 * z, 200 * z]
    assert ink.line[160 * z, 50 * z]
    assert ink.line[250 * z, 370 * z]  # the line that runs into the disc stays a line outside it
    # The disc's area by the formula pi r^2, within a pixel's width round its edge.
    assert ink.solid.sum() / z**2 == pytest.approx(np.pi * 45**2, abs=2 * np.pi * 45)


@pytest.mark.parametrize("width", [1.5, 3.0, 8.0, 20.0])
def test_the_lines_width_is_measured(width: float) -> None:
    ink = ink_of(Page(400, 300).line((40, 150.3), (360, 150.3), width=width).grey)
    assert ink.line_width / ink.zoom == pytest.approx(width, abs=1.01)  # counted in whole pixels
    assert ink.line_width >= 4  # fine lines are enlarged


def test_the_skeleton_is_thin_and_connected_as_the_ink_is() -> None:
    ink = ink_of(page())
    eight = np.ones((3, 3))
    assert label(ink.skeleton, eight)[1] == label(ink.line, eight)[1] == 3
    assert not (ink.skeleton & ~ink.line).any()
    s = ink.skeleton
    assert not (s[:-1, :-1] & s[1:, :-1] & s[:-1, 1:] & s[1:, 1:]).any()  # never a 2 x 2 block


@pytest.mark.parametrize(
    ("value", "words"), [(255, "is blank"), (200, "is blank"), (0, "is all dark"), (90, "is all dark")]
)
def test_pages_without_light_and_dark_are_refused(value: int, words: str) -> None:
    with pytest.raises(ArtError, match=rf"array {words}: its greys span 0 of 255, at least 24 are needed"):
        ink_of(np.full((100, 120), value, np.uint8))


def test_faint_noise_is_no_drawing() -> None:
    noise = np.random.default_rng(3).normal(235, 3, (100, 120)).clip(0, 255).astype(np.uint8)
    with pytest.raises(ArtError, match="is blank"):
        ink_of(noise)


def test_the_body_of_a_figure_on_thin_legs_is_solid_and_its_legs_are_lines() -> None:
    drawn = Page(400, 300).disc(200, 130, 80)
    drawn.line((170, 180), (165, 280), width=5).line((230, 180), (236, 280), width=5)
    ink = ink_of(drawn.grey)
    assert ink.line_width / ink.zoom == pytest.approx(5, abs=1.5)
    body = ink.solid.sum() / ink.zoom**2
    assert body == pytest.approx(np.pi * 80**2, rel=0.05)


def test_pale_dots_beside_black_lines_are_dust_and_black_ones_are_dots() -> None:
    # A dot as wide as the pen, 0.45 as dark as its lines: less than FAINT / 255 = 0.59.
    pale, black = page(), page()
    yy, xx = np.indices(pale.shape)
    spot = (xx - 350) ** 2 + (yy - 250) ** 2 < 5**2
    pale[spot], black[spot] = 255 - round(0.45 * 255), 0
    assert not mask_of(ink_of(pale))[spot].any()
    assert mask_of(ink_of(black))[spot].mean() > 0.7
