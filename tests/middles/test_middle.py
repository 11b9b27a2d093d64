"""The middle of a font's strokes: letters of the sans that ships, and shapes whose middle is known."""

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
import shapely
import shapes
from hypothesis import given, settings
from hypothesis import strategies as st
from letters.fonts import font_path, sans
from numpy.typing import NDArray

import tracer
from tracer.geometry import bezier
from tracer.geometry.flatten import flatten
from tracer.geometry.joints import find_joints
from tracer.job import Job
from tracer.lettering import Lettering
from tracer.letters.face import Contour, Face
from tracer.letters.font import open_font
from tracer.letters.set_words import set_words
from tracer.middles import figures, middle_of

Array = NDArray[np.float64]

CLOSE = 0.1 / 50
"""Capital heights: 0.1 mm where capitals are 50 mm high."""

ALL = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"

# Free ends, places where strokes meet, dots: what a hand writes, judged by eye on letters drawn large. A
# corner is no meeting. The 8 crosses itself; the 4 is one stroke and a stem across.
WRITTEN = {
    **dict.fromkeys("CGIJLMNSUVWZclsvwz257", (2, 0, 0)),
    **dict.fromkeys("DOo0", (0, 0, 0)),
    **dict.fromkeys("ij", (2, 0, 1)),
    **dict.fromkeys("EFTYhnuy13", (3, 1, 0)),
    **dict.fromkeys("Xftx", (4, 1, 0)),
    **dict.fromkeys("PQe69", (1, 1, 0)),
    **dict.fromkeys("ARabdgpq", (2, 2, 0)),
    **dict.fromkeys("HKkm", (4, 2, 0)),
    "B": (0, 2, 0),
    "r": (3, 1, 0),
    "4": (2, 1, 0),
    "8": (0, 1, 0),
}


@cache
def middle(face: Face, letter: str) -> tuple[Contour, ...]:
    (glyph,) = face.shape(letter)
    return middle_of(face.figure(glyph.key), face.cap_height)


@cache
def area(face: Face, letter: str) -> shapely.Geometry:
    """The letter as a polygon, within a thousandth of a capital."""
    (glyph,) = face.shape(letter)
    rings = [shapely.Polygon(flatten(c.curves, face.cap_height / 5000)) for c in face.figure(glyph.key)]
    whole = shapely.Polygon()
    for ring in rings:
        whole = whole.symmetric_difference(ring)
    return whole


def is_dot(contour: Contour) -> bool:
    return bool(np.ptp(contour.curves.reshape(-1, 2), axis=0).max() == 0)


def written(contours: tuple[Contour, ...], unit: float) -> tuple[int, int, int]:
    """Free ends, meetings and dots."""
    lines = [(c.curves, c.closed) for c in contours if not is_dot(c)]
    meetings = find_joints(lines, unit / 1000)
    tips = [tip for curves, closed in lines if not closed for tip in (curves[0, 0], curves[-1, 3])]
    free = [tip for tip in tips if all(np.hypot(*(tip - m.point)) > unit / 500 for m in meetings)]
    return len(free), len(meetings), len(contours) - len(lines)


@pytest.mark.parametrize("letter", ALL)
def test_ends_and_meetings_are_those_a_hand_writes(letter: str) -> None:
    assert written(middle(sans(), letter), sans().cap_height) == WRITTEN[letter]


@pytest.mark.parametrize("letter", ALL)
def test_strokes_lie_half_way_from_edge_to_edge(letter: str) -> None:
    # by shapely: a line square across a stroke, away from ends, corners and meetings, is halved by it
    face, off = sans(), []
    stem = face.stem
    for point, across in places(middle(face, letter), face.cap_height, 1.5 * stem):
        cut = shapely.LineString([point - 2 * stem * across, point + 2 * stem * across])
        inside = shapely.get_parts(area(face, letter).intersection(cut))
        own = [np.array(part.coords) for part in inside if part.distance(shapely.Point(point)) < 1e-6 * stem]
        assert own, f"{letter} leaves the letter at {point}"
        if np.hypot(*(own[0][0] - own[0][-1])) < 1.15 * stem:
            off.append(abs(np.hypot(*(own[0][0] - point)) - np.hypot(*(own[0][-1] - point))) / 2)
    if letter not in "kfmrtx":  # of these little lies that far from meetings
        assert len(off) >= 5
    assert not off or max(off) < CLOSE * face.cap_height


def places(contours: tuple[Contour, ...], unit: float, clear: float) -> list[tuple[Array, Array]]:
    """Points every hundredth of a capital along strokes, `clear` of ends, corners, meetings; and normals."""
    lines = [c for c in contours if not is_dot(c)]
    avoided = [np.array(m.point) for m in find_joints([(c.curves, c.closed) for c in lines], unit / 1000)]
    for line in lines:
        avoided += [] if line.closed else [line.curves[0, 0], line.curves[-1, 3]]
        for one, other in pairwise([*line.curves, *(line.curves[:1] if line.closed else [])]):
            into, out = one[3] - one[2], other[1] - other[0]
            turn = np.arccos(np.clip(into @ out / (np.hypot(*into) * np.hypot(*out) + 1e-12), -1, 1))
            avoided += [one[3]] if turn > np.radians(8) else []
    found = []
    for line in lines:
        t = np.linspace(0, len(line.curves), 60 * len(line.curves) + 1)
        along = bezier.lengths_to(line.curves, t)
        t = np.interp(np.arange(unit / 200, along[-1], unit / 100), along, t)
        points, ways = bezier.points_at(line.curves, t), bezier.tangents_at(line.curves, t)
        turning = np.zeros(len(t))  # within so much: rounded corners, the tops of A and M
        reach = max(1, round(clear / (unit / 100)))
        for k in range(len(t)):
            near = ways[max(0, k - reach) : k + reach + 1]
            turning[k] = np.degrees(np.arccos(np.clip(near @ ways[k], -1, 1))).max()
        for point, way, turn in zip(points, ways, turning, strict=True):
            if turn < 40 and all(np.hypot(*(point - other)) > clear for other in avoided):
                found.append((point, np.array([-way[1], way[0]])))
    return found


@pytest.mark.parametrize("letter", "EFHILT")
def test_straight_stems_are_straight_and_on_the_middle_of_their_two_edges(letter: str) -> None:
    face = sans()
    lines = [c.curves for c in middle(face, letter)]
    pieces = np.concatenate(lines)
    for cubic in pieces:  # straight to the last digit: handles lie on the chord
        way = cubic[3] - cubic[0]
        for handle in cubic[1:3]:
            assert abs(way[0] * (handle - cubic[0])[1] - way[1] * (handle - cubic[0])[0]) < 1e-6 * (way @ way)
    x0, y0, x1, y1 = area(face, letter).bounds
    upright = 0
    for share in np.linspace(0.1, 0.9, 17):
        y = y0 + share * (y1 - y0)
        level = area(face, letter).intersection(shapely.LineString([(x0 - 1, y), (x1 + 1, y)]))
        for part in shapely.get_parts(level):
            (a, _), (b, _) = part.coords
            if b - a < 1.2 * face.stem:  # an upright stem: its own two edges
                hits = [x for cubic in pieces for x in at_height(cubic, y)]
                upright += 1
                assert min(abs(x - (a + b) / 2) for x in hits) < CLOSE * face.cap_height
    assert upright >= 8


def at_height(cubic: Array, y: float) -> list[float]:
    """Where a straight cubic passes a height."""
    (xa, ya), (xb, yb) = cubic[0], cubic[3]
    if abs(yb - ya) < 1e-9 or not min(ya, yb) <= y <= max(ya, yb):
        return []
    return [float(xa + (y - ya) / (yb - ya) * (xb - xa))]


@pytest.mark.parametrize("letter", ALL)
def test_grooves_as_wide_as_the_stems_fill_the_letter_and_no_more(letter: str) -> None:
    # what a bit of the stems' width cuts, against the outline, by area: points and merges come out rounder
    face, whole = sans(), area(sans(), letter)
    lines = [flatten(c.curves, 1.0) for c in middle(face, letter) if not is_dot(c)]
    along = [p for line in lines for p in shapely.get_coordinates(shapely.LineString(line).segmentize(5))]
    width = 2 * float(np.median([whole.boundary.distance(shapely.Point(p)) for p in along]))
    cut = [shapely.LineString(line).buffer(width / 2) for line in lines]
    cut += [shapely.Point(c.curves[0, 0]).buffer(0.65 * width) for c in middle(face, letter) if is_dot(c)]
    grooves = shapely.union_all(cut)
    assert grooves.difference(whole).area < 0.08 * whole.area
    assert whole.difference(grooves).area < 0.12 * whole.area


# Shapes whose middle is known.


def polygon(*points: tuple[float, float]) -> Contour:
    ring = np.array([*points, points[0]], float)
    return Contour(bezier.from_polyline(ring), closed=True)


def bar(start: Array, end: Array, width: float) -> shapely.Geometry:
    return shapely.LineString([start, end]).buffer(width / 2, cap_style="flat")


def outlined(shape: shapely.Geometry) -> list[Contour]:
    return [
        polygon(*(tuple(p) for p in np.array(ring.coords)[:-1]))
        for part in shapely.get_parts(shape)
        for ring in (part.exterior, *part.interiors)
    ]


def test_a_bar_ends_half_its_width_before_its_ends() -> None:
    (line,) = middle_of([polygon((0, 0), (100, 0), (100, 700), (0, 700))], 700)
    tips = sorted(line.curves[[0, -1], [0, 3]].tolist(), key=lambda p: p[1])
    assert tips == [pytest.approx((50, 50), abs=1.4), pytest.approx((50, 650), abs=1.4)]
    assert len(line.curves) == 1


def test_a_slanting_cut_moves_an_end_by_half_the_width_too() -> None:
    # the terminal's middle lies at 650: half of the width of 100 before it
    (line,) = middle_of([polygon((0, 0), (100, 0), (100, 700), (0, 600))], 700)
    top = max(line.curves[[0, -1], [0, 3]].tolist(), key=lambda p: p[1])
    assert top == pytest.approx((50, 600), abs=2)


def test_a_square_corner_is_sharp_and_on_both_middles() -> None:
    (line,) = middle_of([polygon((0, 0), (400, 0), (400, 100), (100, 100), (100, 700), (0, 700))], 700)
    assert len(line.curves) == 2
    assert line.curves[0, 3] == pytest.approx((50, 50), abs=1.4)


@pytest.mark.parametrize("thick", [40.0, 100.0, 180.0])
def test_a_ring_is_one_closed_round_stroke(thick: float) -> None:
    disc = shapely.Point(0, 0)
    shape = disc.buffer(350, quad_segs=60).difference(disc.buffer(350 - thick, quad_segs=60))
    (line,) = middle_of(outlined(shape), 700)
    assert line.closed
    away = np.hypot(*flatten(line.curves, 0.1).T) - (350 - thick / 2)
    assert np.abs(away).max() < CLOSE * 700


@pytest.mark.parametrize("shape", [shapely.Point(50, 60).buffer(60), shapely.box(0, 10, 100, 110)])
def test_a_dot_is_a_dot_in_its_middle(shape: shapely.Geometry) -> None:
    (dot,) = middle_of(outlined(shape), 700)
    assert is_dot(dot)
    assert dot.curves[0, 0] == pytest.approx((50, 60), abs=0.5)


@settings(max_examples=12, deadline=None)
@given(st.floats(40, 90), st.floats(0, 180), st.floats(40, 90))
def test_bars_that_cross_go_straight_through_one_another(
    angle_deg: float, turn_deg: float, width: float
) -> None:
    angles = np.radians([turn_deg, turn_deg + angle_deg])
    ways = np.column_stack([np.cos(angles), np.sin(angles)]) * 350
    shape = shapely.union_all([bar(-way, way, width) for way in ways])
    lines = middle_of(outlined(shape), 700)
    assert len(lines) == 2
    assert all(len(line.curves) == 1 for line in lines)
    for line in lines:
        a, b = line.curves[0, 0], line.curves[0, 3]
        way = (b - a) / np.hypot(*(b - a))
        assert abs(a[0] * way[1] - a[1] * way[0]) < CLOSE * 700  # it passes the crossing's middle
        assert min(abs(way[0] * w[1] - way[1] * w[0]) for w in ways) < 1.5


@settings(max_examples=12, deadline=None)
@given(st.floats(50, 130), st.floats(40, 100))
def test_a_stem_ends_on_the_bar_it_comes_to(angle_deg: float, width: float) -> None:
    way = np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))]) * 400
    shape = shapely.union_all(
        [bar(np.array([-350.0, 0]), np.array([350.0, 0]), width), bar(np.zeros(2), way, width)]
    )
    lines = middle_of(outlined(shape), 700)
    assert written(lines, 700) == (3, 1, 0)
    (joint,) = find_joints([(line.curves, line.closed) for line in lines], 0.7)
    assert joint.point == pytest.approx((0, 0), abs=3.0)


def test_a_bold_face_is_followed_along_its_middle_too() -> None:
    bold = open_font(font_path("fontpkg_atkinson_hyperlegible", "AtkinsonHyperlegible-Bold.ttf"))
    for letter in "EHLTX":
        assert written(middle(bold, letter), bold.cap_height)[:2] == WRITTEN[letter][:2], letter


@pytest.mark.parametrize("letter", "bdhmnpu6")
def test_bows_that_melt_into_a_stem_leave_it_straight(letter: str) -> None:
    # a sans with cut ends, whose bows push the middle of both aside by a third of the stem's half width
    face = open_font(font_path("fontpkg_atkinson_hyperlegible", "AtkinsonHyperlegible-Regular.ttf"))
    assert written(middle(face, letter), face.cap_height)[:2] == WRITTEN[letter][:2]
    if letter in "bhnpm":
        _, y0, _, y1 = area(face, letter).bounds
        stem = max(
            (c for contour in middle(face, letter) for c in contour.curves), key=lambda c: abs(c[3] - c[0])[1]
        )
        assert abs(stem[3] - stem[0])[1] > 0.8 * (y1 - y0)  # from end to end, one straight
        assert abs(stem[3] - stem[0])[0] < CLOSE * face.cap_height


def test_accents_keep_their_strokes_and_dots() -> None:
    assert written(middle(sans(), "ä"), sans().cap_height) == (2, 2, 2)
    assert written(middle(sans(), "é"), sans().cap_height) == (3, 1, 0)


def test_nothing_has_no_middle() -> None:
    assert middle_of((), 700) == ()


def test_a_glyph_is_made_once() -> None:
    figure = figures(sans())
    (glyph,) = sans().shape("l")
    assert figure(glyph.key) is figure(glyph.key)
    (space,) = sans().shape(" ")
    assert figure(space.key) == ()


def test_words_along_the_middle_are_planned_as_a_hand_writes_them() -> None:
    # EMMA: 2 + 1 + 1 + 2 plunges without retracing, 4 parts with it [S20: Euler's theorem on trails]
    face = sans()
    drawing = set_words(
        Lettering("EMMA", face="sans", height=50.0, cut="middle"), face, figure_of=figures(face)
    )
    x0, _, x1, _ = drawing.bounds
    plan = tracer.plan(shapes.layout_of(drawing, width_mm=x1 - x0), Job())
    assert plan.totals.plunges_without_retracing == 6
    assert plan.totals.plunges_with_retracing == 4
