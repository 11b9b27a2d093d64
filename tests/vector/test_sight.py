"""Lines that merge or turn at sharp angles, seen by one of their edges."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page, departure

from tracer.model.drawing import Drawing
from tracer.raster.ink import find_ink
from tracer.vector.inset import inset_runs
from tracer.vector.strokes import find_strokes

Point = tuple[float, float]


def astray(drawing: Drawing, *ways: tuple[Point, ...]) -> float:
    """The largest distance from a stroke to the nearest of the lines drawn, or from those to the strokes."""
    found = shapely.MultiLineString([stroke.points(0.01) for stroke in drawing.strokes])
    drawn = shapely.MultiLineString(ways)
    return shapely.hausdorff_distance(found, drawn, densify=0.01)


def parted(start: Point, angle_deg: float, length: float) -> Point:
    a = np.radians(angle_deg)
    return start[0] + length * float(np.cos(a)), start[1] + length * float(np.sin(a))


@settings(max_examples=8)
@given(st.floats(0, 360), st.floats(20, 60), st.sampled_from([9.0, 14.0]))
def test_the_middle_is_half_a_width_inside_the_edge(turn_deg: float, reach: float, width: float) -> None:
    # Along both sides and round both ends: the definition of a round pen's ink.
    ways = (parted((100, 100), turn_deg, -reach), parted((100, 100), turn_deg, reach))
    page = Page(200, 200).line(*ways, width=width)
    ink = find_ink(page.scan)
    (run,) = inset_runs(ink, width * ink.zoom)
    points, line = run.points / ink.zoom, shapely.LineString(ways)
    assert run.closed
    assert shapely.distance(shapely.points(points), line).max() < 0.4
    assert shapely.hausdorff_distance(shapely.LineString(points), line, densify=0.01) < 0.4


@pytest.mark.parametrize("down", [1.4, 1.6, 2.2])
@pytest.mark.parametrize("width", [9.0, 14.0])
def test_a_pen_that_turns_in_a_tip_comes_back_beside_itself(width: float, down: float) -> None:
    # Like a written r: up to the tip, a short way down, and on to the right.
    w = width
    way = ((60.0, 180.0), (120.0, 80.0), (120.0, 80 + down * w), (220.0, 80 + down * w))
    drawing = Page(280, 240).line(*way, width=width).drawing
    assert astray(drawing, way) < 0.2 * width
    ends = [end for stroke in drawing.strokes for end in (stroke.curves[0, 0], stroke.curves[-1, -1])]
    tip = np.array(way[1])
    assert sum(np.hypot(*(end - tip)) < width / 2 for end in ends) != 1  # it does not end there


def test_edges_under_colouring_lead_no_lines() -> None:
    way = ((60.0, 180.0), (120.0, 80.0), (120.0, 102.4), (220.0, 102.4))
    page = Page(280, 240).line(*way, width=14.0)
    ink = find_ink(page.scan)
    everywhere = replace(ink, coloured=np.ones_like(ink.line))
    assert astray(find_strokes(page.scan, ink), way) < 2.8
    assert astray(find_strokes(page.scan, everywhere), way) > 2.8  # the tip is not come back from


@pytest.mark.parametrize("between_deg", [12, 16, 20])
@pytest.mark.parametrize("width", [9.0, 14.0])
def test_lines_that_part_at_a_small_angle_keep_to_their_edges(between_deg: float, width: float) -> None:
    # A stem drawn down and up again, like that of a written n: one way back leaves it slowly.
    root = (60.0, 200.0)
    stem, branch = parted(root, -70, 170), parted(root, between_deg - 70, 170)
    drawing = Page(280, 260).line(root, stem, width=width).line(root, branch, width=width).drawing
    assert astray(drawing, (root, stem), (root, branch)) < 0.12 * width


@pytest.mark.parametrize("width", [9.0, 14.0])
@pytest.mark.parametrize("turn_deg", [0, 30])
def test_a_ring_that_its_own_ink_fills_is_a_ring(width: float, turn_deg: float) -> None:
    # The dot of a single-stroke i: a small square, not as wide inside as the pen.
    corners = [parted((100.3, 80.4), turn_deg + 90 * k, 0.7 * width) for k in range(5)]
    page = Page(200, 200).line(*corners, width=width).line((60, 150.3), (150, 150.3), width=width)
    dot, _ = page.drawing.strokes
    assert dot.closed
    assert departure(dot, *corners) < 0.12 * width


@pytest.mark.parametrize("radius", [4.5, 6.5])
def test_a_dot_stays_a_dot(radius: float) -> None:
    page = Page(200, 200).disc(100.3, 80.4, radius).line((60, 150.3), (150, 150.3), width=9)
    assert [stroke.kind for stroke in page.drawing.strokes] == ["dot", "line"]


@pytest.mark.parametrize("width", [11.0, 15.0])
def test_the_narrow_way_back_from_a_tip_is_seen_by_its_lean(width: float) -> None:
    # A written r with its stem: the sides of its tip lean by 10 degrees, and one is seen for half a width.
    w, tip = width, (120.0, 70.0)
    up, back = parted(tip, 120, 150), parted(tip, 110, 3.2 * w)
    arch = ((120 + 0.3 * w, 70 + 1.5 * w), (120 + 2.5 * w, 70 + 1.1 * w), (120 + 5.3 * w, 70 + 1.1 * w))
    ways = ((up, tip, back), ((back[0] - 8, back[1] + 70), back, *arch))
    page = Page(260, 240)
    for way in ways:
        page = page.line(*way, width=width)
    assert astray(page.drawing, *ways) < 0.2 * width


def test_a_line_does_not_end_on_the_bend_that_it_runs_into() -> None:
    # A printed r: its stem ends below the bend, whose corner must not be taken for the stem's own end.
    stem = ((120.0, 240.0), (120.0, 124.0))
    bend = ((60.0, 91.0), (95.0, 91.0), (111.0, 98.0), (120.0, 123.0), (136.0, 106.0), (160.0, 91.0))
    drawing = Page(300, 300).line(*stem, width=15.0).line(*bend, width=15.0).drawing
    assert astray(drawing, stem, bend) < 0.15 * 15
    assert len(drawing.strokes) == 2


def test_lines_cross_whose_bends_lie_beside_the_crossing() -> None:
    # A written z: what is seen of its bends is shorter than the pen is wide, and leads over the crossing.
    down = ((150.0, 60.0), (90.0, 92.0), (105.0, 103.0), (117.0, 129.0), (117.0, 220.0))
    over = ((200.0, 70.0), (125.0, 115.0), (60.0, 175.0))
    drawing = Page(300, 300).line(*down, width=15.0).line(*over, width=15.0).drawing
    assert sorted(len(joint.members) for joint in drawing.joints) == [2]
    assert len(drawing.strokes) == 2


@pytest.mark.parametrize("width", [10.0, 13.0])
def test_the_bowl_of_a_letter_is_one_line_with_its_stem(width: float) -> None:
    # A written d in one go: round the bowl, and along the stem.
    stem = ((190.0, 50.0), (150.0, 170.0), (150.0, 200.0), (175.0, 215.0), (220.0, 200.0))
    bowl = ((150.0, 170.0), (120.0, 215.0), (80.0, 215.0), (60.0, 190.0), (70.0, 140.0), (100.0, 110.0))
    bowl = (*bowl, (140.0, 110.0), (160.0, 135.0), (150.0, 170.0))
    drawing = Page(300, 300).line(*stem, width=width).line(*bowl, width=width).drawing
    curves = [stroke.curves for stroke in drawing.strokes]
    ends = np.array([end for own in curves for end in (own[0, 0], own[-1, -1])])
    assert all(np.hypot(*(ends - tip).T).min() < 0.3 * width for tip in (stem[0], stem[-1]))
    assert len(drawing.strokes) == 1
