"""Lines that merge or turn at sharp angles, seen by one of their edges."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page, departure

from tracer.model.drawing import Drawing
from tracer.raster.ink import find_ink
from tracer.vector.inset import inset_runs

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


@pytest.mark.parametrize("width", [9.0, 14.0])
def test_a_pen_that_turns_in_a_tip_comes_back_beside_itself(width: float) -> None:
    # Like a written r: up to the tip, a short way down, and on to the right.
    w = width
    way = ((60.0, 180.0), (120.0, 80.0), (120.0, 80 + 2.2 * w), (220.0, 80 + 2.2 * w))
    drawing = Page(280, 240).line(*way, width=width).drawing
    assert astray(drawing, way) < 0.2 * width
    ends = [end for stroke in drawing.strokes for end in (stroke.curves[0, 0], stroke.curves[-1, -1])]
    tip = np.array(way[1])
    assert sum(np.hypot(*(end - tip)) < width / 2 for end in ends) != 1  # it does not end there


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
