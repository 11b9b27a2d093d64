"""What people bring: each level turns a drawing into a picture, seeded by the drawing's name."""

import io
from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from benchmarks.raster.colouring import DARK_WAX, HEAVY_WAX, LIGHT_WAX, Wax, crayoned, felted, patches, washed
from benchmarks.raster.marks import FIBRE_TIP, copied, felt_drawn, pencilled, written
from benchmarks.raster.paper import clouds, dense, printed, scanned
from benchmarks.raster.photo import photographed
from benchmarks.raster.sheet import DPI, Aged, coverage, placed, scanner_frame
from benchmarks.raster.stocks import folded, ruled, screened, shone_through
from benchmarks.strokes import degrade
from benchmarks.strokes.art import Art, digest
from benchmarks.strokes.degrade import INCH, QUALITY, shoot
from benchmarks.strokes.sources import drawings

Layer = NDArray[np.float32]
Maker = Callable[[Art, np.random.Generator], Aged]
Sheet = Callable[[Layer, Art, np.random.Generator], Layer]

WEB = 600
"""Pixels across a picture from the web."""

PENCIL = (0.5, 0.9)
"""mm: widths of pencil lines."""

BALLPOINT = (0.35, 0.6)
"""mm: widths of ballpoint lines."""

FAINT = (0.18, 0.4)
"""Optical density of faint lines beside black ones."""

PER_MM = DPI / INCH

SEEN_PER_MM = 9.5
"""Pixels a mm in the middle of the sheet in a photograph: it fills most of the frame."""


def aged(art: Art, name: str) -> Aged:
    """Return a drawing's picture at the level called `name`."""
    return LEVELS[name](art, np.random.default_rng(digest(f"{art.name} {name}")))


def _as_before(name: str) -> Maker:
    """Return a level of the strokes' benchmark."""

    def make(art: Art, _: np.random.Generator) -> Aged:
        shot = shoot(art, degrade.LEVELS[name])
        return Aged(art, placed(shot.pixels, shot), DPI)

    return make


def _from_scanner(sheet: Sheet, pens: tuple[float, float] | None = None) -> Maker:
    """Return a level in which a sheet, light (H, W, 3) of the coverage with ink (H, W), is scanned."""

    def make(art: Art, rng: np.random.Generator) -> Aged:
        art = art if pens is None else replace(art, pen=float(rng.uniform(*pens)))
        shot = scanner_frame(art)
        light = sheet(coverage(art, shot), art, rng)
        return Aged(art, placed(scanned(light, rng), shot), DPI, QUALITY)

    return make


def _crayon(wax: Wax) -> Maker:
    """Return a level coloured in with wax."""
    return _from_scanner(lambda cover, _, rng: crayoned(printed(cover), cover, wax, rng, PER_MM))


def _evening(art: Art, rng: np.random.Generator) -> Aged:
    """A half-coloured page, photographed on a table."""
    wax = LIGHT_WAX if rng.random() < 0.5 else HEAVY_WAX
    return photographed(art, rng, drawn=lambda cover: crayoned(printed(cover), cover, wax, rng, SEEN_PER_MM))


def _sketched(art: Art, rng: np.random.Generator) -> Aged:
    """A pencil drawing, photographed likewise."""
    art = replace(art, pen=float(rng.uniform(*PENCIL)))
    return photographed(art, rng, drawn=lambda cover: pencilled(cover, rng, SEEN_PER_MM))


def _felt(cover: Layer, _: Art, rng: np.random.Generator) -> Layer:
    return felted(printed(cover), cover, rng, PER_MM)


def _wash(cover: Layer, _: Art, rng: np.random.Generator) -> Layer:
    return washed(printed(cover), cover, rng, PER_MM)


def _ruling(*, squared: bool) -> Sheet:
    def sheet(cover: Layer, art: Art, rng: np.random.Generator) -> Layer:
        return printed(cover) * ruled(cover.shape, rng, scanner_frame(art), squared=squared)

    return sheet


def _fold(cover: Layer, _: Art, rng: np.random.Generator) -> Layer:
    return printed(cover) * folded(cover.shape, rng, PER_MM)


def _through(cover: Layer, art: Art, rng: np.random.Generator) -> Layer:
    others = [other for other in drawings(art.kind, ("tune",)) if other.name != art.name]
    other = others[rng.integers(len(others))]
    return printed(cover) * shone_through(other, cover.shape, rng, scanner_frame(art))


def _halftone(cover: Layer, _: Art, rng: np.random.Generator) -> Layer:
    """Screened areas between the lines, or the whole paper screened pale."""
    if rng.random() < 0.3:
        tone = np.full(cover.shape, rng.uniform(0.05, 0.2), np.float32)
    else:
        tone = np.zeros(cover.shape, np.float32)
        for patch in patches(cover, rng, PER_MM, 4):
            area = cv2.resize(patch.astype(np.float32), cover.shape[::-1], interpolation=cv2.INTER_LINEAR)
            tone = np.where(area > 0.5, np.float32(rng.uniform(0.1, 0.4)), tone)
    return printed(np.maximum(cover, screened(tone, rng, PER_MM)))


def _pencil(cover: Layer, _: Art, rng: np.random.Generator) -> Layer:
    return pencilled(cover, rng, PER_MM)


def _ballpoint(cover: Layer, _: Art, rng: np.random.Generator) -> Layer:
    return written(cover, rng, PER_MM)


def _bleed(cover: Layer, art: Art, rng: np.random.Generator) -> Layer:
    """A felt pen on soft paper."""
    page = placed(np.zeros((1, 1), np.uint8), scanner_frame(art))
    ends = page.to_pixels(np.concatenate([line.points[[0, -1]] for line in art.lines]))
    return felt_drawn(cover, ends, art.pen, rng, PER_MM)


def _coloured(cover: Layer, art: Art, rng: np.random.Generator) -> Layer:
    """Each stroke in one of a few felt pens, and nothing coloured in."""
    pens = [FIBRE_TIP[k] for k in rng.permutation(len(FIBRE_TIP))[: rng.integers(1, 4)]]
    light = printed(np.zeros_like(cover))
    for pen, paths in zip(pens, _dealt(art, len(pens), rng), strict=True):
        light = light * dense(coverage(replace(art, paths=paths), scanner_frame(art)), pen)
    return light


def _faint(_: Layer, art: Art, rng: np.random.Generator) -> Layer:
    """Some strokes grey, the others black."""
    black, grey = _dealt(art, 2, rng)
    heavy, light = (coverage(replace(art, paths=paths), scanner_frame(art)) for paths in (black, grey))
    return printed(heavy) * printed(light, (255, 255, 255), float(rng.uniform(*FAINT)))


def _dealt(art: Art, count: int, rng: np.random.Generator) -> list[tuple[str, ...]]:
    """Return a drawing's strokes dealt into `count` lots."""
    lots = rng.integers(count, size=len(art.paths))
    return [tuple(p for p, lot in zip(art.paths, lots, strict=True) if lot == k) for k in range(count)]


def _negative(art: Art, rng: np.random.Generator) -> Aged:
    """White on black."""
    shot = scanner_frame(art)
    pixels = scanned(printed(1 - coverage(art, shot)), rng)
    return Aged(art, placed(pixels, shot), DPI, QUALITY)


def _speckle(cover: Layer, _: Art, rng: np.random.Generator) -> Layer:
    return printed(copied(cover, rng, PER_MM), (238, 238, 238))


def _web(art: Art, rng: np.random.Generator) -> Aged:
    """600 pixels across: drawn finer, made smaller, halo of sharpening, fuzz, two trips through JPEG."""
    art = replace(art, pen=art.pen / 2)
    dpi = WEB / (art.size[0] / INCH)
    fine = scanner_frame(art, dpi=3 * dpi, turn_deg=0.0)
    shot = scanner_frame(art, dpi=dpi, turn_deg=0.0)
    cover = coverage(art, fine)
    size = (WEB, round(WEB * art.size[1] / art.size[0]))
    grey = 255 - cv2.resize(cover, size, interpolation=cv2.INTER_AREA) * rng.uniform(180, 250)
    grey = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), rng.uniform(0.4, 0.8))
    grey = grey + rng.uniform(0, 0.8) * (grey - cv2.GaussianBlur(grey, (0, 0), 1.2))
    fuzz = 3 * clouds(grey.shape, rng, 1.2) * (grey < 250)
    pixels = np.clip(grey + fuzz, 0, 255).astype(np.uint8)
    for quality in rng.integers(45, 75, 2):
        store = io.BytesIO()
        Image.fromarray(pixels).convert("RGB").save(store, "JPEG", quality=int(quality))
        pixels = np.asarray(Image.open(store))
    return Aged(art, placed(pixels, shot), None, int(rng.integers(50, 70)))


PHOTOS = ("photo", "evening", "sketched")
"""Levels that are photographs of a sheet."""

LEVELS: dict[str, Maker] = {
    "clean": _as_before("clean"),
    "scan": _as_before("scan"),
    "crayon-light": _crayon(LIGHT_WAX),
    "crayon-heavy": _crayon(HEAVY_WAX),
    "crayon-dark": _crayon(DARK_WAX),
    "felt": _from_scanner(_felt),
    "wash": _from_scanner(_wash),
    "photo": photographed,
    "evening": _evening,
    "sketched": _sketched,
    "pencil": _from_scanner(_pencil, PENCIL),
    "ballpoint": _from_scanner(_ballpoint, BALLPOINT),
    "bleed": _from_scanner(_bleed),
    "coloured": _from_scanner(_coloured),
    "faint": _from_scanner(_faint),
    "negative": _negative,
    "ruled": _from_scanner(_ruling(squared=False)),
    "squared": _from_scanner(_ruling(squared=True)),
    "fold": _from_scanner(_fold),
    "through": _from_scanner(_through),
    "halftone": _from_scanner(_halftone),
    "speckle": _from_scanner(_speckle),
    "web": _web,
}
