"""Reading against what is true outside: Pillow's own conversions, file formats' definitions, page sizes.

[PIL] Pillow's functions; [TIFF] TIFF 6.0; [PNG] ISO/IEC 15948; [JFIF] JFIF 1.02; [EXIF] Exif 2.3;
[S7] NIST, the international inch of 25.4 mm; [S8] ISO 32000-1, 8.3.2.3, the point of 1/72 in, and table 30,
UserUnit; [S13] ISO 216; [RL] reportlab's table of page sizes; [601] ITU-R BT.601; [D] arithmetic.
"""

from pathlib import Path

import numpy as np
import pytest
from pdfs import pdf
from PIL import Image, ImageOps
from reportlab.lib import pagesizes
from reportlab.pdfgen.canvas import Canvas

from tracer.art.read import read_picture

PAGE = np.random.default_rng(8).integers(0, 256, (300, 200, 3), np.uint8)


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.webp"])
@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("mode", ["L", "RGB"])
def test_all_eight_orientations(tmp_path: Path, name: str, orientation: int, mode: str) -> None:
    exif = Image.Exif()
    exif[274] = orientation  # [EXIF]
    Image.fromarray(PAGE).convert(mode).save(tmp_path / name, exif=exif)
    scan = read_picture(tmp_path / name)
    # By the open file: a named TIFF of one byte a pixel is mapped, and not turned, though Pillow says so.
    with (tmp_path / name).open("rb") as file, Image.open(file) as lying:
        lying.load()
        upright = np.asarray(ImageOps.exif_transpose(lying).convert(mode))  # [PIL]
    assert np.array_equal(scan.grey if mode == "L" or scan.colour is None else scan.colour, upright)


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGB", "CMYK", "YCbCr", "LAB"])
def test_modes_without_transparency(tmp_path: Path, mode: str) -> None:
    source = Image.fromarray(PAGE)
    if mode == "LAB":
        source = Image.merge("LAB", source.split())
    path = tmp_path / ("a.jpg" if mode == "YCbCr" else "a.tif")  # Pillow 11 cannot read its own TIFF of YCbCr
    source.convert(mode).save(path)
    scan = read_picture(path)
    with Image.open(path) as image:
        wanted = image.convert("RGB")
    assert np.array_equal(scan.grey, np.asarray(wanted.convert("L")))  # [601], by [PIL]
    if scan.colour is not None:
        assert np.array_equal(scan.colour, np.asarray(wanted))


@pytest.mark.parametrize("mode", ["RGBA", "LA"])
def test_transparency_is_laid_on_white(tmp_path: Path, mode: str) -> None:
    alpha = np.random.default_rng(9).integers(0, 256, (300, 200), np.uint8)
    image = Image.fromarray(PAGE).convert("L" if mode == "LA" else "RGB")
    image.putalpha(Image.fromarray(alpha))
    image.save(tmp_path / "a.png")
    scan = read_picture(tmp_path / "a.png")
    pixels = np.asarray(image.convert("RGBA"), float)
    # Porter & Duff (1984), "over": a C + (1 - a) white [D]; rounding on the way to eight bits.
    wanted = 255 - (255 - pixels[..., :3]) * pixels[..., 3:] / 255
    found = scan.grey if scan.colour is None else scan.colour
    assert np.abs(found - (wanted[..., 0] if scan.colour is None else wanted)).max() <= 1.01


def test_cmyk_of_a_jpeg_is_ink_and_not_light(tmp_path: Path) -> None:
    # Cyan alone takes the red away. Adobe's JPEGs hold the values turned round; so do Pillow's.
    Image.new("CMYK", (40, 30), (255, 0, 0, 0)).save(tmp_path / "a.jpg", quality=100)
    colour = read_picture(tmp_path / "a.jpg").colour
    assert colour is not None
    assert np.abs(colour[10, 10].astype(int) - (0, 255, 255)).max() <= 3


@pytest.mark.parametrize("bits", [8, 16])
def test_sixteen_bits_are_as_eight(tmp_path: Path, bits: int) -> None:
    grey = PAGE[..., 0]
    wide = grey if bits == 8 else grey.astype(np.uint16) * 257  # 65535 = 257 x 255 [D]
    Image.fromarray(wide).save(tmp_path / "a.png")
    assert np.array_equal(read_picture(tmp_path / "a.png").grey, grey)


@pytest.mark.parametrize("dpi", [150, 300, 600, 1200])
@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.bmp"])
def test_dots_per_inch(tmp_path: Path, name: str, dpi: int) -> None:
    Image.fromarray(PAGE).save(tmp_path / name, dpi=(dpi, dpi))
    # PNG and BMP hold whole pixels per metre [PNG]: at 150 dpi they are 5906 or 5905 for 5905.5.
    assert read_picture(tmp_path / name).mm_per_px == pytest.approx(25.4 / dpi, rel=1e-4)  # [S7]


@pytest.mark.parametrize("entry", [72, 96, 144, 192, 1])
def test_entries_that_programs_write_whatever_the_size(tmp_path: Path, entry: int) -> None:
    # 72: Exif 2.3 has cameras write it where the resolution is unknown; 96: CSS; 1: the aspect alone [JFIF];
    # 144 and 192: the same for screens of two device pixels to the CSS pixel [D].
    Image.fromarray(PAGE).save(tmp_path / "a.jpg", dpi=(entry, entry))
    assert read_picture(tmp_path / "a.jpg").mm_per_px is None


SIZES = [
    ("A4", pagesizes.A4, (210.0, 297.0)),  # [S13]
    ("A3", pagesizes.A3, (297.0, 420.0)),  # [S13]
    ("A5", pagesizes.A5, (148.0, 210.0)),  # [S13]
    ("letter", pagesizes.letter, (215.9, 279.4)),  # ANSI A: 8 1/2 x 11 in [S7]
    ("legal", pagesizes.legal, (215.9, 355.6)),  # 8 1/2 x 14 in [S7]
]


@pytest.mark.parametrize(("points", "mm"), [size[1:] for size in SIZES], ids=[size[0] for size in SIZES])
def test_pages_of_known_size(tmp_path: Path, points: tuple[float, float], mm: tuple[float, float]) -> None:
    canvas = Canvas(str(tmp_path / "a.pdf"), pagesize=points)  # [RL]
    canvas.setLineWidth(3)
    canvas.line(50, 50, 200, 300)
    canvas.save()
    scan = read_picture(tmp_path / "a.pdf")
    assert scan.mm_per_px is not None
    height, width = scan.grey.shape
    # A page ends within a pixel of where it should: 1 px is 0.085 mm at 300 dpi [D].
    assert (width * scan.mm_per_px, height * scan.mm_per_px) == pytest.approx(mm, abs=0.1)


def test_a_line_of_known_length(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "a.pdf"), pagesize=pagesizes.A4)
    canvas.setLineWidth(3)
    canvas.setLineCap(0)  # butt
    canvas.line(72, 500, 72 + 360, 500)  # 360 / 72 in = 127 mm [S7] [S8]
    canvas.save()
    scan = read_picture(tmp_path / "a.pdf")
    assert scan.mm_per_px is not None
    darkness = (255 - scan.grey.astype(float)).sum(axis=0)
    assert darkness.sum() / darkness.max() * scan.mm_per_px == pytest.approx(127.0, abs=0.05)


@pytest.mark.parametrize(("entry", "factor"), [("", 1.0), ("/UserUnit 2", 2.0), ("/UserUnit 0.5", 0.5)])
def test_units_of_a_page(tmp_path: Path, entry: str, factor: float) -> None:
    page = f"/MediaBox[0 0 144 72]{entry}"
    (tmp_path / "a.pdf").write_bytes(pdf((page, b"3 w 10 10 m 130 60 l S")))
    scan = read_picture(tmp_path / "a.pdf")
    assert scan.mm_per_px is not None
    assert scan.grey.shape[1] * scan.mm_per_px == pytest.approx(50.8 * factor)  # 144 / 72 in [S7] [S8]


def test_a_page_is_as_large_as_its_crop_box(tmp_path: Path) -> None:
    # ISO 32000-1, 14.11.2: what is shown is the crop box, within the media box.
    page = "/MediaBox[0 0 720 720]/CropBox[100 100 244 172]"
    (tmp_path / "a.pdf").write_bytes(pdf((page, b"3 w 110 110 m 230 160 l S")))
    scan = read_picture(tmp_path / "a.pdf")
    assert scan.scale_source == "the PDF's page, 51 x 25 mm"
