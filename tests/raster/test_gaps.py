"""Gaps in lines: closed where two ends point at each other, else left open; each is numbered."""

from itertools import pairwise

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page, departure, traced

from tracer.art.read import scan_of
from tracer.errors import ArtError
from tracer.model.drawing import Drawing
from tracer.model.ink import Mend
from tracer.raster.ink import find_ink
from tracer.reading import Reading

PEN = 8.0


def gaps_of(drawing: Drawing) -> list[Mend]:
    return [mend for mend in drawing.mends if mend.kind.startswith("gap")]


def numbers(drawing: Drawing, kind: str) -> list[int]:
    return [mend.number for mend in drawing.mends if mend.kind == kind]


def along(x: float, y: float, angle: float, *ways: float) -> list[tuple[float, float]]:
    """Points on a ray from (x, y) at distances `ways`."""
    return [(x + way * np.cos(angle), y + way * np.sin(angle)) for way in ways]


def broken(gap: float, width: float, angle: float, shift: tuple[float, float]) -> tuple[Page, list]:
    """A line across the page with paper of `gap` pixels between two round ends; its two ends and middle."""
    half = 45.0 + gap / 2 + width / 2
    place = (100 + shift[0], 100 + shift[1])
    a, b, c, d = along(*place, angle, -half, -gap / 2 - width / 2, gap / 2 + width / 2, half)
    return Page(200, 200).line(a, b, width=width).line(c, d, width=width), [a, d, place]


@settings(max_examples=40, deadline=None)
@given(
    pens=st.floats(0.2, 1.0),
    width=st.floats(5.0, 12.0),
    angle=st.floats(0, np.pi),
    x=st.floats(0, 1),
    y=st.floats(0, 1),
)
def test_a_gap_up_to_a_pens_width_becomes_line(
    pens: float, width: float, angle: float, x: float, y: float
) -> None:
    """Ink that a scanner's pixels bridge, up to two of them, is none of the gaps."""
    gap = max(pens * width, 2.0)
    page, (start, end, place) = broken(gap, width, angle, (x, y))
    drawing = page.drawing
    (stroke,) = drawing.strokes
    assert departure(stroke, start, end) < 0.1 * width
    (mend,) = gaps_of(drawing)
    assert (mend.kind, mend.number) == ("gap closed", 1)
    assert (mend.x, mend.y) == pytest.approx(place, abs=0.12 * width)
    assert mend.size_px == pytest.approx(gap, abs=1.0)


@settings(max_examples=20, deadline=None)
@given(pens=st.floats(0.3, 0.9), radius=st.floats(4.0, 12.0), angle=st.floats(0, 2 * np.pi))
def test_a_gap_in_a_bend_is_closed_along_the_bend(pens: float, radius: float, angle: float) -> None:
    """A straight bridge over 1.9 pens at a radius of 4 would be off by 1.9 ** 2 / 8 / 4 = 0.11 pens."""
    half = (pens + 1) / radius / 2
    turn = np.linspace(half, 2 * np.pi - half, 200) + angle
    arc = (110, 110) + radius * PEN * np.column_stack([np.cos(turn), np.sin(turn)])
    (stroke,) = Page(220, 220).line(*map(tuple, arc), width=PEN).drawing.strokes
    assert stroke.closed
    away = np.hypot(*(stroke.points(0.05) - (110, 110)).T) - radius * PEN
    assert np.abs(away).max() < 0.06 * PEN


@pytest.mark.parametrize("width", [2.0, 3.5, 20.0])
def test_thin_and_thick_pens_have_gaps_as_wide_as_they_are(width: float) -> None:
    page, (start, end, _) = broken(0.8 * width + 0.5, width, 0.4, (0.3, 0.6))
    (stroke,) = page.drawing.strokes
    assert departure(stroke, start, end) < 0.1 * width + 0.1


def test_a_gap_in_a_scan_with_noise_and_jpeg_is_closed() -> None:
    page, (start, end, _) = broken(6.0, PEN, 0.7, (0.2, 0.4))
    blurred = cv2.GaussianBlur(page.grey, (0, 0), 0.9)
    noisy = blurred * 0.85 + 25 + np.random.default_rng(5).normal(0, 4, blurred.shape)
    coded = cv2.imencode(".jpg", noisy.clip(0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, 60])[1]
    (stroke,) = traced(cv2.imdecode(coded, cv2.IMREAD_GRAYSCALE)).strokes
    assert departure(stroke, start, end) < 0.1 * PEN


def page() -> Page:
    return Page(300, 200)


def hair(x: float, y: float, angle: float, length: float) -> list[tuple[float, float]]:
    """The outline of a stroke from (x, y) on that thins from a pen to nothing."""
    tip = along(x, y, angle, length)[0]
    return [*along(x, y, angle + np.pi / 2, -PEN / 2, PEN / 2), tip]


KEPT_OPEN = {
    # Line widths are 8: round caps reach 4 beyond each end.
    "too wide": page().line((30, 100), (130, 100)).line((130 + 8 + 1.4 * 8, 100), (270, 100)),
    "a step to the side": page().line((30, 100), (130, 100)).line((142, 105), (270, 105)),
    "side by side": page().line((30, 100), (160, 100)).line((140, 114), (270, 114)),
    "a corner": page().line((30, 100), (150, 100)).line((160, 106), (160, 180)),
    "tips that meet at 70 degrees": page().line((30, 60), (150, 100)).line((30, 140), (150, 113)),
    "tips that meet head on at 45 degrees": page().line((50, 2), (140, 92)).line((154, 94), (270, 94)),
    "thin on thick": page().line((30, 100), (140, 100), width=14).line((156, 100), (270, 100), width=6),
    "an end beside a line": page().line((30, 100), (270, 100)).line((60, 40), (140, 88.5)),
    "half a pen from a line": page().line((30, 100), (270, 100)).line((150, 20), (150, 88)),
    "a hair's tip at a line": page().line((30, 100), (270, 100)).solid(*hair(150, 20, np.pi / 2, 74.5)),
    "a hair cut short": page().line((30, 100), (270, 100)).solid((145, 60), (155, 60), (152, 95), (148, 95)),
    "hairs tip to tip": page().solid(*hair(40, 100, 0, 108)).solid(*hair(260, 100, np.pi, 110)),
    "a dot on the line's way": page().line((30, 100), (150, 100)).disc(166, 100, 4.5),
    "a tick": page().line((30, 100), (150, 100)).line((166, 100), (175, 100)),
    "an end at another's corner": page().line((150, 100), (270, 100)).line((148, 30), (148, 90.4)),
    "an end just beside another": page().line((150, 100), (270, 100)).line((153, 30), (153, 90.4)),
}


@pytest.mark.parametrize("what", KEPT_OPEN)
def test_what_is_meant_to_be_apart_stays_apart(what: str) -> None:
    drawing = KEPT_OPEN[what].drawing
    assert gaps_of(drawing) == []
    assert len(drawing.strokes) == 2


def test_a_dot_in_a_gap_keeps_both_its_gaps() -> None:
    """Paper of 2.5 px on either side of a dot 7 px wide: dash, dot, dash."""
    drawing = page().line((30, 100), (150, 100)).disc(160, 100, 3.5).line((170, 100), (270, 100)).drawing
    assert gaps_of(drawing) == []
    assert len(drawing.strokes) == 3


@pytest.mark.parametrize("angle", [0.0, 0.5, 1.2])
@pytest.mark.parametrize(("dash", "gap"), [(24.0, 6.0), (60.0, 8.0), (22.0, 8.0)])
def test_dashes_stay_dashes_and_are_told_once(dash: float, gap: float, angle: float) -> None:
    page = Page(400, 400)
    step = dash + gap
    for k in range(5):
        start = 30 + k * step + PEN / 2
        page.line(*along(15, 15, angle, start, start + dash - PEN), width=PEN)
    drawing = page.drawing
    assert len(drawing.strokes) == 5
    (mend,) = gaps_of(drawing)
    assert (mend.kind, mend.number) == ("gap left open", 0)
    middle = along(15, 15, angle, 30 + 2.5 * step - gap / 2)[0]
    assert (mend.x, mend.y) == pytest.approx(middle, abs=2)


def test_three_gaps_in_a_line_at_odd_places_are_no_dashes() -> None:
    page = Page(400, 100)
    for start, end in pairwise([20, 90, 122, 300, 380]):
        page.line((start + 4 + 3, 50), (end - 4 - 3, 50))
    drawing = page.drawing
    assert len(drawing.strokes) == 1
    assert numbers(drawing, "gap closed") == [1, 2, 3]


def test_an_end_just_short_of_a_lines_side_runs_into_it() -> None:
    # The line's edge is at y = 96; paper from 94.4 to 96 is 0.2 pens.
    drawing = page().line((30, 100), (270, 100)).line((150, 20), (150, 90.4)).drawing
    (mend,) = gaps_of(drawing)
    assert (mend.x, mend.y) == pytest.approx((150, 95.2), abs=0.5)
    assert mend.size_px == pytest.approx(1.6, abs=0.4)
    (joint,) = drawing.joints
    assert tuple(joint.point) == pytest.approx((150, 100), abs=0.8)


def three_gaps() -> Page:
    page = Page(300, 200)
    for y in (40, 100, 160):
        page.line((30, y), (140, y)).line((154, y), (270, y))
    return page


def test_one_gap_left_open_leaves_the_others_their_numbers() -> None:
    whole = three_gaps().drawing
    assert numbers(whole, "gap closed") == [1, 2, 3]
    assert [mend.y for mend in gaps_of(whole)] == pytest.approx([40, 100, 160], abs=0.5)
    drawing = traced(three_gaps().grey, reading=Reading(open_gaps=(2,)))
    assert numbers(drawing, "gap closed") == [1, 3]
    assert numbers(drawing, "gap left open") == [2]
    assert [(m.x, m.y, m.size_px) for m in gaps_of(drawing)] == [
        (m.x, m.y, m.size_px) for m in gaps_of(whole)
    ]
    assert len(drawing.strokes) == 4
    assert sum(np.ptp(stroke.points(0.1)[:, 0]) < 130 for stroke in drawing.strokes) == 2


def test_all_gaps_are_left_open_where_none_are_to_be_closed() -> None:
    drawing = traced(three_gaps().grey, reading=Reading(close_gaps=False))
    assert numbers(drawing, "gap left open") == [1, 2, 3]
    assert len(drawing.strokes) == 6


def test_a_gap_that_is_not_there_cannot_be_left_open() -> None:
    with pytest.raises(ArtError, match="Gap 7 of array is to be left open, but it has 1 to 3"):
        traced(three_gaps().grey, reading=Reading(open_gaps=(2, 7)))
    with pytest.raises(ArtError, match="Gap 1 of array is to be left open, but it has none"):
        traced(page().line((30, 100), (270, 100)).grey, reading=Reading(open_gaps=(1,)))


def test_the_picture_itself_keeps_its_gap() -> None:
    scan = scan_of(three_gaps().grey)
    before = scan.grey.copy()
    find_ink(scan)
    assert np.array_equal(scan.grey, before)
