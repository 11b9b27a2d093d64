"""Pages of picture files, and pictures too large, refused or made smaller before they are decoded."""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tracer.art import admit
from tracer.art.read import read_picture
from tracer.errors import ArtError
from tracer.reading import Known, Reading


def leaf(number: int) -> Image.Image:
    """A page told by its grey."""
    return Image.new("L", (60, 40), 50 * number)


@pytest.mark.parametrize("name", ["a.tif", "a.gif", "a.webp", "a.png"])
@pytest.mark.parametrize("page", [1, 2, 3])
def test_each_page(tmp_path: Path, name: str, page: int) -> None:
    options = {"a.webp": {"lossless": True}}.get(name, {})
    leaf(1).save(tmp_path / name, save_all=True, append_images=[leaf(2), leaf(3)], **options)
    scan = read_picture(tmp_path / name, Reading(page=page))
    assert np.abs(scan.grey.astype(int) - 50 * page).max() <= 1
    assert scan.notes[0] == ("the first of 3 pages was taken" if page == 1 else f"page {page} of 3 was taken")


@pytest.mark.parametrize("count", [1, 3])
def test_a_page_that_is_not_there(tmp_path: Path, count: int) -> None:
    leaf(1).save(tmp_path / "a.tif", save_all=True, append_images=[leaf(2)] * (count - 1))
    has = "holds one picture only" if count == 1 else "has 3 pages"
    with pytest.raises(ArtError, match=f"a.tif {has}: there is no page 4"):
        read_picture(tmp_path / "a.tif", Reading(page=4))


def test_each_page_is_turned_by_its_own_entry(tmp_path: Path) -> None:
    with TiffWriter() as tiff:
        tiff.add(leaf(1), 1)
        tiff.add(leaf(2), 6)
        (tmp_path / "a.tif").write_bytes(tiff.data)
    assert read_picture(tmp_path / "a.tif").grey.shape == (40, 60)
    assert read_picture(tmp_path / "a.tif", Reading(page=2)).grey.shape == (60, 40)


class TiffWriter:
    """Several pages with their own orientations, by Pillow's appending writer."""

    def __enter__(self) -> "TiffWriter":
        from PIL.TiffImagePlugin import AppendingTiffWriter

        self._stream = io.BytesIO()
        self._writer = AppendingTiffWriter(self._stream, new=True)
        return self

    def add(self, image: Image.Image, turn: int) -> None:
        image.save(self._writer, "TIFF", tiffinfo={274: turn})
        self._writer.newFrame()

    @property
    def data(self) -> bytes:
        return self._stream.getvalue()

    def __exit__(self, *_: object) -> None:
        pass


def test_a_frame_too_late_to_reach(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    leaf(1).save(tmp_path / "a.gif", save_all=True, append_images=[leaf(2), leaf(3)])
    monkeypatch.setattr(admit, "MOST_REPLAYED", 60 * 40 * 2)
    assert read_picture(tmp_path / "a.gif", Reading(page=2)).grey[0, 0] == 100
    with pytest.raises(ArtError, match=r"Page 3 of a\.gif comes after too many others of 60 x 40 pixels"):
        read_picture(tmp_path / "a.gif", Reading(page=3))


def bars() -> Image.Image:
    """Black bars of 16 pixels, in red on the right."""
    pixels = np.full((640, 480, 3), 255, np.uint8)
    pixels[np.arange(640) // 16 % 2 == 1] = 0
    pixels[:, 320:, 0] = 255
    return Image.fromarray(pixels)


@pytest.mark.parametrize(("name", "options"), [("a.jpg", {"quality": 95}), ("a.png", {})])
@pytest.mark.parametrize("factor", [1, 2, 4])
def test_large_pictures_are_made_smaller(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, options: dict[str, int], factor: int
) -> None:
    bars().save(tmp_path / name, dpi=(600, 600), **options)
    monkeypatch.setattr(admit, "KEPT", 480 * 640 // factor**2)
    scan = read_picture(tmp_path / name)
    assert scan.grey.shape == (640 // factor, 480 // factor)
    assert scan.mm_per_px == pytest.approx(25.4 * factor / 600, rel=1e-5)
    wanted = np.asarray(bars().reduce(factor), int)
    assert scan.colour is not None
    assert np.abs(scan.colour.astype(int) - wanted)[:, : 300 // factor].max() <= 12
    assert any(f"made {factor} times smaller" in note for note in scan.notes) == (factor > 1)


def test_places_in_a_picture_made_smaller_are_those_of_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bars().save(tmp_path / "a.png")
    monkeypatch.setattr(admit, "KEPT", 480 * 640 // 4)
    known = Known((40, 600), (440, 600), 100.0)
    scan = read_picture(tmp_path / "a.png", Reading(known=known))
    assert scan.mm_per_px == pytest.approx(0.5)  # 100 mm on 400 px of the file, 200 of those read
    assert scan.shrunk == 2
    assert read_picture(tmp_path / "a.png", Reading(art_width=48.0)).mm_per_px == pytest.approx(0.2)
    assert read_picture(tmp_path / "a.png", Reading(dpi=254.0)).mm_per_px == pytest.approx(0.2)


def test_jpeg_2000_is_decoded_smaller(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bars().save(tmp_path / "a.jp2")
    monkeypatch.setattr(admit, "KEPT_WHERE_DEAR", 480 * 640 // 4)
    scan = read_picture(tmp_path / "a.jp2", Reading(dpi=300.0))
    assert scan.grey.shape == (320, 240)
    assert scan.mm_per_px == pytest.approx(25.4 / 150)
    assert np.abs(scan.grey.astype(int) - np.asarray(bars().reduce(2).convert("L"), int))[:, :150].mean() < 12


def test_pages_are_not_counted_without_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    leaf(1).save(tmp_path / "a.tif", save_all=True, append_images=[leaf(2), leaf(3), leaf(4)])
    monkeypatch.setattr("tracer.art.pages.MOST_PAGES", 2)
    assert read_picture(tmp_path / "a.tif", Reading(page=2)).grey[0, 0] == 100
    with pytest.raises(ArtError, match=r"Page 3 of a\.tif is too far on: up to 2 pages are gone to"):
        read_picture(tmp_path / "a.tif", Reading(page=3))


def test_a_broken_last_page_does_not_spoil_the_first(tmp_path: Path) -> None:
    leaf(1).save(tmp_path / "a.tif", save_all=True, append_images=[leaf(2)])
    data = bytearray((tmp_path / "a.tif").read_bytes())
    with Image.open(io.BytesIO(bytes(data))) as image:
        image.seek(1)
        at = image._frame_pos[1]  # type: ignore[attr-defined]
    del data[at + 20 :]
    (tmp_path / "a.tif").write_bytes(bytes(data))
    assert read_picture(tmp_path / "a.tif").grey[0, 0] == 50


def test_what_telephones_put_beside_a_photo_is_no_page(tmp_path: Path) -> None:
    leaf(1).save(tmp_path / "a.jpg", "MPO", save_all=True, append_images=[leaf(2)])
    assert read_picture(tmp_path / "a.jpg").notes == ()
    with pytest.raises(ArtError, match="holds one picture only"):
        read_picture(tmp_path / "a.jpg", Reading(page=2))


def jpeg_claiming(width: int, height: int, *, progressive: bool = False) -> bytes:
    """A small JPEG whose frame header (ITU-T T.81, B.2.2) claims another size."""
    with io.BytesIO() as stream:
        Image.new("L", (16, 16), 255).save(stream, "JPEG", progressive=progressive)
        data = bytearray(stream.getvalue())
    at = data.index(b"\xff\xc2" if progressive else b"\xff\xc0")
    data[at + 5 : at + 9] = height.to_bytes(2, "big") + width.to_bytes(2, "big")
    return bytes(data)


@pytest.mark.parametrize(
    ("size", "progressive"), [((60_000, 60_000), False), ((30_000, 20_000), False), ((12_000, 12_000), True)]
)
def test_jpegs_that_claim_too_much(tmp_path: Path, size: tuple[int, int], progressive: bool) -> None:
    (tmp_path / "a.jpg").write_bytes(jpeg_claiming(*size, progressive=progressive))
    with pytest.raises(ArtError, match=rf"{size[0]} x {size[1]} pixels, .* save it smaller"):
        read_picture(tmp_path / "a.jpg")
