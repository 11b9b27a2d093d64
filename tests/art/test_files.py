"""A file is opened, or one sentence says why not."""

import os
import threading
from pathlib import Path

import pytest
from PIL import Image

from tracer.art.read import read_picture
from tracer.errors import ArtError


def test_a_device_is_not_waited_for() -> None:
    with pytest.raises(ArtError, match="is a device, not a file"):
        read_picture(Path("/dev/zero"))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_is_read(tmp_path: Path) -> None:
    Image.new("L", (40, 30), 7).save(tmp_path / "a.png")
    os.mkfifo(tmp_path / "pipe")
    data = (tmp_path / "a.png").read_bytes()
    writer = threading.Thread(target=lambda: (tmp_path / "pipe").write_bytes(data))
    writer.start()
    scan = read_picture(tmp_path / "pipe")
    writer.join()
    assert scan.grey.max() == 7
    assert scan.sha256 == read_picture(tmp_path / "a.png").sha256


def test_a_file_too_large_is_not_begun(tmp_path: Path) -> None:
    with (tmp_path / "a.tif").open("wb") as file:
        file.truncate(3_000_000_000)  # a hole: no room on the disk is taken
    with pytest.raises(ArtError, match=r"holds 3\.0 GB, up to 1\.5 are read"):
        read_picture(tmp_path / "a.tif")


def test_a_name_that_cannot_be(tmp_path: Path) -> None:
    with pytest.raises(ArtError, match="cannot be the name of a file"):
        read_picture(tmp_path / "a\0.png")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read anything")
def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(b"x")
    (tmp_path / "a.png").chmod(0)
    with pytest.raises(ArtError, match="cannot be read"):
        read_picture(tmp_path / "a.png")


@pytest.mark.parametrize("size", [(32_001, 20), (20, 32_001)])
def test_strips_longer_than_the_samplers_count_are_refused(tmp_path: Path, size: tuple[int, int]) -> None:
    # Coordinates of OpenCV's remap are short integers: 32 767 at most (its documentation, "Geometric Image
    # Transformations").
    Image.new("L", size, 255).save(tmp_path / "strip.png")
    with pytest.raises(ArtError, match=r"up to 32000 a side are read; cut it into shorter ones\."):
        read_picture(tmp_path / "strip.png")
