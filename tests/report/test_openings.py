"""Loops that close up under the groove."""

import math

import numpy as np
import pytest
import shapely
import shapes
from hypothesis import assume, given
from hypothesis import strategies as st

from tracer.geometry import affine, bezier
from tracer.model.drawing import Kind, Stroke
from tracer.report.openings import Opening, closed_up, find_openings


def stroke(part: shapes.Part, *, width: float | None = 1.0, kind: Kind = "line") -> Stroke:
    return Stroke(1, part.curves, part.closed, kind, None if width is None else np.array([width]))


def openings(line: Stroke, groove: float, holes: tuple[int, ...] = ()) -> tuple[Opening, ...]:
    return find_openings([line], {1: groove}, holes=holes)


@pytest.mark.parametrize(("groove", "closes"), [(5.9, 0), (6.1, 1)])
def test_a_ring_closes_where_the_groove_is_as_wide(groove: float, closes: int) -> None:
    gone = closed_up(openings(stroke(shapes.ring((10, 20), 3.0)), groove))
    assert len(gone) == closes
    for one in gone:
        assert one.where == pytest.approx((10, 20), abs=0.05)
        assert one.radius == pytest.approx(3.0, abs=0.03)
        assert one.lost == pytest.approx(5.0, abs=0.06)
        assert (one.strokes, one.drawn, one.groove) == ((1,), 1.0, groove)


@pytest.mark.parametrize(
    ("part", "radius"),
    [
        (shapes.line((0, 0), (40, 0), (40, 5), (0, 5), (0, 0)), 2.5),
        (shapes.line((0, 0), (3, 0), (0, 4), (0, 0)), 1.0),  # the 3-4-5 triangle's incircle (Euclid IV.4)
    ],
)
def test_the_widest_circle_in_known_figures(part: shapes.Part, radius: float) -> None:
    (one,) = openings(stroke(part), 6.0)
    assert one.radius == pytest.approx(radius, abs=0.03)


def test_a_crescent_about_an_empty_middle_closes() -> None:
    outer, inner = shapes.arc((0, 0), 20.0, 0, 300).curves, shapes.arc((0, 0), 18.0, 300, 0).curves
    caps = [bezier.from_polyline(np.array([a[-1, 3], b[0, 0]])) for a, b in ((outer, inner), (inner, outer))]
    crescent = shapes.Part(np.concatenate([outer, caps[0], inner, caps[1]]), closed=True)
    assert len(closed_up(openings(stroke(crescent, width=0.5), 3.0))) == 1


def test_closed_as_drawn_is_nothing_lost() -> None:
    ring = shapes.ring((0, 0), 1.0)
    assert closed_up(openings(stroke(ring, width=1.6), 3.0)) == ()
    assert len(closed_up(openings(stroke(ring, width=1.4), 3.0))) == 1
    assert len(closed_up(openings(stroke(ring, width=None), 3.0))) == 1


def test_a_stroke_that_crosses_itself_goes_round_twice() -> None:
    (eight,) = shapes.LETTERS["8"]
    small = affine.apply(affine.scaling(0.1), eight.curves)
    gone = closed_up(openings(stroke(shapes.Part(small, closed=True)), 6.0))
    assert sorted(round(one.where[1], 1) for one in gone) == [2.5, 7.5]


def test_a_solid_may_fill_and_its_hole_may_not() -> None:
    edge = stroke(shapes.ring((0, 0), 1.0), kind="edge")
    assert openings(edge, 3.0) == ()
    assert len(closed_up(openings(edge, 3.0, holes=(1,)))) == 1


def test_open_strokes_and_dots_go_round_nothing() -> None:
    assert openings(stroke(shapes.arc((0, 0), 1.0, 0, 300)), 3.0) == ()
    assert openings(stroke(shapes.dot(0, 0), kind="dot"), 3.0) == ()
    flat = shapes.line((0, 0), (9, 0), (0, 0))
    assert closed_up(openings(stroke(flat), 3.0)) == ()


def test_faces_measured_elsewhere_are_judged_alike() -> None:
    face = Opening((3, 4), (0.0, 0.0), radius=1.5, drawn=1.0, groove=3.0)
    wider = Opening((5,), (0.0, 0.0), radius=1.6, drawn=1.0, groove=3.3)
    still = Opening((6,), (0.0, 0.0), radius=1.6, drawn=1.0, groove=3.1)
    assert closed_up([face, wider, still]) == (wider, face)


_RADII = st.lists(st.floats(0.5, 10.0), min_size=4, max_size=12)


@given(_RADII, st.floats(0.5, 12.0), st.floats(0, 7), st.booleans())
def test_it_closes_where_nothing_is_left_inside(
    radii: list[float], groove: float, turn: float, mirror: bool
) -> None:
    # What is left is the figure shrunk by half the groove, by the reference library for geometry
    angle = np.linspace(0, 2 * math.pi, len(radii), endpoint=False)
    points = np.column_stack([np.cos(angle), np.sin(angle)]) * np.array(radii)[:, None]
    figure = shapely.Polygon(points)
    assume(figure.buffer(-groove / 2 + 0.03).is_empty == figure.buffer(-groove / 2 - 0.03).is_empty)
    matrix = affine.compose(affine.rotation(turn), np.array([[1.0, 0, 0], [0, -1.0 if mirror else 1.0, 0]]))
    turned = affine.apply(matrix, points)
    line = Stroke(1, bezier.from_polyline(np.vstack([turned, turned[:1]])), closed=True, kind="line")
    gone = closed_up(openings(line, groove), visible=0.0)
    assert bool(gone) == figure.buffer(-groove / 2).is_empty
