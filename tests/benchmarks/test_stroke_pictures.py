"""What strokes explain of ink, on ink drawn pixel by pixel; and the plain chains they are compared with."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from benchmarks.strokes.explained import PlainInk, Trace, explained, ink_of
from benchmarks.strokes.plain import pixel_chains

Mask = NDArray[np.uint8]


def page(*boxes: tuple[slice, slice]) -> PlainInk:
    sure = np.zeros((80, 120), np.uint8)
    for box in boxes:
        sure[box] = 1
    return PlainInk(sure, np.zeros_like(sure))


def trace(kind: str, *points: tuple[float, float]) -> Trace:
    return Trace(np.array(points, float), kind)  # type: ignore[arg-type]


LINE = (slice(30, 33), slice(10, 110))  # 3 px wide, its middle at y = 31.5
SQUARE = (slice(45, 75), slice(40, 70))
MIDDLE = trace("line", (11.5, 31.5), (108.5, 31.5))
RIM = trace("edge", (40, 45), (70, 45), (70, 75), (40, 75), (40, 45))


def test_a_middle_line_explains_all_the_ink_of_its_line() -> None:
    e = explained(page(LINE), [MIDDLE])
    assert (e.ink, e.blobs, e.off_ink, e.through_solids, e.stubs, e.strokes) == (1, 0, 0, 0, 0, 1)


def test_ink_without_strokes_is_a_blob() -> None:
    e = explained(page(LINE, SQUARE), [MIDDLE])
    assert e.blobs == 1
    assert e.ink == pytest.approx(300 / 1200)


def test_ink_of_one_pixels_width_is_no_blob() -> None:
    assert explained(page(LINE, (slice(50, 51), slice(10, 40))), [MIDDLE]).blobs == 0


def test_a_line_beside_the_ink_is_off_it_from_six_tenths_of_a_pixel() -> None:
    beside = [explained(page(LINE), [trace("line", (20, y), (100, y))]).off_ink for y in (33.5, 33.7)]
    assert beside == [0, 1]


def test_half_a_line_on_paper_counts_as_half() -> None:
    e = explained(page(LINE), [trace("line", (60, 31.5), (160, 31.5))])
    assert e.off_ink == pytest.approx(0.5, abs=0.01)


def test_an_edge_explains_a_solid_and_a_line_through_it_does_not_belong() -> None:
    ink = page(LINE, SQUARE)
    good, bad = explained(ink, [MIDDLE, RIM]), explained(ink, [MIDDLE, trace("line", (42, 60), (68, 60))])
    assert (good.ink, good.off_boundary, good.through_solids) == (1, 0, 0)
    assert bad.through_solids > 0.1


def test_an_edge_inside_its_solid_is_off_the_boundary() -> None:
    shrunk = trace("edge", (43, 48), (67, 48), (67, 72), (43, 72), (43, 48))
    assert explained(page(LINE, SQUARE), [MIDDLE, shrunk]).off_boundary == 1


def test_an_edge_may_cross_the_mouth_of_a_line_that_ends_on_it() -> None:
    stem = (slice(32, 45), slice(52, 58))
    ends_there = trace("line", (55, 33), (55, 45))
    ink = page(LINE, stem, SQUARE)
    assert explained(ink, [MIDDLE, RIM, ends_there]).off_boundary == 0
    assert explained(ink, [MIDDLE, RIM]).off_boundary > 0


def test_a_thick_line_beside_fine_ones_is_deep_but_no_solid() -> None:
    fine = [(slice(y, y + 3), slice(10, 110)) for y in (4, 12, 20)]
    thick = (slice(50, 64), slice(5, 115))
    e = explained(page(LINE, *fine, thick), [MIDDLE, trace("line", (12, 57), (108, 57))])
    assert e.deep > 0.4
    assert e.through_solids == 0


def test_short_lines_are_stubs() -> None:
    assert explained(page(LINE), [MIDDLE, trace("line", (20, 31.5), (23, 31.5))]).stubs == 1


def test_light_that_falls_is_not_ink_and_pale_lines_are_faint_ink() -> None:
    grey = np.tile(np.linspace(250, 180, 400), (300, 1))
    grey[100:104, 40:360] *= 0.1
    grey[200:203, 40:360] *= 0.75
    ink = ink_of(grey.astype(np.uint8))
    assert (ink.sure.sum(), ink.sure[100:104, 40:360].all()) == (4 * 320, True)
    assert ink.faint[200:203, 40:360].all()
    assert ink.faint.sum() == pytest.approx(3 * 320, abs=8)


def test_grey_areas_are_no_faint_lines() -> None:
    grey = np.full((300, 400), 255, np.uint8)
    grey[100:104, 40:360] = 10
    grey[150:260, 40:360] = 215
    ink = ink_of(grey)
    assert ink.sure.sum() == 4 * 320
    assert ink.faint.sum() < 0.01 * 110 * 320


def skeleton(*rows: str) -> NDArray[np.bool_]:
    return np.array([[c == "#" for c in row] for row in rows])


def test_chains_of_a_cross_leave_its_middle() -> None:
    chains = list(pixel_chains(skeleton("..#..", "..#..", "#####", "..#..", "..#..")))
    assert sorted(len(c) for c in chains) == [3, 3, 3, 3]
    assert all((2, 2) in (c[0], c[-1]) for c in chains)


def test_a_ring_is_one_chain_that_ends_where_it_begins() -> None:
    (ring,) = pixel_chains(skeleton(".##.", "#..#", "#..#", ".##."))
    assert ring[0] == ring[-1]
    assert len(ring) == 9


def test_a_lone_pixel_is_a_chain_of_its_own() -> None:
    assert list(pixel_chains(skeleton("...", ".#.", "..."))) == [[(1, 1)]]
