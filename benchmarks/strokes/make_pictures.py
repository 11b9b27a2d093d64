"""Pictures like those people bring, drawn from seeds: to tune on where there is no truth."""

import importlib
import shutil
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.strokes.art import digest
from benchmarks.strokes.pages import colouring_page
from benchmarks.strokes.painter import Sheet, curve, oval, wavering

Layer = NDArray[np.float32]
Rng = np.random.Generator

SAMPLES = Path(__file__).parents[2] / "sample_art"

FACES = {
    "caveat": ("fontpkg_caveat", "Caveat[wght].ttf"),
    "dancing": ("fontpkg_dancing_script", "DancingScript[wght].ttf"),
    "pacifico": ("fontpkg_pacifico", "Pacifico-Regular.ttf"),
    "amatic": ("font_amatic_sc", "AmaticSC-Bold.ttf"),
}
"""Open pen and brush faces (SIL Open Font License 1.1): the packages and files that hold them."""


def make_pictures(folder: Path) -> None:
    """Draw all pictures into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, draw in PICTURES.items():
        tones = draw(np.random.default_rng(digest(name)))
        whole = np.clip(np.round(tones), 0, 255).astype(np.uint8)
        quality = [cv2.IMWRITE_JPEG_QUALITY, 82] if name.endswith(".jpg") else []
        cv2.imwrite(str(folder / name), whole, quality)
    for name in ("boat-web.png", "owl-sketch.png"):
        shutil.copy(SAMPLES / name, folder / name)
    print(f"{len(PICTURES) + 2} pictures in {folder}")


def _page(pen: float, *, shaded: bool = False) -> Callable[[Rng], Layer]:
    """Return a way to draw a page to colour in."""
    return lambda rng: colouring_page(rng, pen, shaded=shaded).picture()


def _aliased(pen: float) -> Callable[[Rng], Layer]:
    """Return a way to draw a page without greys, as old web pictures are."""
    return lambda rng: np.where(colouring_page(rng, pen).picture() < 128, 0, 255).astype(np.float32)


def _font(face: str) -> Path:
    """Return the file of a face."""
    package, file = FACES[face]
    return Path(str(importlib.import_module(package).__file__)).parent / "files" / file


def _lettering(face: str, lines: tuple[str, str], size: float) -> Callable[[Rng], Layer]:
    """Return a way to write two lines."""

    def draw(_: Rng) -> Layer:
        sheet = Sheet(700, 360)
        for k, words in enumerate(lines):
            sheet.write(words, _font(face), size, (30, 140 + 160 * k))
        return sheet.picture()

    return draw


def _hollow(_: Rng) -> Layer:
    """Return letters whose outlines are drawn with a pen."""
    sheet = Sheet(700, 300)
    inside = sheet.letters("Larch Lane", _font("pacifico"), 130, (30, 190))
    rings = cv2.findContours(inside, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)[0]
    cv2.drawContours(sheet.tones, rings, -1, 0.0, 9)
    return sheet.picture()


def _ragged(rng: Rng) -> Layer:
    """Return a hand drawing with a dry felt pen: edges that fray, widths that change."""
    sheet = Sheet(640, 480)
    for line in _snail():
        hand = wavering(line, rng, 1.5, 25)
        sheet.line(hand, 5 + 1.6 * np.clip(rng.standard_normal(max(4, len(hand) // 8)), -2, 2))
    fray = cv2.GaussianBlur(rng.standard_normal(sheet.tones.shape).astype(np.float32), (0, 0), 3.5)
    edges = cv2.GaussianBlur(sheet.tones, (0, 0), 3.5)
    sheet.tones = np.where(edges + 0.12 * fray / fray.std() < 0.5, 0.1, 1.0).astype(np.float32)
    return sheet.picture()


def _faint(rng: Rng) -> Layer:
    """Return a pencil drawing: grey, thin, with the paper's tooth in it."""
    sheet = Sheet(640, 480)
    for line in _snail():
        sheet.line(wavering(line, rng, 2, 30), rng.uniform(1.4, 2.4, 6), 0.55)
    tooth = cv2.GaussianBlur(rng.standard_normal((480, 640)).astype(np.float32), (0, 0), 0.8)
    return sheet.picture() + np.float32(9) * tooth / tooth.std()


def _faint_beside_black(rng: Rng) -> Layer:
    """Return outlines in black with faint grey lines between them."""
    sheet = Sheet(640, 480)
    for k, line in enumerate(_snail()):
        hand = wavering(line, rng, 1, 30)
        sheet.line(hand, 4.0 if k % 2 == 0 else 2.2, 0.0 if k % 2 == 0 else 0.62)
    return sheet.picture()


def _snail() -> list[NDArray[np.float64]]:
    """Return the lines of a snail on a leaf, 640 x 480."""
    t = np.linspace(0.6, 6.2 * np.pi, 400)
    shell = np.column_stack([330 + 6.6 * t * np.cos(t), 210 + 6.6 * t * np.sin(t)])
    body = curve([(170, 330), (230, 352), (360, 356), (480, 348), (540, 290), (560, 230)])
    neck = curve([(560, 230), (545, 215), (520, 225), (500, 270), (452, 292)])
    horns = [curve([(550, 222), (556, 190), (572, 166)]), curve([(532, 218), (528, 188), (536, 160)])]
    leaf = curve([(60, 380), (180, 430), (340, 440), (520, 410), (610, 360)])
    veins = [curve([(x, 428), (x + 18, 408), (x + 26, 384)]) for x in (180, 260, 340, 420)]
    smile = curve([(535, 252), (545, 258), (555, 252)])
    return [shell, body, neck, *horns, leaf, *veins, smile, oval(574, 162, 5, 5), oval(536, 155, 5, 5)]


def _brush(rng: Rng) -> Layer:
    """Return reeds and birds in single brush strokes that swell from 1 to 14 pixels and taper off."""
    sheet = Sheet(640, 480)
    for x in rng.uniform(40, 600, 11):
        bend, top = rng.uniform(-60, 60), rng.uniform(60, 220)
        reed = curve([(x, 470), (x + bend / 4, (470 + top) / 2), (x + bend, top)])
        sheet.line(reed, np.array([2, rng.uniform(7, 14), rng.uniform(4, 9), 1]))
    for x, y in ((120, 60), (330, 44), (500, 90)):
        for side in (-1, 1):
            wing = curve([(x, y), (x + side * 22, y - 20), (x + side * 48, y - 6)])
            sheet.line(wing, np.array([2, 6, 1]))
    return sheet.picture()


def _comic(rng: Rng) -> Layer:
    """Return round forms whose outlines are thick below and thin above."""
    sheet = Sheet(640, 480)
    for x, y, r in ((180, 300, 120), (400, 260, 150), (320, 380, 70), (540, 390, 50)):
        ring = wavering(oval(x, y, r, 0.85 * r)[:-1], rng, 1.0, 40)
        ring = np.vstack([ring, ring[:1]])
        swell = np.interp(ring[:, 1], [y - r, y + r], [1.5, 11])
        sheet.fill(ring, 1.0)
        sheet.line(ring, swell)
        sheet.line(
            curve([(x - r / 3, y - r / 4), (x, y - r / 2.4), (x + r / 3, y - r / 4)]), np.array([1, 5, 1])
        )
    return sheet.picture()


def _mixed(thick: float) -> Callable[[Rng], Layer]:
    """Return a way to draw hairlines beside and up to outlines `thick` wide."""

    def draw(rng: Rng) -> Layer:
        sheet = Sheet(640, 480)
        for x in np.arange(140, 520, 24):
            sheet.line(curve([(x, 110), (x + rng.uniform(-8, 8), 240), (x + 10, 370)]), 1.0)
        for y in (180, 300):
            sheet.line(curve([(100, y), (320, y + 16), (540, y - 6)]), 2.5)
        frame = [(90, 110), (320, 84), (550, 110), (560, 240), (540, 380), (320, 396), (100, 380), (84, 240)]
        sheet.line(curve(frame, closed=True), thick)
        sheet.line(curve([(40, 440), (200, 420), (420, 450), (600, 430)]), np.array([thick, 1.0]))
        return sheet.picture()

    return draw


def _silhouette(_: Rng) -> Layer:
    """Return a solid bird with holes and fine legs."""
    sheet = Sheet(600, 480)
    back = [(80, 230), (170, 160), (300, 150), (380, 90), (440, 80), (480, 120), (540, 130), (480, 150)]
    belly = [(450, 220), (390, 300), (280, 330), (180, 310), (120, 270), (20, 300), (40, 250)]
    sheet.fill(curve(back + belly, closed=True))
    sheet.fill(oval(448, 112, 9, 9), 1.0)
    for k in range(4):
        sheet.fill(oval(200 + 45 * k, 236 + 6 * k, 16, 6, 0.3), 1.0)
    for x in (250, 310):
        sheet.line(np.array([(x, 320), (x + 6, 420)], float), 3.0)
        for lean in (-22, 0, 24):
            sheet.line(np.array([(x + 6, 420), (x + 6 + lean, 438)], float), 2.0)
    return sheet.picture()


def _hatched(rng: Rng) -> Layer:
    """Return a jug with a shadow of crossing hatches that end near its outline."""
    sheet = Sheet(520, 480)
    side = curve([(180, 90), (150, 180), (120, 290), (170, 400), (260, 412), (350, 400), (400, 290)])
    sheet.line(np.vstack([side, curve([(400, 290), (370, 180), (340, 90)])]), 3.0)
    sheet.line(oval(260, 90, 80, 18), 3.0)
    sheet.line(curve([(366, 170), (440, 170), (450, 260), (398, 300)]), 3.0)
    for k, slope in ((0, 1.0), (1, -0.7)):
        for x in np.arange(268, 372 - 20 * k, 9):
            low, high = 300 - 60 * k, 372
            top = np.array([x, low + rng.uniform(-6, 6)])
            sheet.line(np.array([top, (x + slope * (high - low) / 4, high + rng.uniform(-8, 4))]), 1.3)
    return sheet.picture()


PICTURES: dict[str, Callable[[Rng], Layer]] = {
    "page-hair.png": _page(1.5),
    "page-fine.jpg": _page(2.0),
    "page-medium.jpg": _page(3.0),
    "page-marker.png": _page(4.5),
    "page-thick.jpg": _page(6.0),
    "page-fat.png": _page(8.0),
    "page-aliased.png": _aliased(3.0),
    "page-shaded.jpg": _page(3.0, shaded=True),
    "letters-pen.png": _lettering("caveat", ("Mette's pencils", "keep out, Bram!"), 110),
    "letters-script.jpg": _lettering("dancing", ("Good night, hare", "sweet dreams"), 96),
    "letters-brush.png": _lettering("pacifico", ("Larch Lane", "the workshop"), 104),
    "letters-hand.png": _lettering("amatic", ("THE LITTLE SHED", "tools & biscuits"), 130),
    "letters-hollow.png": _hollow,
    "hand-ragged.png": _ragged,
    "hand-faint.jpg": _faint,
    "hand-faint-and-black.png": _faint_beside_black,
    "brush-reeds.png": _brush,
    "comic-outline.png": _comic,
    "pens-mixed-20.png": _mixed(20.0),
    "pens-mixed-8.jpg": _mixed(8.0),
    "silhouette.png": _silhouette,
    "hatched.png": _hatched,
}
"""File names, and how each is drawn."""
