"""Odd and broken files, all by seed: each ends in strokes or in one sentence, soon, within bounds.

The files are those that Pillow's own encoders write (modes, depths, sizes, formats), cut short at each
quarter and with bytes turned round. A decoder may see anything in them; whoever brings one sees no traceback.
"""

from __future__ import annotations

import io
import sys
import time
import zlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

import tracer

SIZES = [(64, 48), (33, 97), (120, 17), (16, 16), (9, 40)]
"""Width and height, px; the last is smaller than what can be followed."""

MODES = ["1", "L", "LA", "P", "PA", "RGB", "RGBA", "RGBX", "CMYK", "YCbCr", "LAB", "HSV", "I", "I;16", "F"]
"""Pillow's modes (its documentation, "Concepts")."""

FORMATS: dict[str, list[dict[str, object]]] = {
    "PNG": [{}, {"bits": 2}, {"optimize": True}],
    "JPEG": [{"quality": 60}, {"progressive": True}],
    "JPEG2000": [{}],
    "TIFF": [{}, {"compression": "tiff_lzw"}, {"compression": "group4"}, {"compression": "jpeg"}],
    "GIF": [{}, {"interlace": False}],
    "WEBP": [{}, {"lossless": True}],
    "BMP": [{}],
    "PPM": [{}],
    "TGA": [{}, {"compression": "tga_rle"}],
    "PCX": [{}],
    "SGI": [{}],
    "ICO": [{}],
    "DDS": [{}],
    "PDF": [{}],
}

LONGEST = 20.0
"""Seconds for one file."""

MOST = 2_500_000_000
"""Bytes of memory that these files may take beside what the process holds before."""

LINUX = sys.platform == "linux"

FEWEST = 500
"""Files that have to be tried."""

tried: list[str] = []


@pytest.fixture(autouse=True, scope="module")
def little_memory() -> Iterator[None]:
    """Whoever asks for more than MOST gets none: an error that no test expects."""
    if not LINUX:
        yield
        return
    import resource

    pages = int(Path("/proc/self/statm").read_text().split()[0])  # the size in memory: proc(5)
    limits = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (pages * resource.getpagesize() + MOST, limits[1]))
    yield
    resource.setrlimit(resource.RLIMIT_AS, limits)


def drawing(size: tuple[int, int], rng: np.random.Generator) -> NDArray[np.uint8]:
    """A frame, a slanting line and some noise, black on white, (H, W, 4) with alpha."""
    width, height = size
    y, x = np.mgrid[0:height, 0:width]
    page = np.full((height, width, 4), 255, np.uint8)
    page[..., :3] -= rng.integers(0, 30, (height, width, 3), np.uint8)
    edge = np.minimum.reduce([x, y, width - 1 - x, height - 1 - y])
    ink = ((edge >= 3) & (edge < 5)) | (abs(x * height - y * width) < 1.5 * max(size))
    page[ink, :3] = rng.integers(0, 90, 3)
    page[..., 3] = np.where((x + y) % 11 == 0, rng.integers(0, 256), 255)
    return page


def in_mode(pixels: NDArray[np.uint8], mode: str) -> Image.Image:
    """The picture in one of Pillow's modes, with the depth it has."""
    image = Image.fromarray(pixels)
    grey = np.asarray(image.convert("L"))
    if mode == "I;16":
        return Image.fromarray(grey.astype(np.uint16) * 257)
    if mode == "I":
        return Image.fromarray(grey.astype(np.int32) * 257)
    if mode == "F":
        return Image.fromarray(grey.astype(np.float32) / 255)
    if mode == "LAB":
        return Image.merge("LAB", image.convert("RGB").split())
    if mode == "PA":
        return image.convert("P").convert("PA")
    if mode == "LA":
        return Image.merge("LA", (Image.fromarray(grey), image.getchannel("A")))
    return image.convert("RGB").convert(mode) if mode != "RGBA" else image


def encoded(image: Image.Image, kind: str, options: dict[str, object]) -> bytes | None:
    """The file, None where this format does not hold this mode."""
    store = io.BytesIO()
    try:
        image.save(store, kind, **options)
    except (OSError, ValueError, KeyError, TypeError, SystemError, RuntimeError):
        return None
    return store.getvalue()


def damaged(data: bytes, rng: np.random.Generator) -> list[tuple[str, bytes]]:
    """The file whole, cut at each quarter, and with bytes turned round, in its head and all over."""
    cuts = [(f"cut at {k}/4", data[: len(data) * k // 4]) for k in (1, 2, 3)]
    flips = []
    for reach, count in [(64, 1), (len(data), 1), (len(data), 12)]:
        broken = bytearray(data)
        for place in rng.integers(0, min(reach, len(data)), count):
            broken[place] ^= int(rng.integers(1, 256))
        flips.append((f"{count} of the first {reach} bytes", bytes(broken)))
    return [("whole", data), *cuts, *flips]


def settle(path: Path, case: str) -> None:
    """Trace the file: strokes, or one sentence."""
    start = time.monotonic()
    try:
        said = f"{len(tracer.trace(path).strokes)} strokes"
    except tracer.TracerError as error:
        said = str(error)
        assert "\n" not in said, case
        assert "Traceback" not in said, case
        assert said[0].isupper() or said.startswith(path.name), case
        assert said.rstrip().endswith("."), f"{case}: {said}"
        assert 20 < len(said) < 500, f"{case}: {said}"
    except Exception as error:  # noqa: BLE001 - told with its case
        pytest.fail(f"{case}: {type(error).__name__}: {error}")
    assert said != "0 strokes", case
    assert time.monotonic() - start < LONGEST, case
    tried.append(case)


@pytest.mark.parametrize("kind", FORMATS)
def test_each_file_ends_in_strokes_or_a_sentence(tmp_path: Path, kind: str) -> None:
    for mode in MODES:
        for k, options in enumerate(FORMATS[kind]):
            name = f"{kind} {mode} {options}"
            rng = np.random.default_rng(zlib.crc32(name.encode()))
            size = SIZES[int(rng.integers(len(SIZES)))]
            data = encoded(in_mode(drawing(size, rng), mode), kind, options)
            if data is None:
                continue
            for damage, broken in damaged(data, rng)[:: 1 if k == 0 else 3]:
                path = tmp_path / f"odd.{kind.lower()}"
                path.write_bytes(broken)
                settle(path, f"{name}, {size[0]} x {size[1]}, {damage}")


@pytest.mark.skipif(not LINUX, reason="the bound is set as Linux has it")
def test_memory_has_a_bound_here() -> None:
    with pytest.raises(MemoryError):
        np.ones(4 * MOST, np.uint8)  # what was let go before this file counts for it, too


def test_enough_files_were_tried() -> None:
    if not tried:
        pytest.skip("the files above were not tried")
    assert len(tried) >= FEWEST
