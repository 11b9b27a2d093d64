"""Whole pictures: the sample page against its own truth, and photographs of print that others took.

`page` and `text` are scikit-image's own pictures; both files are part of its wheel, nothing is fetched.
"""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
import skimage

import tracer
from tracer.art.read import read_picture
from tracer.errors import ArtError
from tracer.geometry.flatten import flatten
from tracer.model.drawing import Drawing
from tracer.raster.ink import find_ink
from tracer.vector.strokes import find_strokes

SAMPLES = Path(__file__).parents[2] / "sample_art"
SHIPPED = Path(skimage.__file__).parent / "data"


def drawing_of(path: Path) -> Drawing:
    scan = read_picture(path)
    return find_strokes(scan, find_ink(scan))


@cache
def hare() -> tuple[Drawing, list[np.ndarray], list[np.ndarray], float]:
    """The hare page's drawing, our lines and the true lines as polylines in page mm, and mm per pixel."""
    truth = json.loads((SAMPLES / "hare-page.truth.json").read_text(encoding="utf-8"))
    drawing, scale = drawing_of(SAMPLES / "hare-page.jpg"), truth["mm_per_px"]
    ours = [s.points(0.2) * scale for s in drawing.strokes if s.kind == "line"]
    theirs = [flatten(np.array(s["curves"]), 0.01) for s in truth["strokes"] if s["kind"] == "line"]
    return drawing, ours, theirs, scale


def dense(lines: list[np.ndarray], step: float) -> np.ndarray:
    """Points about `step` apart along all lines."""
    return np.concatenate(
        [
            shapely.get_coordinates(line.interpolate(np.arange(0, line.length, step)))
            for line in map(shapely.LineString, lines)
        ]
    )


def distances(lines: list[np.ndarray], others: list[np.ndarray]) -> np.ndarray:
    """The distance from points 0.5 mm apart on `lines` to the nearest of `others`."""
    tree = shapely.STRtree([shapely.LineString(line) for line in others])
    return tree.query_nearest(shapely.points(dense(lines, 0.5)), return_distance=True, all_matches=False)[1]


def test_the_hares_strokes_lie_on_the_lines_that_were_drawn() -> None:
    # Source: the project's own truth, the curves the picture was drawn from (simulated scan).
    _, ours, theirs, _ = hare()
    away = distances(ours, theirs)
    assert away.mean() < 0.15
    assert np.percentile(away, 99) < 0.6  # half a line's width


def test_hardly_a_line_of_the_hare_is_missed() -> None:
    _, ours, theirs, _ = hare()
    missed = distances(theirs, ours)
    assert missed.mean() < 0.15
    assert (missed > 0.6).mean() < 0.01


def test_the_hares_lines_are_as_long_as_drawn() -> None:
    _, ours, theirs, _ = hare()
    lengths = [sum(shapely.LineString(line).length for line in lines) for lines in (ours, theirs)]
    assert lengths[0] == pytest.approx(lengths[1], rel=0.03)


def test_the_hares_size_and_scale_come_from_its_file() -> None:
    # 200 dpi: 25.4 / 200 = 0.127 mm a pixel; A4 landscape is 297 x 210 mm (ISO 216).
    drawing, _, _, scale = hare()
    assert drawing.mm_per_px == pytest.approx(0.127) == pytest.approx(scale)
    width, height = drawing.size_px
    assert (width * 0.127, height * 0.127) == pytest.approx((297, 210), abs=0.13)


@pytest.mark.parametrize("name", ["page.png", "text.png"])
def test_photographs_of_print_end_in_strokes_or_in_a_sentence(name: str) -> None:
    path = SHIPPED / name
    if not path.exists():
        pytest.skip("this scikit-image does not ship the picture")
    try:
        drawing = drawing_of(path)
    except ArtError as error:
        assert name in str(error)  # noqa: PT017 - either outcome is right
        return
    assert drawing.strokes
    x0, y0, x1, y1 = drawing.bounds
    width, height = drawing.size_px
    # An end that runs out of the picture is prolonged to its border, where the fit may pass by a little.
    assert -1.5 <= x0 < x1 <= width + 1.5
    assert -1.5 <= y0 < y1 <= height + 1.5
    for stroke in drawing.strokes:
        assert np.isfinite(stroke.curves).all()
        assert stroke.width is None or 0 < stroke.width < max(width, height) / 2


def test_the_photo_of_the_hare_is_traced_at_the_size_of_its_sheet() -> None:
    # Source: the project's own truth; the sheet is A4, and ISO 216 is exact in a simulated photo.
    truth = json.loads((SAMPLES / "hare-page.truth.json").read_text(encoding="utf-8"))
    drawing = tracer.trace(SAMPLES / "hare-photo.jpg")
    assert drawing.mm_per_px is not None
    true = dense([flatten(np.array(s["curves"]), 0.01) for s in truth["strokes"]], 1.0)
    ours = dense([s.points(0.2) * drawing.mm_per_px for s in drawing.strokes if s.kind != "dot"], 1.0)
    extent = np.ptp(ours, axis=0) / np.ptp(true, axis=0)
    assert extent == pytest.approx(1.0, abs=0.003)
    dots = np.array([s.curves[0, 0] for s in drawing.strokes if s.kind == "dot"])
    cheeks = np.all((dots > (770, 655)) & (dots < (890, 695)), axis=1)
    assert np.count_nonzero(cheeks) == 6  # three freckles on either cheek, in the middle of the colouring
