"""Grooves inside and outside of edges: as far off as half the groove, smooth, said where there is no room."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
import shapes
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tracer.acts import Acts, Side
from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Region, Stroke
from tracer.model.layout import Layout
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.report.decided import Decided, decide
from tracer.report.sided import NO_ROOM, move_edges
from tracer.report.stops import find_stops
from tracer.shop.linkage import Linkage

Array = NDArray[np.float64]

W = Job().groove


def edge(part: shapes.Part) -> shapes.Part:
    return shapes.Part(part.curves, closed=True, kind="edge")


def box(x0: float, y0: float, x1: float, y1: float) -> shapes.Part:
    return edge(shapes.line((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)))


def laid(parts: Sequence[shapes.Part], regions: Sequence[Region], width: float) -> Layout:
    drawing = replace(shapes.drawing_from(list(parts)), regions=tuple(regions))
    return shapes.layout_of(drawing, width_mm=width)


def moved(layout: Layout, sides: dict[int, Side], **more: Any) -> Decided:
    job = Job(acts=Acts(sides=sides), **more)
    decided = decide(layout, job)
    return move_edges(layout, job, decided, find_stops(decided.strokes, job))[0]


def stroke_of(decided: Decided, number: int) -> Stroke:
    return next(stroke for stroke in decided.strokes if stroke.number == number)


def gaps(track: Stroke, edges: Sequence[Stroke]) -> Array:
    """Distances of the track's points from the edges."""
    lines = shapely.unary_union([shapely.linestrings(one.points(0.0005)) for one in edges])
    found: Array = shapely.distance(shapely.points(track.points(0.001)), lines)
    return found


def turns(track: Stroke) -> Array:
    """Angles in degrees by which the track turns from one cubic to the next."""
    last = np.arange(len(track.curves))
    into = bezier.tangents_at(track.curves, last + 1 - 1e-9)
    out = np.roll(bezier.tangents_at(track.curves, last + 1e-9), -1, axis=0)
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    return np.degrees(np.abs(np.arctan2(cross, (into * out).sum(axis=1))))


@pytest.mark.parametrize("ratio", [0.4, 0.5, 0.6])
def test_incised_solid(ratio: float) -> None:
    """The printed track of an incised letter is its outline offset inward by w/(2k) (derived by geometry)."""
    layout = laid([box(0, 0, 40, 40)], [Region(1)], 40.0)
    track = stroke_of(moved(layout, {1: "inside"}, linkage=Linkage(ratio)), 1)
    (x0, y0, x1, y1), (a0, b0, a1, b1) = layout.extent, track.bounds
    on_template = np.array([a0 - x0, b0 - y0, x1 - a1, y1 - b1]) / ratio
    assert on_template == pytest.approx(W / (2 * ratio), abs=0.001)
    assert len(track.curves) == 4
    assert track.length == pytest.approx(4 * (40 - W), abs=0.01)


def test_raised_solid_is_gone_round_its_corners() -> None:
    track = stroke_of(moved(laid([box(0, 0, 40, 40)], [Region(1)], 40.0), {1: "outside"}), 1)
    assert track.length == pytest.approx(4 * 40 + math.pi * W, abs=0.01)
    assert len(track.curves) == 8
    assert turns(track).max() < 0.1


def test_holes_of_a_solid_take_the_other_side() -> None:
    layout = laid(
        [edge(shapes.ring((50, 50), 50)), edge(shapes.ring((50, 50), 30))], [Region(1, (2,))], 100.0
    )
    for side, sign in (("inside", 1), ("outside", -1)):
        found = moved(layout, {1: side, 2: side})  # type: ignore[dict-item]
        sizes = [stroke_of(found, n).bounds[2] - stroke_of(found, n).bounds[0] for n in (1, 2)]
        assert sizes == pytest.approx([100 - sign * W, 60 + sign * W], abs=0.02)
        assert [len(stroke.curves) for stroke in found.strokes] == [4, 4]
        assert found.findings == ()


def test_edges_of_one_solid_on_different_sides() -> None:
    layout = laid(
        [edge(shapes.ring((50, 50), 50)), edge(shapes.ring((50, 50), 30))], [Region(1, (2,))], 100.0
    )
    found = moved(layout, {2: "inside"})
    assert stroke_of(found, 1).bounds == pytest.approx(layout.strokes[0].bounds)
    assert stroke_of(found, 2).bounds[2] - stroke_of(found, 2).bounds[0] == pytest.approx(60 + W, abs=0.02)
    found = moved(layout, {1: "inside", 2: "outside"})
    sizes = [stroke_of(found, n).bounds[2] - stroke_of(found, n).bounds[0] for n in (1, 2)]
    assert sizes == pytest.approx([100 - W, 60 - W], abs=0.02)


def test_the_side_a_solid_came_with() -> None:
    layout = laid([box(0, 0, 40, 40)], [Region(1, side="inside")], 40.0)
    assert stroke_of(moved(layout, {}), 1).length == pytest.approx(4 * (40 - W), abs=0.01)
    assert stroke_of(moved(layout, {1: "on"}), 1).length == pytest.approx(4 * 40, abs=0.01)


def smooth(radii: Sequence[float]) -> shapes.Part:
    """A closed smooth outline through points at `radii` round a middle."""
    angles = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    points = np.column_stack([np.cos(angles), np.sin(angles)]) * np.array(radii)[:, None]
    after = np.roll(points, -1, axis=0)
    slope = (after - np.roll(points, 1, axis=0)) / 6
    curves = np.stack([points, points + slope, after - np.roll(slope, -1, axis=0), after], axis=1)
    return shapes.Part(curves, closed=True, kind="edge")


@settings(max_examples=15)
@given(st.lists(st.floats(24, 36), min_size=8, max_size=12), st.sampled_from(["inside", "outside"]))
def test_tracks_of_smooth_outlines(radii: list[float], side: Side) -> None:
    layout = laid([smooth(radii)], [Region(1)], 66.0)
    track = stroke_of(moved(layout, {1: side}), 1)
    assert gaps(track, layout.strokes) == pytest.approx(W / 2, abs=0.012)
    assert turns(track)[turns(track) < 10] == pytest.approx(0, abs=0.5)  # smooth but where stretches meet
    assert len(track.curves) <= 6 * len(radii)
    inside = shapely.Polygon(layout.strokes[0].points(0.001))
    groove = shapely.LinearRing(track.points(0.001)).buffer(W / 2 - 0.012)
    assert inside.contains(groove) if side == "inside" else not inside.intersects(groove)


# Two discs joined by a bar 1 mm wide, narrower than the groove.
DUMBBELL = edge(
    shapes.line(
        *((10 + 10 * math.cos(a), 10 + 10 * math.sin(a)) for a in np.linspace(0.05, 2 * math.pi - 0.05, 40)),
        *(
            (50 + 10 * math.cos(a), 10 + 10 * math.sin(a))
            for a in np.linspace(math.pi + 0.05, 3 * math.pi - 0.05, 40)
        ),
        (10 + 10 * math.cos(0.05), 10 + 10 * math.sin(0.05)),
    )
)


def test_where_a_solid_is_narrower_than_the_groove_its_track_falls_into_pieces() -> None:
    parts = [DUMBBELL, shapes.line((0, 30), (60, 30))]
    layout = laid(parts, [Region(1)], 60.0)
    found = moved(layout, {1: "inside"})
    assert [stroke.number for stroke in found.strokes] == [1, 2, 3]
    assert [stroke.kind for stroke in found.strokes] == ["edge", "line", "edge"]
    (finding,) = found.findings
    assert (finding.check, finding.severity) == ("solid narrower than the groove", "loss")
    assert finding.measured == pytest.approx(1.0, abs=0.03)
    assert finding.limit == pytest.approx(W)
    assert finding.strokes == (1, 3)
    assert "The track falls into pieces, and the others are stroke 3." in finding.message
    assert "side “on”" in finding.remedy
    plan = plan_of(layout, {1: "inside"})
    assert {groove.stroke for groove in plan.grooves} == {1, 2, 3}
    assert [f.check for f in plan.findings if f.severity == "loss"] == ["solid narrower than the groove"]


def plan_of(layout: Layout, sides: dict[int, Side], **more: Any) -> Plan:
    return build_plan(layout, Job(acts=Acts(sides=sides), **more))


def test_the_remedy_for_a_narrow_solid_works() -> None:
    layout = laid([DUMBBELL], [Region(1)], 60.0)
    assert "at 0.8 mm (1/32 in) deep" in moved(layout, {1: "inside"}).findings[0].remedy
    assert moved(layout, {1: "inside"}, depth=0.8).findings == ()
    assert moved(layout, {1: "inside"}, depth=0.90).findings != ()


def test_no_room_at_all() -> None:
    layout = laid([box(0, 0, 60, 1), box(0, 10, 60, 30)], [Region(1), Region(2)], 60.0)
    plan = plan_of(layout, {1: "inside", 2: "inside"})
    assert [(one.stroke, one.reason) for one in plan.dropped] == [(1, NO_ROOM)]
    finding = next(f for f in plan.findings if f.check == "solid narrower than the groove")
    assert (finding.strokes, finding.severity) == ((1,), "loss")
    assert finding.measured == pytest.approx(1.0, abs=0.03)
    assert "Nothing can be cut there" in finding.message


def test_a_stem_all_round_too_thin_on_one_hand() -> None:
    parts = [edge(shapes.ring((50, 50), 50)), edge(shapes.ring((52, 50), 47))]
    layout = laid(parts, [Region(1, (2,))], 100.0)
    found = moved(layout, {1: "inside", 2: "inside"})
    (gone,) = found.left_out
    (finding,) = found.findings
    assert f"The tracks run together, and stroke {gone} has no track of its own." in finding.message
    assert gaps(stroke_of(found, 3 - gone), layout.strokes) == pytest.approx(W / 2, abs=0.012)


def test_a_gap_that_the_bit_does_not_get_into() -> None:
    notched = edge(
        shapes.line(
            (0, 0), (60, 0), (60, 40), (30.5, 40), (30.5, 10), (29.5, 10), (29.5, 40), (0, 40), (0, 0)
        )
    )
    (finding,) = moved(laid([notched], [Region(1)], 60.0), {1: "outside"}).findings
    assert (finding.check, finding.severity) == ("gap narrower than the groove", "loss")
    assert finding.measured == pytest.approx(1.0, abs=0.03)
    assert "does not get in there" in finding.message


def test_sharp_corners_are_no_narrow_solid() -> None:
    triangle = edge(shapes.line((0, 0), (60, 0), (30, 52), (0, 0)))
    assert moved(laid([triangle], [Region(1)], 60.0), {1: "inside"}).findings == ()


def test_lines_that_end_at_a_moved_edge_meet_its_track_where_it_crosses_them() -> None:
    parts = [box(0, 0, 40, 40), shapes.line((40, 20), (80, 20))]
    layout = laid(parts, [Region(1)], 80.0)
    assert len(layout.joints) == 1
    outside = moved(layout, {1: "outside"})
    (joint,) = outside.joints
    assert joint.point - layout.joints[0].point == pytest.approx([W / 2, 0], abs=0.01)
    assert {number for number, _ in joint.members} == {1, 2}
    assert stroke_of(outside, 2).length == pytest.approx(40 - W / 2, abs=0.01)  # not into the solid
    assert moved(layout, {1: "inside"}).joints == ()
    assert plan_of(layout, {1: "outside"}).totals.plunges == 1


def test_what_is_left_out_is_not_moved() -> None:
    layout = laid([box(0, 0, 60, 1)], [Region(1)], 60.0)
    job = Job(acts=Acts(sides={1: "inside"}, leave_out=(1,)))
    decided = decide(layout, job)
    assert move_edges(layout, job, decided, find_stops(decided.strokes, job))[0] is decided
