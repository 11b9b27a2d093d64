"""Our own photograph, of the hare page on a plank table, against the truth that was written with it."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from tracer.art.read import read_picture
from tracer.raster.homography import homography, led_through
from tracer.raster.quad import quad_seen
from tracer.raster.straighten import straightened
from tracer.reading import Reading

ART = Path(__file__).parents[2] / "sample_art"
TRUTH = json.loads((ART / "hare-photo.truth.json").read_text(encoding="utf-8"))


def test_the_hare_photo_is_read_true_to_size() -> None:
    scan = read_picture(ART / "hare-photo.jpg", Reading())
    quad = quad_seen(scan, sure=False)
    assert quad is not None
    # its edges were mixed in grey levels, not in light, so they lie up to a pixel farther in
    assert np.hypot(*(quad.corners_seen - TRUTH["corners_px"]).T).max() < 2.0
    flat = straightened(scan)  # nothing said: the file names no camera, the table tells
    assert flat.mm_per_px is not None
    assert "A4" in flat.scale_source
    grid = np.array([[x, y] for x in (30.0, 150, 270) for y in (30.0, 100, 180)])
    width, height = 297 / flat.mm_per_px, 210 / flat.mm_per_px
    to_flat = homography(quad.corners, np.array([[0, 0], [width, 0], [width, height], [0, height]]))
    photo = led_through(np.array(TRUTH["page_mm_to_photo_px"]), grid)
    np.testing.assert_allclose(led_through(to_flat, photo) * flat.mm_per_px, grid, atol=0.25)


def test_its_lines_lie_where_the_page_has_them() -> None:
    flat = straightened(read_picture(ART / "hare-photo.jpg", Reading()))
    page = json.loads((ART / "hare-page.truth.json").read_text(encoding="utf-8"))
    assert flat.mm_per_px is not None
    local = cv2.blur(flat.grey, (61, 61))
    on = []
    for stroke in page["strokes"]:
        if stroke["kind"] == "line":
            curves = np.array(stroke["curves"], float).reshape(-1, 4, 2)
            middles = (
                curves[:, 0] + 3 * curves[:, 1] + 3 * curves[:, 2] + curves[:, 3]
            ) / 8  # at half of each
            x, y = (middles / flat.mm_per_px).astype(int).T
            on.append(flat.grey[y, x] < 0.75 * local[y, x])
    assert np.concatenate(on).mean() == pytest.approx(1.0, abs=0.02)
