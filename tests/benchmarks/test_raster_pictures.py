"""The raster benchmark: its ageing is that of light on paper, and its measures are known by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from benchmarks.raster.fit import fitted, scale_of, stretch_of
from benchmarks.raster.levels import LEVELS, PHOTOS, aged
from benchmarks.raster.marks import fibres
from benchmarks.raster.paper import dense, light_of
from benchmarks.raster.photo import TILT_DEG, photographed
from benchmarks.raster.sheet import Aged
from benchmarks.strokes.art import Art, TrueLine
from benchmarks.strokes.lines import lines_of
from tracer.geometry import affine

FRAME = (918, 1224)  # px: smaller than a phone's

PATH = "M 20 20 L 130 20 L 130 110 L 40 130"


@pytest.fixture(scope="module")
def art() -> Art:
    points = np.array([(20, 20), (130, 20), (130, 110), (40, 130)], float)
    return Art(
        "by hand", "icons", (PATH,), (TrueLine(points, closed=False, segments=3),), 2.0, (150.0, 150.0)
    )


def test_densities_add_up() -> None:
    """Two layers let through the product of what each does (Beer-Lambert)."""
    cover = np.array([[0.0, 0.5, 1.0]], np.float32)
    one, other = (40, 80, 200), (200, 120, 60)
    both = dense(cover, one) * dense(cover, other)
    assert both[0, 2] == pytest.approx(light_of(one) * light_of(other), rel=1e-5)
    assert both[0, 1] ** 2 == pytest.approx(both[0, 2], rel=1e-4)
    assert both[0, 0] == pytest.approx(1)


@pytest.mark.parametrize("factor", [0.99, 1.0, 1.004])
def test_the_fit_finds_how_much_too_large_lines_are(art: Art, factor: float) -> None:
    truth = lines_of([(line.points, line.closed) for line in art.lines])
    drawn = affine.compose(affine.translation(1.5, -0.8), affine.rotation(0.01), affine.scaling(1 / factor))
    matrix = fitted(affine.apply(drawn, truth.middles), truth, "scaled")
    assert scale_of(matrix) == pytest.approx(factor, abs=1e-6)


def test_the_fit_tells_a_stretch_from_a_scale(art: Art) -> None:
    truth = lines_of([(line.points, line.closed) for line in art.lines])
    wide = truth.middles * (1 / 1.01, 1)
    assert stretch_of(fitted(wide, truth, "stretched")) == pytest.approx(0.01, rel=0.1)


def test_a_photograph_shows_the_drawing_where_its_sheets_corners_say(art: Art) -> None:
    """A point of the sheet goes through the homography of its corners (Hartley & Zisserman 2004, 4.1)."""
    shot = photographed(art, np.random.default_rng(5), FRAME)
    sheet = shot.sheet
    assert sheet is not None
    (w, h), rows = sheet.size, []
    for (x, y), (u, v) in zip([(0, 0), (w, 0), (w, h), (0, h)], sheet.corners_px, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y, -u], [0, 0, 0, x, y, 1, -v * x, -v * y, -v]]
    matrix = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    for line in [(75.0, 20.0), (130.0, 65.0)]:
        x, y, z = matrix @ (line[0] - sheet.corner[0], line[1] - sheet.corner[1], 1)
        column, row = int(x / z), int(y / z)
        near = shot.placed.pixels[row - 40 : row + 41, column - 40 : column + 41].min(axis=2)
        dark = np.argwhere(near < (int(near.min()) + int(near.max())) / 2)
        assert np.hypot(*(dark - 40).T).min() <= 1
    assert shot.placed.pixels.shape == (*FRAME[::-1], 3)


def test_photographs_fill_the_frame_and_are_not_tilted_more_than_they_may(art: Art) -> None:
    for seed in range(3):
        sheet = photographed(art, np.random.default_rng(seed), FRAME).sheet
        assert sheet is not None
        corners = sheet.corners_px
        assert (corners > 0).all()
        assert (corners < FRAME).all()
        assert 0.74 < (np.ptp(corners, axis=0) / FRAME).max() < 0.96
        # Of two opposite sides the farther is the shorter by the ratio of distances, (1 - t) / (1 + t), where
        # t = tan(tilt) * half the sheet / distance; the last is at most 18/26, half the film to the lens.
        sides = np.hypot(*(corners - np.roll(corners, -1, axis=0)).T)
        reach = math.tan(math.radians(TILT_DEG)) * 18 / 26
        assert abs(np.log(sides[:2] / sides[2:])).max() < math.log((1 + reach) / (1 - reach))


@pytest.mark.parametrize("level", [name for name in LEVELS if name not in PHOTOS])
def test_the_drawing_lies_where_the_truth_says(art: Art, level: str) -> None:
    if level == "through":
        pytest.importorskip("lucide", reason="what shines through is one of the icons of the extra [bench]")
    picture = aged(art, level)
    grey = picture.placed.pixels.astype(float)
    grey = (grey if grey.ndim == 2 else grey.mean(axis=2)) * (-1 if level == "negative" else 1)
    lines = lines_of([(line.points, line.closed) for line in art.lines])
    aside = np.column_stack([-lines.step[:, 1], lines.step[:, 0]]) / lines.weights[:, None] * 0.9 * art.pen
    on, left, right = (grey_at(grey, picture, lines.middles + k * aside) for k in (0, 1, -1))
    # Wax, folds and squares may hide a line from one side here and there, the scanner's noise a grey one.
    assert np.mean((on < left) & (on < right)) > 0.8


def test_a_felt_pen_bleeds_along_fibres_and_pools_where_it_rests(art: Art) -> None:
    far = fibres((400, 400), np.random.default_rng(1), 8.0)
    assert (far.mean(), far.std()) == pytest.approx((0, 1), abs=1e-3)
    dark = 255 - aged(art, "bleed").placed.pixels.astype(float).mean(axis=2)
    plain = 255 - aged(art, "scan").placed.pixels.astype(float)
    inked = [np.mean(page > 0.5 * np.percentile(page, 99.5)) for page in (dark, plain)]
    assert 1.02 < inked[0] / inked[1] < 1.6  # 0.08 mm and more to each side of a pen of 2 mm


def grey_at(grey: np.ndarray, picture: Aged, points: np.ndarray) -> np.ndarray:
    """The pixels, smoothed over three by three, that hold points in page mm."""
    x, y = np.floor(picture.placed.to_pixels(points)).astype(int).T
    return np.mean([grey[y + j, x + i] for j in (-1, 0, 1) for i in (-1, 0, 1)], axis=0)


def test_pictures_are_the_same_every_time_and_not_the_same_for_every_drawing(art: Art) -> None:
    one, again = aged(art, "crayon-dark").placed.pixels, aged(art, "crayon-dark").placed.pixels
    other = aged(replace(art, name="by another hand"), "crayon-dark").placed.pixels
    assert np.array_equal(one, again)
    assert not np.array_equal(one, other)
