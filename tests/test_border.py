import math

import numpy as np
import pytest
import shapely

from tracer.border import border_drawing
from tracer.geometry import bezier
from tracer.geometry.flatten import flatten


@pytest.mark.parametrize("radius", [0.0, 12.0, 40.0])
def test_it_is_a_rectangle_with_rounded_corners(radius: float) -> None:
    drawing = border_drawing(300.0, 80.0, radius)
    (stroke,) = drawing.strokes
    assert (stroke.kind, stroke.closed, stroke.widths, drawing.mm_per_px) == ("line", True, None, 1.0)
    assert drawing.bounds == pytest.approx((0.0, 0.0, 300.0, 80.0), abs=1e-9)
    # Sides without their corners, and a circle's circumference: plane geometry.
    assert stroke.length == pytest.approx(2 * (300 + 80) - 8 * radius + 2 * math.pi * radius, rel=1e-6)
    whole = shapely.box(0, 0, 300, 80)
    wanted = whole.buffer(-radius).buffer(radius, quad_segs=400) if radius < 40 else None
    if wanted is not None:
        assert shapely.Polygon(flatten(stroke.curves, 1e-4)).hausdorff_distance(wanted) < 0.01


def test_it_runs_clockwise_as_seen_from_the_middle_of_the_lower_side_and_closes() -> None:
    (stroke,) = border_drawing(300.0, 80.0, 12.0).strokes
    assert stroke.curves[0, 0].tolist() == stroke.curves[-1, 3].tolist() == [150.0, 80.0]
    assert np.abs(stroke.curves[1:, 0] - stroke.curves[:-1, 3]).max() < 1e-12
    points = flatten(stroke.curves, 0.1)
    x, y = points.T
    # The shoelace sum is positive clockwise where y points down.
    assert (x[:-1] * y[1:] - x[1:] * y[:-1]).sum() > 0
    assert (bezier.lengths(stroke.curves) > 0).all()


def test_its_corners_leave_no_straight_between_where_they_take_all_of_a_side() -> None:
    (stroke,) = border_drawing(300.0, 80.0, 40.0).strokes
    assert (bezier.lengths(stroke.curves) > 1e-6).all()
    assert stroke.length == pytest.approx(2 * 220 + 2 * math.pi * 40, rel=1e-6)


def test_asked_again_it_is_the_same_drawing() -> None:
    assert border_drawing(300.0, 80.0, 5.0) is border_drawing(300.0, 80.0, 5.0)
    assert border_drawing(300.0, 80.0, 5.0) is not border_drawing(300.0, 80.0, 6.0)
