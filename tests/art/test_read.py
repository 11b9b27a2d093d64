"""Any picture file becomes a Scan, or one sentence says why not; Pillow is the reference."""

import hashlib
import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw, ImageOps

from tracer.art.read import read_picture, scan_of
from tracer.errors import ArtError
from tracer.reading import Reading


def picture(mode: str = "RGB", size: tuple[int, int] = (60, 40)) -> Image.Image:
    """A red bar above a black one on white: no two corners alike."""
    image = Image.new("RGB", size, "white")
    pen = ImageDraw.Draw(image)
    pen.rectangle((4, 4, 30, 9), fill=(200, 30, 30))
    pen.rectangle((4, 20, 12, 35), fill="black")
    return image.convert(mode)


def saved(folder: Path, image: Image.Image, name: str, **options: object) -> Path:
    path = folder / name
    image.save(path, **options)  # type: ignore[arg-type]
    return path


@pytest.mark.parametrize("name", ["a.png", "a.tif", "a.bmp", "a.gif", "a.webp", "a.jpg"])
def test_each_format_gives_its_pixels(tmp_path: Path, name: str) -> None:
    options = {"a.webp": {"lossless": True}, "a.jpg": {"quality": 95, "subsampling": 0}}.get(name, {})
    path = saved(tmp_path, picture(), name, **options)
    scan = read_picture(path)
    loss = 20 if name == "a.jpg" else 0
    assert scan.colour is not None
    assert np.abs(scan.colour.astype(int) - np.asarray(picture())).max() <= loss
    # Pillow's luma (ITU-R BT.601, as its documentation of convert("L") says) rounds in its own way.
    with Image.open(path) as back:
        grey = np.asarray(back.convert("RGB").convert("L"), int)
    assert np.abs(scan.grey.astype(int) - grey).max() <= 1
    assert scan.name == name
    assert scan.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGB", "RGBA", "LA", "CMYK", "YCbCr"])
def test_each_mode_looks_as_pillow_shows_it(tmp_path: Path, mode: str) -> None:
    source = picture("L").convert("LA") if mode == "LA" else picture(mode)
    path = saved(tmp_path, source, "a.jpg" if mode == "YCbCr" else "a.tif")
    scan = read_picture(path)
    with Image.open(path) as back:
        wanted = np.asarray(back.convert("RGB").convert("L"), int)
    assert np.abs(scan.grey.astype(int) - wanted).max() <= 1
    assert (scan.colour is None) == (mode in ("1", "L", "LA"))


@pytest.mark.parametrize("value", [0, 257, 32896, 65535])
@pytest.mark.parametrize("name", ["a.png", "a.tif"])
def test_sixteen_bits_become_eight(tmp_path: Path, value: int, name: str) -> None:
    pixels = np.full((40, 60), 65535, np.uint16)
    pixels[5:9, 5:9] = value
    scan = read_picture(saved(tmp_path, Image.fromarray(pixels), name))
    # 257 = 65535 / 255: the exact ratio of the two scales [D].
    assert scan.grey[6, 6] == value // 257
    assert scan.grey[0, 0] == 255
    assert scan.colour is None


def test_transparent_parts_are_white_paper(tmp_path: Path) -> None:
    image = Image.new("RGBA", (60, 40), (0, 0, 0, 0))
    image.paste((0, 0, 0, 255), (4, 20, 13, 36))
    image.paste((0, 0, 0, 128), (30, 20, 39, 36))
    scan = read_picture(saved(tmp_path, image, "a.png"))
    # Porter & Duff "over" on white: 255 x (1 - alpha), alpha 128 / 255.
    assert (scan.grey[0, 0], scan.grey[25, 6]) == (255, 0)
    assert scan.grey[25, 35] == pytest.approx(127, abs=1)
    assert any("transparent" in note for note in scan.notes)


def test_a_palette_with_a_transparent_entry(tmp_path: Path) -> None:
    image = Image.new("P", (60, 40), 1)
    image.putpalette([0, 0, 0, 0, 255, 0])
    image.paste(0, (4, 20, 13, 36))
    scan = read_picture(saved(tmp_path, image, "a.gif", transparency=1))
    assert (scan.grey[0, 0], scan.grey[25, 6]) == (255, 0)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_turned_upright_as_pillow_does(tmp_path: Path, orientation: int) -> None:
    # Exif 2.3, tag 274; outside reference: Pillow's ImageOps.exif_transpose.
    exif = Image.Exif()
    exif[274] = orientation
    path = saved(tmp_path, picture("L"), "a.png", exif=exif)
    scan = read_picture(path)
    with Image.open(path) as lying:
        assert np.array_equal(scan.grey, np.asarray(ImageOps.exif_transpose(lying)))
    assert any("upright" in note for note in scan.notes) == (orientation != 1)


@pytest.mark.parametrize(
    ("dpi", "believed"),
    [(300, True), (200, True), (100, True), (600, True), (72, False), (96, False), (1, False), (9000, False)],
)
def test_a_resolution_is_believed_or_not(tmp_path: Path, dpi: int, believed: bool) -> None:
    scan = read_picture(saved(tmp_path, picture(), "a.jpg", dpi=(dpi, dpi)))
    if believed:
        assert scan.mm_per_px == pytest.approx(25.4 / dpi)  # 1 inch = 25.4 mm exactly (1959)
        assert scan.scale_source == f"{dpi} dpi, from the file"
    else:
        assert scan.mm_per_px is None
        assert f"{dpi}" in scan.scale_source
        assert "not believable" in scan.scale_source


def test_a_png_resolution_keeps_its_dpi(tmp_path: Path) -> None:
    # PNG's pHYs chunk holds whole pixels per metre: 300 dpi is 11811, which is 299.9994 dpi.
    scan = read_picture(saved(tmp_path, picture(), "a.png", dpi=(300, 300)))
    assert scan.mm_per_px == pytest.approx(1000 / 11811, rel=1e-5)
    assert scan.scale_source == "300 dpi, from the file"


def test_a_camera_knows_nothing_of_the_paper(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[271] = "Some Maker"  # tag 271, Make (Exif 2.3)
    scan = read_picture(saved(tmp_path, picture(), "a.jpg", dpi=(300, 300), exif=exif))
    assert scan.mm_per_px is None
    assert "camera" in scan.scale_source


def test_the_user_knows_better_than_the_file(tmp_path: Path) -> None:
    scan = read_picture(saved(tmp_path, picture(), "a.jpg", dpi=(72, 72)), Reading(dpi=150))
    assert scan.mm_per_px == pytest.approx(25.4 / 150)
    assert scan.scale_source == "150 dpi, as said"


def test_no_entry_at_all(tmp_path: Path) -> None:
    scan = read_picture(saved(tmp_path, picture(), "a.png"))
    assert (scan.mm_per_px, scan.scale_source) == (None, "unknown: the file says no resolution")


def test_the_first_of_many_pages_is_taken_and_said(tmp_path: Path) -> None:
    blank = Image.new("RGB", (60, 40), "white")
    scan = read_picture(saved(tmp_path, picture(), "a.tif", save_all=True, append_images=[blank, blank]))
    assert scan.grey.min() == 0
    assert "the first of 3 pages was taken" in scan.notes


def test_no_file(tmp_path: Path) -> None:
    with pytest.raises(ArtError, match=r"no file .*none\.png: check the name"):
        read_picture(tmp_path / "none.png")


def test_a_folder(tmp_path: Path) -> None:
    with pytest.raises(ArtError, match="is a folder: name the picture in it"):
        read_picture(tmp_path)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", r"is empty \(0 bytes\)"),
        (b"To whom it may concern", "no picture but seems to be text: name the picture"),
        (b"\x89PNG\r\n\x1a\n", "no picture|damaged"),
        (b"\xff\xd8\xff\xe0", "no picture|damaged"),
    ],
)
def test_files_that_hold_no_picture(tmp_path: Path, data: bytes, words: str) -> None:
    (tmp_path / "a.png").write_bytes(data)
    with pytest.raises(ArtError, match=words):
        read_picture(tmp_path / "a.png")


@pytest.mark.parametrize("quarter", [1, 2, 3])
@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.tif", "a.bmp", "a.webp"])
def test_files_cut_short(tmp_path: Path, name: str, quarter: int) -> None:
    noise = np.random.default_rng(1).integers(0, 256, (40, 60, 3), np.uint8)
    whole = saved(tmp_path, Image.fromarray(noise), name).read_bytes()
    (tmp_path / name).write_bytes(whole[: len(whole) * quarter // 4])
    with pytest.raises(ArtError, match=rf"{name} is (damaged or cut short|no picture)"):
        read_picture(tmp_path / name)


@pytest.mark.parametrize("size", [(1, 1), (15, 400), (400, 15)])
def test_too_small_to_follow(tmp_path: Path, size: tuple[int, int]) -> None:
    with pytest.raises(ArtError, match=rf"{size[0]} x {size[1]} pixels: at least 16 x 16"):
        read_picture(saved(tmp_path, Image.new("L", size), "a.png"))


def header_only(width: int, height: int) -> bytes:
    """A PNG (ISO/IEC 15948) that claims a size and holds no pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")


@pytest.mark.parametrize("size", [(12_000, 10_001), (60_000, 60_000), (2**31 - 1, 2**31 - 1)])
def test_absurd_sizes_are_refused_before_decoding(tmp_path: Path, size: tuple[int, int]) -> None:
    (tmp_path / "a.png").write_bytes(header_only(*size))
    with pytest.raises(ArtError, match=r"(million|million pixels).*save it smaller"):
        read_picture(tmp_path / "a.png")


@given(st.binary(max_size=80), st.integers(0, 300))
def test_spoilt_bytes_give_a_scan_or_an_art_error(
    tmp_path_factory: pytest.TempPathFactory, bad: bytes, at: int
) -> None:
    stream = io.BytesIO()
    picture("P").save(stream, "PNG")
    data = bytearray(stream.getvalue())
    data[at : at + len(bad)] = bad
    path = tmp_path_factory.getbasetemp() / "spoilt.png"
    path.write_bytes(bytes(data))
    try:
        assert read_picture(path).grey.dtype == np.uint8
    except ArtError as error:
        assert "spoilt.png" in str(error)  # noqa: PT017 - either outcome is right


@pytest.mark.parametrize(
    ("array", "middle"),
    [
        (np.full((20, 30), 128, np.uint8), 128),
        (np.full((20, 30), 0.5), 127),
        (np.full((20, 30), 0.5, np.float32), 127),
        (np.full((20, 30, 3), 0.5), 127),
        (np.full((20, 30), 32896, np.uint16), 128),
    ],
)
def test_arrays_of_any_depth(array: np.ndarray, middle: int) -> None:
    scan = scan_of(array, Reading(dpi=254))
    assert scan.grey.shape == (20, 30)
    assert scan.grey[0, 0] == middle
    assert (scan.colour is not None) == (array.ndim == 3)
    assert scan.mm_per_px == pytest.approx(0.1)


@pytest.mark.parametrize("shape", [(20,), (20, 30, 4), (20, 30, 2), (2, 20, 30, 3)])
def test_arrays_that_are_no_picture(shape: tuple[int, ...]) -> None:
    with pytest.raises(ArtError, match="is no picture"):
        scan_of(np.zeros(shape, np.uint8))


def test_arrays_without_resolution_or_size() -> None:
    assert scan_of(np.zeros((20, 30), np.uint8)).mm_per_px is None
    with pytest.raises(ArtError, match=r"5 x 4 pixels: at least 16"):
        scan_of(np.zeros((4, 5), np.uint8))
