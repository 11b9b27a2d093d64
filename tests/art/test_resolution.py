"""How large a pixel is: what was said, else the file's entry where it can be believed."""

import struct
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, TiffImagePlugin

from tracer.art.read import read_picture
from tracer.errors import ArtError
from tracer.model.scan import Scan
from tracer.reading import Known, Reading

TEN_CM = Known((10, 20), (310, 420), 100.0)  # 3-4-5: 500 px apart


def saved(folder: Path, name: str = "a.png", **options: object) -> Path:
    Image.new("L", (400, 600), 255).save(folder / name, **options)  # type: ignore[arg-type]
    return folder / name


def read(path: Path, **said: object) -> Scan:
    return read_picture(path, Reading(**said))  # type: ignore[arg-type]


def test_what_is_said_comes_in_order(tmp_path: Path) -> None:
    path = saved(tmp_path, dpi=(300, 300))
    by_file = read(path)
    by_known = read(path, known=TEN_CM)
    by_width = read(path, known=TEN_CM, art_width=210.0)
    by_dpi = read(path, known=TEN_CM, art_width=210.0, dpi=200.0)
    assert by_file.mm_per_px == pytest.approx(25.4 / 300, rel=1e-5)
    assert (by_known.mm_per_px, by_known.scale_source) == (
        pytest.approx(0.2),
        "100 mm between (10, 20) and (310, 420), as said",
    )
    assert (by_width.mm_per_px, by_width.scale_source) == (pytest.approx(210 / 400), "210 mm wide, as said")
    assert (by_dpi.mm_per_px, by_dpi.scale_source) == (pytest.approx(25.4 / 200), "200 dpi, as said")


def test_the_width_is_that_of_the_upright_picture(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[274] = 6
    path = saved(tmp_path, exif=exif)
    assert read(path).grey.shape == (400, 600)
    assert read(path, art_width=300.0).mm_per_px == pytest.approx(0.5)
    assert read(path, known=Known((0, 0), (600, 0), 60.0)).mm_per_px == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("known", "words"),
    [
        (
            Known((10, 20), (410, 20), 50.0),
            r"point \(410, 20\) .* outside the picture, which is 400 x 600 pixels",
        ),
        (Known((-1, 20), (300, 20), 50.0), r"point \(-1, 20\)"),
        (Known((10, 20), (22, 36), 50.0), r"20\.0 pixels apart|known length"),
        (Known((10, 20), (10, 39), 50.0), r"are 19\.0 pixels apart; 20 are needed: measure something longer"),
    ],
)
def test_a_length_that_measures_nothing(tmp_path: Path, known: Known, words: str) -> None:
    if known.b == (22, 36):  # 12-16-20: just long enough
        assert read(saved(tmp_path), known=known).mm_per_px == pytest.approx(2.5)
        return
    with pytest.raises(ArtError, match=words):
        read(saved(tmp_path), known=known)


@pytest.mark.parametrize(("unit", "per_inch"), [(2, 1.0), (3, 2.54)])
def test_tiff_counts_by_the_inch_or_the_centimetre(tmp_path: Path, unit: int, per_inch: float) -> None:
    # TIFF 6.0: ResolutionUnit 2 inch, 3 centimetre; 1 in = 2.54 cm exactly.
    path = saved(tmp_path, "a.tif", tiffinfo={282: 118.0, 283: 118.0, 296: unit})
    assert read(path).mm_per_px == pytest.approx(25.4 / (118 * per_inch))


def test_tiff_without_a_unit_knows_nothing(tmp_path: Path) -> None:
    path = saved(tmp_path, "a.tif", tiffinfo={282: 300.0, 283: 300.0, 296: 1})
    assert read(path).mm_per_px is None


@pytest.mark.parametrize("entry", [(0, 0), (1, 0), (0, 1)])
def test_nonsense_for_a_resolution(tmp_path: Path, entry: tuple[int, int]) -> None:
    ratio = TiffImagePlugin.IFDRational(*entry)
    path = saved(tmp_path, "a.tif", tiffinfo={282: ratio, 283: ratio, 296: 2})
    assert read(path).mm_per_px is None


@pytest.mark.parametrize(("unit", "per_inch"), [(2, 1.0), (3, 2.54)])
def test_webp_says_it_in_exif(tmp_path: Path, unit: int, per_inch: float) -> None:
    exif = Image.Exif()
    exif[282] = exif[283] = 118.0
    exif[296] = unit
    assert read(saved(tmp_path, "a.webp", exif=exif)).mm_per_px == pytest.approx(25.4 / (118 * per_inch))


def test_fax_is_stretched_to_square_pixels(tmp_path: Path) -> None:
    # ITU-T T.4: 1728 dots along 215 mm and 3.85 lines a mm: about 204 x 98 dpi.
    path = saved(tmp_path, "a.tif", tiffinfo={282: 204.0, 283: 98.0, 296: 2})
    scan = read(path)
    assert scan.grey.shape == (round(600 * 204 / 98), 400)
    assert scan.mm_per_px == pytest.approx(25.4 / 204)
    assert scan.scale_source == "204 x 98 dpi, from the file"
    assert "stretched so that its pixels are square, as the file says" in scan.notes


def test_a_fax_on_its_side(tmp_path: Path) -> None:
    path = saved(tmp_path, "a.tif", tiffinfo={274: 6, 282: 204.0, 283: 98.0, 296: 2})
    assert read(path).grey.shape == (400, round(600 * 204 / 98))


def test_pixels_that_are_only_not_square(tmp_path: Path) -> None:
    # JFIF 1.02: units 0, densities give the aspect only. Bytes 13 to 18 of the file.
    data = bytearray(saved(tmp_path, "a.jpg").read_bytes())
    assert data[6:10] == b"JFIF"
    data[13:18] = struct.pack(">BHH", 0, 2, 1)
    (tmp_path / "b.jpg").write_bytes(bytes(data))
    scan = read(tmp_path / "b.jpg")
    assert scan.grey.shape == (1200, 400)
    assert scan.mm_per_px is None


@pytest.mark.parametrize("entry", [(300, 20), (72, 96), (9000, 300)])
def test_unlike_resolutions_that_nobody_means(tmp_path: Path, entry: tuple[int, int]) -> None:
    scan = read(saved(tmp_path, "a.jpg", dpi=entry))
    if entry == (72, 96):  # mild: taken at its word
        assert scan.grey.shape == (600, round(400 * 96 / 72))
        return
    assert scan.mm_per_px is None
    assert scan.grey.shape == (600, 400)
    assert "not believable" in scan.scale_source


def camera(**entries: object) -> Image.Exif:
    exif = Image.Exif()
    exif[271] = "Some Maker"
    exif.get_ifd(0x8769).update({int(tag[1:]): value for tag, value in entries.items()})
    written = Image.Exif()
    written.load(exif.tobytes())  # as a whole: Pillow's TIFF writer leaves parts out of the other
    return written


@pytest.mark.parametrize(
    ("name", "exif", "taken"),
    [
        ("a.jpg", camera(), True),
        ("a.jpg", camera(_33437=2.8), True),
        ("a.jpg", camera(_41728=b"\3"), True),
        ("a.jpg", camera(_41728=b"\2"), False),  # Exif 2.3, FileSource: 2 reflection print scanner
        ("a.tif", camera(), False),  # TIFF 6.0, Make: the scanner manufacturer
        ("a.tif", camera(_33434=0.01), True),
    ],
)
def test_cameras_and_scanners(tmp_path: Path, name: str, exif: Image.Exif, taken: bool) -> None:
    scan = read(saved(tmp_path, name, exif=exif, dpi=(300, 300)))
    assert scan.from_camera == taken
    assert (scan.mm_per_px is None) == taken


def test_a_camera_may_be_overruled(tmp_path: Path) -> None:
    path = saved(tmp_path, "a.jpg", exif=camera(), dpi=(300, 300))
    assert read(path, art_width=200.0).mm_per_px == pytest.approx(0.5)


def test_pixels_are_unchanged_by_what_is_said(tmp_path: Path) -> None:
    path = saved(tmp_path)
    assert np.array_equal(read(path).grey, read(path, dpi=600.0).grey)


def test_a_png_of_100_dpi_is_believed(tmp_path: Path) -> None:
    # PNG, 11.3.4.3 (pHYs): whole pixels a metre, so 100 dpi is kept as 3937, which is 99.9998 to the inch.
    assert read(saved(tmp_path, dpi=(100, 100))).scale_source == "100 dpi, from the file"
    assert read(saved(tmp_path, dpi=(72, 72))).scale_source == "unknown: the file's 72 dpi is not believable"
