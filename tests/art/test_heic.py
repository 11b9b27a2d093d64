"""HEIC pictures, as telephones write them."""

import sys
from pathlib import Path

import pytest

from tracer.art.read import read_picture
from tracer.errors import ArtError


def test_without_the_extra_a_heic_picture_is_refused_with_the_remedy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    picture = tmp_path / "page.heic"
    picture.write_bytes(b"\0\0\0\x18ftypheic" + bytes(64))
    with pytest.raises(ArtError, match=r"HEIC picture.*\.\[heic\]"):
        read_picture(picture)


def test_with_the_extra_it_is_read(tmp_path: Path) -> None:
    heif = pytest.importorskip("pillow_heif", reason="the extra [heic] is not installed")
    image = pytest.importorskip("PIL.Image")
    heif.register_heif_opener()
    image.new("L", (64, 48), 200).save(tmp_path / "page.heic")
    scan = read_picture(tmp_path / "page.heic")
    assert scan.grey.shape == (48, 64)
    assert abs(int(scan.grey.mean()) - 200) <= 2
