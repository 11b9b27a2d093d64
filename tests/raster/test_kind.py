"""Photographs and pages of text are refused with a reason; drawings, however filled, are not."""

from pathlib import Path

import cv2
import numpy as np
import pytest
import skimage
from pen import Page

from tracer.art.read import read_picture, scan_of
from tracer.errors import ArtError
from tracer.raster.ink import find_ink
from tracer.reading import Reading

SHIPPED = Path(str(skimage.__file__)).parent / "data"
"""Pictures that come with scikit-image: photographs, a page of text, a silhouette."""

PHOTOS = ["astronaut", "camera", "chelsea", "coffee", "coins", "grass", "gravel", "ihc", "moon"]


@pytest.mark.parametrize("name", PHOTOS)
def test_a_photograph_is_refused(name: str) -> None:
    with pytest.raises(ArtError, match=rf"{name}\.png looks like a photograph .* --insist"):
        find_ink(read_picture(SHIPPED / f"{name}.png"))


def test_a_page_of_text_is_refused() -> None:
    with pytest.raises(ArtError, match=r"looks like a page of text: about \d+ marks .* in \d+ rows"):
        find_ink(read_picture(SHIPPED / "page.png"))


@pytest.mark.parametrize("name", ["page", "camera"])
def test_who_insists_has_it_followed(name: str) -> None:
    assert find_ink(read_picture(SHIPPED / f"{name}.png"), Reading(insist=True)).skeleton.any()


def test_noise_is_refused() -> None:
    noise = np.random.default_rng(7).choice(np.array([0, 255], np.uint8), (500, 500))
    with pytest.raises(ArtError, match="is noise: 50% of all pixels"):
        find_ink(scan_of(noise))


def test_a_drawing_under_a_lamp_that_falls_off_is_none() -> None:
    lamp = np.tile(np.linspace(0.3, 1.0, 600), (420, 1))
    assert find_ink(scan_of((drawing() * lamp).astype(np.uint8))).line.any()


def test_a_silhouette_is_none() -> None:
    assert find_ink(read_picture(SHIPPED / "horse.png")).solid.any()


def drawing() -> np.ndarray:
    page = Page(600, 420).line((40, 300), (560, 300))
    page.line((60, 60), (250, 60), (250, 250), (60, 250), (60, 60))
    return page.line((330, 80), (540, 80), (520, 260), (340, 260), (330, 80)).grey


@pytest.mark.parametrize("fill", [40, 90, 150, 210])
def test_flat_fills_between_lines_are_no_photograph(fill: int) -> None:
    grey = drawing()
    paper = (grey > 250).astype(np.uint8)
    for seed in ((150, 150), (430, 150), (10, 10)):
        cv2.floodFill(paper, None, seed, 2)
    filled = np.where(paper == 2, fill, grey).astype(np.uint8)
    assert find_ink(scan_of(filled)).line.any()


@pytest.mark.parametrize("wax", [(40, 60, 160), (90, 40, 120), (110, 60, 30), (20, 90, 60)])
def test_dark_colouring_over_the_lines_is_no_photograph(wax: tuple[int, int, int]) -> None:
    page = np.repeat(drawing()[..., None], 3, axis=2).astype(float)
    cover = np.zeros(page.shape[:2])
    cv2.fillPoly(cover, [np.array([(40, 70), (270, 40), (560, 90), (530, 330), (60, 280)])], 1.0)
    waxed = page * (1 - cover[..., None] * (1 - np.array(wax) / 255))
    assert find_ink(scan_of(waxed.astype(np.uint8))).line.any()


def test_a_shaded_drawing_on_white_paper_is_refused() -> None:
    y, x = np.mgrid[:420, :600]
    grey = np.full((420, 600), 255.0)
    for across in range(80, 560, 90):
        for down in range(75, 400, 90):  # balls of 35 pixels' radius, lit from the left
            inside = np.hypot(x - across, y - down) < 35
            grey = np.where(inside, 150 - 2 * (x - across), grey)
    with pytest.raises(ArtError, match="shaded picture"):
        find_ink(scan_of(grey.astype(np.uint8)))


def test_a_sign_of_few_words_is_no_text() -> None:
    grey = np.full((500, 900), 255, np.uint8)
    for row, words in enumerate(("KEEP OUT", "of the", "OLD SHED", "please")):
        cv2.putText(grey, words, (60, 110 + 110 * row), cv2.FONT_HERSHEY_DUPLEX, 2.6, 0, 6, cv2.LINE_AA)
    assert find_ink(scan_of(grey)).line.any()


def test_a_drawing_over_a_few_rows_of_text_is_no_text() -> None:
    grey = np.full((900, 900), 255, np.uint8)
    cv2.ellipse(grey, (450, 330), (330, 260), 0, 0, 360, 0, 14, cv2.LINE_AA)
    cv2.line(grey, (200, 200), (700, 500), 0, 14, cv2.LINE_AA)
    for row in range(5):
        text = "a mole sat by the old green door at noon"
        cv2.putText(grey, text, (60, 690 + 40 * row), cv2.FONT_HERSHEY_SIMPLEX, 0.9, 0, 2, cv2.LINE_AA)
    assert find_ink(scan_of(grey)).line.any()


def test_dust_is_no_text() -> None:
    rng = np.random.default_rng(5)
    grey = drawing()
    for x, y in rng.uniform((5, 5), (595, 415), (400, 2)):
        cv2.circle(grey, (round(x), round(y)), 2, 0, -1)
    assert find_ink(scan_of(grey)).line.any()
