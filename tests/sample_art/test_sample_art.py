"""The sample pictures are what their truth says, and the script still draws them."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from sample_art.curves import flat, pen, ring
from sample_art.draw import draw_boat
from sample_art.scene import Scene, line

FOLDER = Path(__file__).parents[2] / "sample_art"
PICTURES = {
    "hare-page.jpg": ((2339, 1654), 200, "RGB"),
    "hare-photo.jpg": ((2400, 1800), 72, "RGB"),
    "owl-sketch.png": ((1772, 2362), 300, "L"),
    "boat-web.png": ((600, 480), None, "RGB"),
}
DRAWN = [name for name in PICTURES if name != "hare-photo.jpg"]


def truth_of(name: str) -> dict[str, Any]:
    result: dict[str, Any] = json.loads(
        (FOLDER / name).with_suffix(".truth.json").read_text(encoding="utf-8")
    )
    return result


def darkness(name: str) -> NDArray[np.float64]:
    """Brightest channel against the local paper: crayon stays low, ink is near 1."""
    grey = np.asarray(Image.open(FOLDER / name).convert("RGB"), dtype=np.float64).max(axis=2)
    return np.asarray(1 - grey / np.percentile(grey, 95))


def sampled(picture: NDArray[np.float64], points_px: NDArray[np.float64]) -> NDArray[np.float64]:
    """Values of the pixels that hold the points (x, y); points outside are left out."""
    height, width = picture.shape
    columns, rows = np.floor(points_px).astype(int).T
    within = (columns >= 0) & (columns < width) & (rows >= 0) & (rows < height)
    values: NDArray[np.float64] = picture[rows[within], columns[within]]
    return values


def stroke_points(stroke: dict[str, Any]) -> NDArray[np.float64]:
    return flat(np.asarray(stroke["curves"], dtype=np.float64), 0.2)


@pytest.mark.parametrize("name", PICTURES)
def test_size_resolution_and_weight(name: str) -> None:
    size, dpi, mode = PICTURES[name]
    with Image.open(FOLDER / name) as picture:
        assert (picture.size, picture.mode) == (size, mode)
        found = picture.info.get("dpi")
    if dpi is None:
        assert found is None
    else:
        assert found == pytest.approx((dpi, dpi), abs=0.01)
    assert (FOLDER / name).stat().st_size < 1.5e6


def test_page_sizes() -> None:
    """A4 is 210 x 297 mm (ISO 216); the inch is 25.4 mm exactly (1959 agreement)."""
    page = truth_of("hare-page.jpg")
    assert page["page_mm"] == [297.0, 210.0]
    for name in ("hare-page.jpg", "owl-sketch.png"):
        truth, dpi = truth_of(name), PICTURES[name][1]
        assert dpi is not None
        assert truth["mm_per_px"] == pytest.approx(25.4 / dpi, abs=1e-8)
        assert truth["size_px"] == [round(side / 25.4 * dpi) for side in truth["page_mm"]]


@pytest.mark.parametrize("name", DRAWN)
def test_names_are_unique_and_curves_hang_together(name: str) -> None:
    strokes = truth_of(name)["strokes"]
    assert len({s["name"] for s in strokes}) == len(strokes) > 100
    for stroke in strokes:
        curves = np.asarray(stroke["curves"])
        assert curves.shape[1:] == (4, 2)
        assert np.abs(curves[1:, 0] - curves[:-1, 3]).max(initial=0.0) < 2e-4, stroke["name"]
        assert (stroke["kind"] in ("line", "dot")) == (stroke["width_mm"] > 0)
        if stroke["closed"]:
            assert np.abs(curves[0, 0] - curves[-1, 3]).max() < 2e-4, stroke["name"]


@pytest.mark.parametrize("name", DRAWN)
def test_truth_lies_on_ink_and_nothing_else_does(name: str) -> None:
    truth, dark = truth_of(name), darkness(name)
    lines = [s for s in truth["strokes"] if s["kind"] == "line"]
    ink = float(
        np.median(np.concatenate([sampled(dark, stroke_points(s) / truth["mm_per_px"]) for s in lines]))
    )
    on = [float(np.mean(sampled(dark, stroke_points(s) / truth["mm_per_px"]))) for s in lines]
    worst = lines[int(np.argmin(on))]["name"]
    assert min(on) > 0.5 * ink, worst
    shifted = [(stroke_points(s) + 2 * s["width_mm"] * math.sqrt(0.5)) / truth["mm_per_px"] for s in lines]
    assert np.mean([float(np.mean(sampled(dark, p))) for p in shifted if len(sampled(dark, p))]) < 0.4 * ink


@pytest.mark.parametrize("name", DRAWN)
def test_all_ink_is_in_the_truth(name: str) -> None:
    """Ink darker than half a line's lies within half a pen width (and a pixel or two) of some stroke."""
    truth, dark = truth_of(name), darkness(name)
    near = Image.new("L", tuple(truth["size_px"]), 0)
    pen_px = ImageDraw.Draw(near)
    for stroke in truth["strokes"]:
        spots = [tuple(p) for p in stroke_points(stroke) / truth["mm_per_px"]]
        reach = stroke["width_mm"] / truth["mm_per_px"] / 2 + 2.5
        if stroke["kind"] == "solid":
            pen_px.polygon(spots, fill=255)
        for x, y in spots:
            pen_px.ellipse((x - reach, y - reach, x + reach, y + reach), fill=255)
    ink = dark > 0.62 * float(np.percentile(dark[np.asarray(near) > 0], 80))
    assert ink.sum() > 1000
    assert (ink & (np.asarray(near) == 0)).sum() / ink.sum() < 1e-3


@pytest.mark.parametrize("name", DRAWN)
def test_solids_are_dark_inside(name: str) -> None:
    truth, dark = truth_of(name), darkness(name)
    for stroke in (s for s in truth["strokes"] if s["kind"] == "solid"):
        outline = stroke_points(stroke)
        shrunk = outline.mean(0) + 0.97 * (outline - outline.mean(0))
        assert np.median(sampled(dark, shrunk / truth["mm_per_px"])) > 0.3, stroke["name"]


def test_pen_widths_are_those_of_the_readme() -> None:
    def widths(name: str) -> tuple[float, float]:
        pens = [s["width_mm"] for s in truth_of(name)["strokes"] if s["kind"] == "line"]
        return min(pens), max(pens)

    assert widths("hare-page.jpg") == (1.0, 1.4)
    assert widths("owl-sketch.png") == (0.5, 0.8)
    thin, thick = widths("boat-web.png")
    assert (thin * 3, thick * 3) == pytest.approx((1.15, 3.0), abs=1e-3)


def test_web_picture_runs_off_its_edges() -> None:
    dark = darkness("boat-web.png")
    for edge in (dark[:, 0], dark[:, -1], dark[-1]):
        assert (edge > 0.5).sum() > 2


def test_photo_corners_part_paper_from_table() -> None:
    """Each page edge as the truth has it: paper within, table without."""
    truth = json.loads((FOLDER / "hare-photo.truth.json").read_text(encoding="utf-8"))
    grey = np.asarray(Image.open(FOLDER / "hare-photo.jpg").convert("L"), dtype=np.float64)
    corners = np.asarray(truth["corners_px"])
    share = np.linspace(0.1, 0.9, 40)[:, None]
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        edge = start + (end - start) * share
        inward = (corners.mean(0) - edge) / np.linalg.norm(corners.mean(0) - edge, axis=1, keepdims=True)
        assert np.all(sampled(grey, edge + 8 * inward) > sampled(grey, edge - 8 * inward) + 40)


def test_photo_matrix_puts_page_lines_on_ink() -> None:
    truth = json.loads((FOLDER / "hare-photo.truth.json").read_text(encoding="utf-8"))
    grey = np.asarray(Image.open(FOLDER / "hare-photo.jpg").convert("L"), dtype=np.float64)
    matrix = np.asarray(truth["page_mm_to_photo_px"])
    on: list[float] = []
    off: list[float] = []
    for stroke in (s for s in truth_of("hare-page.jpg")["strokes"] if s["kind"] == "line"):
        for shift, found in ((0.0, on), (2 * stroke["width_mm"], off)):
            spots = np.c_[stroke_points(stroke) + shift, np.ones(len(stroke_points(stroke)))] @ matrix.T
            found.append(float(sampled(grey, spots[:, :2] / spots[:, 2:]).mean()))
    assert np.mean(on) < 0.5 * np.mean(off)
    assert max(on) < 0.7 * np.mean(off)


def test_photo_is_turned_as_stored() -> None:
    with Image.open(FOLDER / "hare-photo.jpg") as photo:
        assert photo.getexif()[0x0112] == 1  # Exif 2.3, tag 274 Orientation: 1 = row 0 top, column 0 left


def test_the_script_draws_the_web_picture_again(tmp_path: Path) -> None:
    draw_boat(tmp_path)
    now = np.asarray(Image.open(tmp_path / "boat-web.png"), dtype=np.int16)
    then = np.asarray(Image.open(FOLDER / "boat-web.png"), dtype=np.int16)
    assert np.abs(now - then).mean() < 1.0
    again = tmp_path / "again"
    again.mkdir()
    draw_boat(again)
    assert (tmp_path / "boat-web.png").read_bytes() == (again / "boat-web.png").read_bytes()
    assert json.loads((tmp_path / "boat-web.truth.json").read_text(encoding="utf-8")) == truth_of(
        "boat-web.png"
    )


def test_a_circle_of_cubics_is_round() -> None:
    """A 90 deg cubic is out by 2.73e-4 of the radius at most (Goldapp, 1991), 45 deg by 1/64 of that."""
    assert np.abs(np.hypot(*flat(ring((0, 0), 10.0), 0.05).T) - 10.0).max() < 10.0 * 2.73e-4 / 60


def test_smooth_points_have_one_tangent_and_corners_two() -> None:
    curves = pen("0,0 10,4 20,0! 30,10")
    leave, arrive = curves[1, 0] - curves[0, 2], curves[1, 1] - curves[0, 3]
    assert leave[0] * arrive[1] == pytest.approx(leave[1] * arrive[0], abs=1e-9)
    before, after = curves[1, 3] - curves[1, 2], curves[2, 1] - curves[2, 0]
    assert abs(before[0] * after[1] - before[1] * after[0]) > 1


def test_a_cover_cuts_a_line_where_its_outline_crosses() -> None:
    scene = Scene(100, 100)
    scene.put([line("far", pen("0,50 100,50"), 1.0)])
    scene.put([line("disc", ring((50, 50), 20), 1.0)], cover=ring((50, 50), 20))
    left, right, _ = scene.named()
    assert left.curves[-1, 3] == pytest.approx((30, 50), abs=0.01)
    assert right.curves[0, 0] == pytest.approx((70, 50), abs=0.01)
