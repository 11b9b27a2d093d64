"""Corners are where the pen turned, and only there."""

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page, departure

from tracer.geometry import bezier
from tracer.model.drawing import Drawing, Stroke
from tracer.raster.ink import find_ink
from tracer.vector.corners import sharpened
from tracer.vector.samples import Samples

Point = tuple[float, float]


def failing(case: tuple[object, ...], reason: str) -> object:
    return pytest.param(*case, marks=pytest.mark.xfail(strict=True, reason=reason))


def corners_of(stroke: Stroke) -> list[Point]:
    """Where a stroke's direction jumps by more than 15 degrees."""
    inner = np.arange(1, len(stroke.curves))
    into, out = (bezier.tangents_at(stroke.curves, inner + e) for e in (-1e-6, 1e-6))
    jump = np.arccos(np.clip((into * out).sum(axis=1), -1, 1)) > np.radians(15)
    found = [tuple(stroke.curves[k, 0].tolist()) for k in inner[jump].tolist()]
    if stroke.closed:
        ends = bezier.tangents_at(stroke.curves, np.array([1e-6, len(stroke.curves) - 1e-6]))
        if ends[0] @ ends[1] < np.cos(np.radians(15)):
            found.append(tuple(stroke.curves[0, 0].tolist()))
    return found


def bent(turn_deg: float, tilt_deg: float, at: Point = (150.3, 140.6), size: float = 100.0) -> list[Point]:
    """A line that turns by an angle at a point."""
    a, b = np.radians([tilt_deg, tilt_deg + 180 - turn_deg])
    return [tuple(at + size * np.array([np.cos(way), np.sin(way)])) for way in (a,)] + [
        at,
        tuple(at + size * np.array([np.cos(b), np.sin(b)])),
    ]


BEVEL = "a bevelled turn of 90 degrees and more is taken for a round one"
CASES = [(turn, width) for turn in (45, 90, 120) for width in (4.0, 8.0, 15.0)]


@pytest.mark.parametrize(
    ("turn_deg", "width", "join"),
    [
        *((*case, "round") for case in CASES),
        *((*case, "mitre") for case in CASES),
        *(failing((*case, "bevel"), BEVEL) if case[0] > 45 else (*case, "bevel") for case in CASES),
    ],
)
def test_a_turn_is_one_corner_however_its_lines_are_joined(turn_deg: int, width: float, join: str) -> None:
    way = bent(turn_deg, 10)
    page = Page(300, 280)._ink(shapely.LineString(way).buffer(width / 2, 32, join_style=join))
    (stroke,) = page.drawing.strokes
    (corner,) = corners_of(stroke)
    assert np.hypot(*np.subtract(corner, way[1])) < 0.5
    assert departure(stroke, *way) < 0.5


@settings(max_examples=25)
@given(st.floats(40, 120), st.floats(0, 360), st.sampled_from([6.0, 8.0]))
def test_any_turn_is_one_corner(turn_deg: float, tilt_deg: float, width: float) -> None:
    way = bent(turn_deg, tilt_deg, at=(150.3, 150.6))
    (stroke,) = Page(300, 300).line(*way, width=width).drawing.strokes
    (corner,) = corners_of(stroke)
    assert np.hypot(*np.subtract(corner, way[1])) < 0.6


@pytest.mark.parametrize(
    ("turn_deg", "tilt_deg", "width"),
    [(61.9, 175.8, 5), (58.4, 22.4, 5), (59.2, 150.9, 12), (70.6, 185.6, 12), (66.8, 41.9, 12)],
)
def test_these_turns_are_corners_too(turn_deg: float, tilt_deg: float, width: float) -> None:
    way = bent(turn_deg, tilt_deg, at=(150.3, 150.6))
    (corner,) = corners_of(Page(300, 300).line(*way, width=width).drawing.strokes[0])
    assert np.hypot(*np.subtract(corner, way[1])) < 0.6


@pytest.mark.parametrize("width", [5.0, 8.0, 12.0])
@pytest.mark.parametrize("tilt_deg", [0, 23])
@pytest.mark.parametrize("turn_deg", [63, 74])
def test_a_turn_on_another_line_is_a_corner(turn_deg: int, tilt_deg: int, width: float) -> None:
    """As a snow crystal's twigs: the bar hides the corner's outer edge."""
    way = bent(turn_deg, tilt_deg, at=(150.3, 150.6))
    half = (np.subtract(way[0], way[1]) + np.subtract(way[2], way[1])) / 2
    bar = 110 * half / np.hypot(*half)
    page = Page(300, 300).line(*way, width=width).line(way[1] - bar, way[1] + bar, width=width)
    (turned,) = (stroke for stroke in page.drawing.strokes if corners_of(stroke))
    assert len(page.drawing.strokes) == 2
    (corner,) = corners_of(turned)
    assert np.hypot(*np.subtract(corner, way[1])) < 1
    assert len(turned.curves) == 2


TIPS = [(b, w, t) for b in (15, 20, 25, 30, 35, 40) for w in (4.0, 8.0, 15.0) for t in (0, 17)]
LEANING = ((25, 4.0, 17), (30, 4.0, 17))
"""Tips of thin lines, their sides 0.17 widths off."""


@pytest.mark.parametrize(("between_deg", "width", "tilt_deg"), TIPS)
def test_an_acute_tip_is_one_corner(between_deg: int, width: float, tilt_deg: int) -> None:
    way, drawing = tip(between_deg, width, tilt_deg)
    (corner,) = corners_of(drawing.strokes[0])
    assert np.hypot(*np.subtract(corner, way[1])) < 0.2 * width


@pytest.mark.parametrize(
    ("between_deg", "width", "tilt_deg"),
    [failing(case, "its sides lean by .17 of its width") if case in LEANING else case for case in TIPS],
)
def test_an_acute_tip_is_one_stroke(between_deg: int, width: float, tilt_deg: int) -> None:
    way, drawing = tip(between_deg, width, tilt_deg)
    (stroke,) = drawing.strokes
    assert drawing.joints == ()
    # Three tenths of the pen: 0.3 mm on wood for a line of 2 mm at half the template's size.
    assert np.hypot(*(stroke.points(0.001) - way[1]).T).min() < 0.3 * width
    assert departure(stroke, *way) < 0.15 * width


@cache
def tip(between_deg: int, width: float, tilt_deg: int) -> tuple[list[Point], Drawing]:
    way = bent(180 - between_deg, tilt_deg, at=(30.3, 100.4), size=16 * width + 40)
    return way, Page(330, 330).line(*way, width=width).drawing


@pytest.mark.parametrize("width", [4.0, 8.0, 14.0])
@pytest.mark.parametrize("parts", [1.0, 2.0, 4.0])
def test_a_bend_as_wide_as_the_pen_or_wider_has_no_corner(parts: float, width: float) -> None:
    # The middle's radius is `parts` line widths, a quarter of a turn.
    radius = parts * width
    turn = np.linspace(0, np.pi / 2, 40)
    bend = [(150 + radius * np.sin(a), 150 + radius * (1 - np.cos(a)) - radius) for a in turn]
    way = [(40.0, 150.0 - radius), *bend, (150 + radius, 240.0)]
    (stroke,) = Page(300, 280).line(*way, width=width).drawing.strokes
    assert corners_of(stroke) == []
    assert departure(stroke, *way) < 0.6


@pytest.mark.parametrize("sides", [3, 4, 5, 6])
@pytest.mark.parametrize("tilt_deg", [0, 11, 30])
def test_a_polygon_has_its_corners_wherever_the_ring_begins(sides: int, tilt_deg: int) -> None:
    a = np.radians(tilt_deg) + 2 * np.pi * np.arange(sides) / sides
    way = [(150.3 + 90 * np.cos(b), 110.2 + 90 * np.sin(b)) for b in a]
    (stroke,) = Page(300, 220).line(*way, way[0]).drawing.strokes
    assert stroke.closed
    found = corners_of(stroke)
    assert len(found) == sides
    assert all(min(np.hypot(*np.subtract(corner, place)) for place in way) < 0.5 for corner in found)


def test_a_zigzag_keeps_each_of_its_corners() -> None:
    way = [(30 + 30 * k, 60.3 if k % 2 else 120.6) for k in range(9)]
    (stroke,) = Page().line(*way, width=6).drawing.strokes
    found = sorted(corners_of(stroke))
    assert len(found) == 7
    assert np.hypot(*(np.array(found) - way[1:-1]).T).max() < 0.6


def test_corners_come_with_their_place_in_order() -> None:
    way = [(40.0, 60.0), (140.0, 60.0), (140.0, 140.0), (240.0, 140.0)]
    ink = find_ink(Page().line(*way).scan)
    points = np.concatenate([np.linspace(p, q, 100)[:-1] for p, q in pairwise(way)]) * ink.zoom
    line = Samples(points, np.full(len(points), 8.1 * ink.zoom), np.ones(len(points), bool), closed=False)
    ((found, corners), (same, none)) = sharpened(ink, [line, line.part(0, 60)], [8.0 * ink.zoom] * 2)
    assert corners == sorted(corners)
    assert found.points[corners] / ink.zoom == pytest.approx(np.array(way[1:-1]), abs=0.2)
    assert (len(found.points), len(found.clean)) == (len(found.widths),) * 2
    assert none == []
    assert np.array_equal(same.points, line.points[:60])


@pytest.mark.parametrize("side", [1.6, 2.5])
@pytest.mark.parametrize("width", [9.0, 15.0])
def test_corners_with_short_sides_between_them_lie_where_they_were_drawn(width: float, side: float) -> None:
    # Part of a polygon of nine sides, as in letters drawn by polygons: what one side shows ends at the next.
    headings = 0.3 + 2 * np.pi / 9 * np.arange(6)
    steps = np.column_stack([np.cos(headings), np.sin(headings)]) * side * width
    points = np.concatenate([np.zeros((1, 2)), np.cumsum(steps, axis=0)])
    points += 40 - points.min(axis=0)
    right, bottom = (points.max(axis=0) + 40).astype(int).tolist()
    drawing = Page(right, bottom).line(*map(tuple, points.tolist()), width=width).drawing
    (stroke,) = drawing.strokes
    away = shapely.distance(shapely.points(points), shapely.LineString(stroke.points(0.01)))
    assert away.max() < 0.13 * width
    assert len(stroke.curves) == len(steps)
