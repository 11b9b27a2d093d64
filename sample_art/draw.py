"""Draw all sample pictures and write what is true of each: `python -m sample_art.draw [FOLDER]`."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from PIL import Image

from sample_art.age import from_web, homography, pencilled, phone_photo, scanned
from sample_art.boat import MM_PER_PX, SIZE_PX, boat_picture, to_page
from sample_art.crayon import colour_in
from sample_art.curves import pen
from sample_art.hare_page import PAGE_MM as HARE_MM
from sample_art.hare_page import RUBBINGS, hare_page
from sample_art.ink import ink
from sample_art.owl import PAGE_MM as OWL_MM
from sample_art.owl import owl_sketch
from sample_art.truth import strokes_truth, write_photo_truth

HARE_DPI = 200
OWL_DPI = 300
PHOTO_PX = (2400, 1800)
CORNERS_PX = np.array([[246.0, 232.0], [2178.0, 190.0], [2252.0, 1578.0], [150.0, 1610.0]])


def pixels(page_mm: tuple[float, float], dpi: int) -> tuple[int, int]:
    """Whole pixels (width, height) of a page scanned at `dpi`."""
    return round(page_mm[0] / 25.4 * dpi), round(page_mm[1] / 25.4 * dpi)


def draw_hare(folder: Path) -> None:
    """The half coloured page, as a scan and as a phone photo."""
    scene, size = hare_page(), pixels(HARE_MM, HARE_DPI)
    marks, mm_per_px = scene.named(), 25.4 / HARE_DPI
    page = colour_in(scene, RUBBINGS, size, seed=11)
    scan = scanned(page, ink(marks, size, mm_per_px, finer=4), seed=12)
    Image.fromarray(scan).save(folder / "hare-page.jpg", quality=90, dpi=(HARE_DPI, HARE_DPI))
    truth = strokes_truth("hare-page.jpg", marks, HARE_MM, size, mm_per_px)
    (folder / "hare-page.truth.json").write_text(truth, encoding="utf-8")
    _draw_photo(folder, scan)


def _draw_photo(folder: Path, scan: np.ndarray) -> None:
    tags = Image.Exif()
    tags[0x0112] = 1  # EXIF orientation: as stored
    photo = Image.fromarray(phone_photo(scan, CORNERS_PX, PHOTO_PX, seed=13))
    photo.save(folder / "hare-photo.jpg", quality=82, dpi=(72, 72), exif=tags)
    matrix = homography(scan.shape[1], scan.shape[0], CORNERS_PX) @ np.diag(
        [HARE_DPI / 25.4, HARE_DPI / 25.4, 1.0]
    )
    write_photo_truth(folder / "hare-photo.truth.json", "hare-page.truth.json", PHOTO_PX, CORNERS_PX, matrix)


def draw_owl(folder: Path) -> None:
    """The pencil sketch, grey."""
    marks, size, mm_per_px = owl_sketch().named(), pixels(OWL_MM, OWL_DPI), 25.4 / OWL_DPI
    picture = pencilled(ink(marks, size, mm_per_px, finer=4), seed=21)
    Image.fromarray(picture).save(folder / "owl-sketch.png", optimize=True, dpi=(OWL_DPI, OWL_DPI))
    truth = strokes_truth("owl-sketch.png", marks, OWL_MM, size, mm_per_px)
    (folder / "owl-sketch.truth.json").write_text(truth, encoding="utf-8")


def draw_boat(folder: Path) -> None:
    """The web picture; its truth is cut off at the picture's edges, its ink is not."""
    scene = to_page(boat_picture())
    picture = from_web(ink(scene.named(), SIZE_PX, MM_PER_PX, finer=8))
    Image.fromarray(picture).save(folder / "boat-web.png", optimize=True)
    wide, high = scene.width, scene.height
    scene.keep_within(pen(f"0,0! {wide},0! {wide},{high}! 0,{high}!", closed=True))
    truth = strokes_truth("boat-web.png", scene.named(), (wide, high), SIZE_PX, MM_PER_PX)
    (folder / "boat-web.truth.json").write_text(truth, encoding="utf-8")


def main() -> None:
    """Draw everything into the folder given, or beside this script."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    folder.mkdir(parents=True, exist_ok=True)
    for draw in (draw_boat, draw_owl, draw_hare):
        draw(folder)


if __name__ == "__main__":
    main()
