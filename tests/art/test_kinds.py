"""What is no picture is called what it is, by its first bytes, whatever its name."""

import io
import zipfile
from pathlib import Path

import pytest
from PIL import Image

from tracer.art.kinds import is_heic, is_pdf
from tracer.art.read import read_picture
from tracer.errors import ArtError


def zipped(*names: str) -> bytes:
    with io.BytesIO() as stream:
        with zipfile.ZipFile(stream, "w") as archive:
            for name in names:
                archive.writestr(name, "x")
        return stream.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\0\0\0\x20ftypisom\0\0\2\0isomiso2", "a video: save one still picture"),
        (b"\0\0\0\x14ftypqt  \0\0\0\0", "a video"),
        (b"\x1a\x45\xdf\xa3\x01\0\0\0", "a video"),
        (b"RIFF\x10\0\0\0AVI LIST", "a video"),
        (b"RIFF\x10\0\0\0WAVEfmt ", "a sound recording"),
        (b"\0\1\0\0\0\x0f\0\x80\0\3\0\x70", "a font: write the words"),
        (b"OTTO\0\x0b\0\x80", "a font"),
        (b"wOF2\0\1\0\0", "a font"),
        (zipped("[Content_Types].xml", "word/document.xml"), "an office document: save or print"),
        (zipped("picture.png"), "an archive of files: unpack"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "an office document"),
        (b"{\\rtf1\\ansi hello}", "an office document"),
        (b"<!DOCTYPE html><html><body>", "a web page, not the picture on it: save the picture"),
        (b"\xef\xbb\xbf\r\n<html lang='en'>", "a web page"),
        (b"MZ\x90\0\3\0", "a program"),
        (b"\x7fELF\2\1\1", "a program"),
        (b"Dear Aunt,\nhere is the picture.", "text: name the picture"),
        ("Kære tante, her er billedet.".encode("utf-16"), "text"),
        (
            b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"/>',
            "an SVG drawing: save it as a file",
        ),
    ],
)
def test_strangers(tmp_path: Path, data: bytes, words: str) -> None:
    (tmp_path / "a.png").write_bytes(data)
    with pytest.raises(ArtError, match=f"a.png is no picture but seems to be {words}"):
        read_picture(tmp_path / "a.png")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "PostScript, which cannot .*: save it as PDF"),
        (b"II*\0\x10\0\0\0CR\2\0" + bytes(90), "a camera's raw picture, which .*: save it as JPEG"),
        (b"\0\0\0\x18ftypcrx \0\0\0\1", "a camera's raw picture"),
        (b"\0\0\0\x0cJXL \r\n\x87\n", "JPEG XL"),
        (b"gimp xcf v011\0", "a painting with its layers"),
    ],
)
def test_pictures_of_other_kinds(tmp_path: Path, data: bytes, words: str) -> None:
    (tmp_path / "a.png").write_bytes(data)
    with pytest.raises(ArtError, match=f"a.png seems to be {words}"):
        read_picture(tmp_path / "a.png")


def test_a_raw_picture_is_not_taken_for_its_thumbnail(tmp_path: Path) -> None:
    # TIFF/EP: the first page of a raw picture is a small one (NewSubfileType 1), the others hang on it.
    Image.new("L", (160, 120), 99).save(tmp_path / "a.tif", tiffinfo={254: 1, 330: 8})
    with pytest.raises(ArtError, match="a camera's raw picture"):
        read_picture(tmp_path / "a.tif")


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "GIF", "TIFF", "WebP", "BMP", "AVIF"])
def test_a_picture_whose_beginning_is_all_there_is(tmp_path: Path, kind: str) -> None:
    Image.init()
    if kind.upper() not in Image.SAVE:
        pytest.skip("this Pillow writes no AVIF")
    Image.effect_noise((200, 100), 90).convert("RGB").save(tmp_path / "whole", kind)
    (tmp_path / "a.png").write_bytes((tmp_path / "whole").read_bytes()[:14])
    with pytest.raises(ArtError, match=f"a.png (begins like a {kind} picture but )?is damaged or cut"):
        read_picture(tmp_path / "a.png")


def test_nobody_knows(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(bytes(range(128, 256)) * 9)
    with pytest.raises(ArtError, match=r"no picture that can be read here: PNG, JPEG, .* PDF and SVG are"):
        read_picture(tmp_path / "a.png")


def test_the_kinds_with_readers_of_their_own() -> None:
    assert is_pdf(b"%PDF-1.7\n")
    assert is_pdf(b"\0\r\nsent by mail %PDF-1.4")
    assert not is_pdf(b"\x89PNG\r\n\x1a\n")
    assert not is_pdf(b"\x89PNG\r\n\x1a\n made from %PDF-1.7")
    assert is_heic(b"\0\0\0\x18ftypheic")
    assert not is_heic(b"\0\0\0\x18ftypavif")
