"""Every mode of Pillow's becomes the grey and colour that is meant, on white paper."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from tracer.art.modes import channels
from tracer.art.read import read_picture


def drawn(mode: str = "RGB", size: tuple[int, int] = (60, 300)) -> Image.Image:
    """A dark bar in each of three bands of rows, so that bands meet."""
    image = Image.new("RGB", size, "white")
    pen = ImageDraw.Draw(image)
    for top in (10, 120, 250):
        pen.rectangle((4, top, 30, top + 20), fill="black")
    return image.convert(mode)


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGB", "CMYK", "YCbCr", "LAB", "HSV", "RGBA", "LA", "RGBX"])
def test_modes_that_hold_grey_stay_grey(mode: str) -> None:
    if mode == "LAB":
        image = Image.merge("LAB", [drawn("L"), *[Image.new("L", (60, 300), 128)] * 2])
    else:
        image = drawn("L").convert(mode) if mode in ("LA", "1") else drawn(mode)
    (grey, colour), _ = channels(image)
    # LAB's lightness 0 and 255 are black and white whatever the curve between (CIE 1976).
    assert np.abs(grey.astype(int) - np.asarray(drawn("L"), int)).max() <= 1
    assert colour is None or (mode == "LAB" and np.ptp(colour, axis=2).max() <= 1)  # it rounds


def test_colour_that_begins_in_the_last_band_is_whole() -> None:
    image = drawn()
    image.putpixel((50, 299), (255, 0, 0))
    (grey, colour), _ = channels(image)
    assert colour is not None
    assert np.array_equal(colour, np.asarray(image))
    assert np.array_equal(grey, np.asarray(image.convert("L")))


@pytest.mark.parametrize("mode", ["I;16", "I;16B", "I", "F"])
def test_deep_modes_keep_their_depth(mode: str) -> None:
    # 128 x 257 = 32896: the exact ratio of 16 bits to eight.
    counts = np.full((300, 60), 65535, np.uint16)
    counts[::2] = 32896
    kinds = {"I;16": "<u2", "I;16B": ">u2", "I": "<i4", "F": "<f4"}
    image = Image.frombytes(mode, (60, 300), counts.astype(kinds[mode]).tobytes())
    (grey, colour), _ = channels(image)
    assert (grey[::2] == 128).all()
    assert (grey[1::2] == 255).all()
    assert colour is None


def test_twelve_bits_in_sixteen_are_not_night() -> None:
    counts = np.full((40, 60), 4095, np.uint16)
    counts[10] = 0
    (grey, _), _ = channels(Image.fromarray(counts))
    assert (grey.max(), grey.min()) == (255, 0)


def test_sixteen_bits_with_white_as_zero(tmp_path: Path) -> None:
    # TIFF 6.0, PhotometricInterpretation (262) 0: WhiteIsZero.
    counts = np.zeros((40, 60), np.uint16)
    counts[10] = 65535
    Image.fromarray(counts).save(tmp_path / "a.tif", tiffinfo={262: 0})
    grey = read_picture(tmp_path / "a.tif").grey
    assert (grey[0, 0], grey[10, 0]) == (255, 0)


def test_sixteen_bits_with_a_clear_value() -> None:
    counts = np.full((40, 60), 30000, np.uint16)
    counts[10] = 0
    image = Image.fromarray(counts)
    image.info["transparency"] = 30000  # PNG's tRNS chunk for grey: one value is clear
    (grey, _), _ = channels(image)
    assert (grey[0, 0], grey[10, 0]) == (255, 0)


def test_premultiplied_alpha() -> None:
    image = Image.new("La", (60, 40), (0, 0))
    image.paste((0, 255), (4, 4, 20, 20))
    (grey, _), _ = channels(image)
    assert (grey[0, 0], grey[10, 10]) == (255, 0)


@pytest.mark.parametrize("mode", ["PA", "LA"])
def test_alpha_beside_a_palette_or_grey(mode: str) -> None:
    alpha = Image.new("L", (60, 40), 0)
    alpha.paste(255, (4, 4, 20, 20))
    image = Image.merge(mode, (Image.new("P" if mode == "PA" else "L", (60, 40), 0), alpha))
    if mode == "PA":
        image.putpalette([0, 0, 0])
    (grey, colour), notes = channels(image)
    assert (grey[0, 0], grey[10, 10]) == (255, 0)
    assert colour is None
    assert notes == ["transparent parts were taken as white"]


def test_white_lines_on_nothing_are_ink() -> None:
    image = Image.new("RGBA", (60, 40), (255, 255, 255, 0))
    image.paste((255, 255, 255, 255), (4, 4, 20, 20))
    (grey, _), notes = channels(image)
    assert (grey[0, 0], grey[10, 10]) == (255, 0)
    assert notes == ["light lines on a transparent ground: what is opaque was taken as ink"]


def test_pale_lines_that_are_opaque_stay_pale() -> None:
    image = Image.new("RGBA", (60, 40), (255, 255, 255, 254))
    image.paste((220, 220, 220, 255), (4, 4, 20, 20))
    (grey, _), notes = channels(image)
    assert (grey[0, 0], grey[10, 10]) == (255, 220)
    assert notes == ["transparent parts were taken as white"]


@pytest.mark.parametrize("mode", ["RGBA", "LA"])
def test_nothing_is_said_of_a_channel_that_changes_nothing(mode: str) -> None:
    (grey, _), notes = channels(drawn("L").convert(mode))
    assert np.array_equal(grey, np.asarray(drawn("L")))
    assert notes == []


def test_an_alpha_channel_that_nobody_filled() -> None:
    image = drawn("RGBA")
    image.putalpha(0)
    (grey, _), notes = channels(image)
    assert np.array_equal(grey, np.asarray(drawn("L")))
    assert notes == ["all of it is transparent: that was ignored"]


@pytest.mark.parametrize("shrink", [2, 4])
@pytest.mark.parametrize("size", [(60, 300), (61, 301)])
def test_made_smaller_in_bands_as_in_one_piece(shrink: int, size: tuple[int, int]) -> None:
    image = drawn("RGB", size)
    image.putpixel((7, 280), (255, 0, 0))
    (grey, colour), _ = channels(image, shrink=shrink)
    assert colour is not None
    assert np.array_equal(colour, np.asarray(image.reduce(shrink)))
    assert grey.shape == colour.shape[:2]
