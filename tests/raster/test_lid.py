"""What is round the paper and through it: a scanner's lid, punched holes. Left out, and listed."""

import cv2
import numpy as np
import pytest
from pen import Page

from tracer.art.read import scan_of
from tracer.model.ink import Ink
from tracer.raster.ink import find_ink
from tracer.reading import Reading


def drawing(width: int = 420, height: int = 594) -> np.ndarray:
    page = Page(width, height).ring(220, 280, 110, width=6).line((100, 450), (330, 480), width=6)
    return page.line((60, 120), (60, 300), width=6).grey


def scanned(grey: np.ndarray) -> np.ndarray:
    dirt = np.random.default_rng(2).normal(0, 2, grey.shape)
    return np.clip(cv2.GaussianBlur(grey * 0.94 + 10, (0, 0), 0.7) + dirt, 0, 255).astype(np.uint8)


def ink_of(grey: np.ndarray, dpi: float | None = None) -> Ink:
    return find_ink(scan_of(scanned(grey), Reading(dpi=dpi)))


def kinds(ink: Ink) -> list[str]:
    return [mend.kind for mend in ink.mends]


def same_ink(one: Ink, other: Ink) -> bool:
    """The same but for single pixels along edges."""
    unlike = (one.line | one.solid) ^ (other.line | other.solid)
    return not cv2.erode(unlike.astype(np.uint8), np.ones((2, 2), np.uint8)).any()


@pytest.mark.parametrize("side", range(4))
@pytest.mark.parametrize(("thick", "slant"), [(18, 0), (30, 0), (24, 12)])
def test_a_dark_band_along_an_edge_is_left_out_and_listed(side: int, thick: int, slant: int) -> None:
    clean = drawing()
    turned = np.ascontiguousarray(np.rot90(clean, side))
    width = turned.shape[1]
    cv2.fillPoly(turned, [np.array([(0, 0), (width, 0), (width, thick), (0, thick - slant)])], 30)
    page = np.ascontiguousarray(np.rot90(turned, -side))
    ink = ink_of(page)
    (mend,) = [mend for mend in ink.mends if mend.kind == "shadow left out"]
    assert mend.size_px > 0.9 * width
    assert not ink.solid.any()
    assert same_ink(ink, ink_of(clean))


def test_lines_that_run_off_beside_or_into_a_band_stay() -> None:
    page = Page(420, 594).line((200, 300), (200, -10), width=6).line((300, 300), (430, 300), width=6).grey
    page[:20] = 30
    ink = ink_of(page)
    for x, y in ((200, 40), (200, 200), (350, 300), (418, 300)):
        assert ink.line[int(y * ink.zoom), int(x * ink.zoom)]


@pytest.mark.parametrize("hill", [True, False])
def test_a_drawn_solid_at_the_edge_stays(*, hill: bool) -> None:
    page = drawing()
    if hill:
        x = np.arange(421)
        ground = np.column_stack([x, 560 + 22 * np.sin(x / 40.0)]).astype(np.int32)
        cv2.fillPoly(page, [np.concatenate([ground, [(420, 594), (0, 594)]]).astype(np.int32)], 0)
    else:
        page[560:, 100:250] = 0
    ink = ink_of(page)
    assert "shadow left out" not in kinds(ink)
    assert ink.solid[int(585 * ink.zoom), int(180 * ink.zoom)]


def test_a_thick_frame_that_fills_the_picture_stays() -> None:
    page = drawing()
    for side in (page[:20], page[-20:], page[:, :20], page[:, -20:]):
        side[:] = 20
    ink = ink_of(page)
    assert "shadow left out" not in kinds(ink)
    assert (ink.line | ink.solid)[int(300 * ink.zoom), int(8 * ink.zoom)]


def punched(page: np.ndarray, *places: tuple[int, int], radius: int = 6) -> np.ndarray:
    """An A4 page of 2 px a mm with holes 6 mm across."""
    for place in places:
        cv2.circle(page, place, radius, 20, -1, cv2.LINE_AA)
    return page


LEFT = ((24, 217), (24, 377))  # ISO 838: 12 mm from the edge, 80 mm apart


@pytest.mark.parametrize("dpi", [None, 50.8])
@pytest.mark.parametrize("places", [LEFT, ((396, 80), (396, 297), (396, 513)), ((130, 24), (290, 24))])
def test_punched_holes_are_left_out_and_listed(
    places: tuple[tuple[int, int], ...], dpi: float | None
) -> None:
    clean = drawing()
    ink = ink_of(punched(clean.copy(), *places), dpi)
    holes = [mend for mend in ink.mends if mend.kind == "hole left out"]
    assert sorted((mend.x, mend.y) for mend in holes) == [pytest.approx(p, abs=1.5) for p in sorted(places)]
    assert same_ink(ink, ink_of(clean, dpi))


@pytest.mark.parametrize(
    "places",
    [
        LEFT[:1],
        ((24, 217), (24, 240)),
        ((24, 217), (36, 377)),
        (*LEFT, (396, 217), (396, 377)),
        ((70, 60), (70, 400)),
    ],
    ids=["one", "close together", "out of line", "at both edges", "inside"],
)
def test_drawn_dots_are_no_holes(places: tuple[tuple[int, int], ...]) -> None:
    assert "hole left out" not in kinds(ink_of(punched(drawing(), *places)))


def test_dots_that_no_punch_makes_are_no_holes() -> None:
    assert "hole left out" not in kinds(ink_of(punched(drawing(), *LEFT), 150.0))  # 2 mm across
