"""Thresholds against scikit-image's own, on the pictures that ship with it (Otsu 1979)."""

from pathlib import Path

import cv2
import numpy as np
import pytest
import skimage
from skimage.filters import threshold_otsu

from tracer.raster.binarize import ink_mask
from tracer.raster.stretch import _otsu, histogram, stretched

SHIPPED = Path(str(skimage.__file__)).parent / "data"


def grey(name: str) -> np.ndarray:
    picture = cv2.imread(str(SHIPPED / f"{name}.png"), cv2.IMREAD_GRAYSCALE)
    assert picture is not None
    return np.asarray(picture, np.uint8)


@pytest.mark.parametrize("name", ["page", "text", "coins", "camera", "moon", "horse"])
def test_otsu_of_every_second_pixel_is_that_of_the_picture(name: str) -> None:
    found = _otsu(histogram(grey(name)))
    assert found == threshold_otsu(grey(name)[::2, ::2])
    # A quarter of the pixels, taken evenly, estimate the same histogram: a grey or two apart.
    assert found == pytest.approx(threshold_otsu(grey(name)), abs=2)


def test_ink_of_a_drawing_is_otsus() -> None:
    # A silhouette in two greys: whatever parts the two is between them for both.
    horse = grey("horse")
    assert np.array_equal(ink_mask(stretched(horse)) > 0, horse <= threshold_otsu(horse))


def test_ink_of_faded_lettering_is_otsus() -> None:
    # Faded to a fifth of its contrast, no pixel is darker than half the paper: the bound is Otsu's own.
    horse = grey("horse").astype(np.float32)
    faded = np.round(200 + horse / 5).astype(np.uint8)
    assert np.array_equal(ink_mask(stretched(faded)) > 0, faded <= threshold_otsu(faded))
