"""Lines that end at a solid left standing are cut short before it."""

from collections.abc import Sequence

import numpy as np
import pytest
import shapely
import shapes
from hypothesis import given
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.model.drawing import Joint, Stroke
from tracer.report.trimmed import Standing, trim_ends

SOLID = Standing(shapely.box(0, 0, 40, 40), 1.0)


def strokes_of(parts: Sequence[shapes.Part]) -> list[Stroke]:
    return [Stroke(n, part.curves, part.closed, part.kind) for n, part in enumerate(parts, start=1)]


def trimmed(*parts: shapes.Part) -> list[Stroke]:
    return list(trim_ends(strokes_of(parts), (), [SOLID])[0])


def test_a_line_that_ends_at_the_solid_ends_half_a_groove_before_it() -> None:
    (line,) = trimmed(shapes.line((40, 20), (80, 20)))
    assert line.curves[0, 0] == pytest.approx([41, 20], abs=1e-6)
    assert line.curves[-1, 3] == pytest.approx([80, 20])
    (line,) = trimmed(shapes.line((80, 20), (60, 20), (38.5, 20)))
    assert line.curves[-1, 3] == pytest.approx([41, 20], abs=1e-6)
    (line,) = trimmed(shapes.line((39, 20), (60, 20), (60, 60), (20, 60), (20, 40)))
    assert line.length == pytest.approx(19 + 40 + 40 + 19, abs=1e-5)


@pytest.mark.parametrize(
    "part",
    [
        shapes.line((41.01, 20), (80, 20)),  # far enough
        shapes.line((10, 10), (30, 30)),  # drawn in the solid
        shapes.line((20, 20), (80, 20)),  # from deep inside
        shapes.ring((40, 20), 5),  # no ends
        shapes.Part(shapes.line((40, 20), (80, 20)).curves, kind="edge"),
        shapes.line((40.1, 10), (40.1, 30)),  # nothing would be left
    ],
)
def test_what_stays_as_it_is(part: shapes.Part) -> None:
    (stroke,) = trimmed(part)
    assert stroke.curves == pytest.approx(part.curves)


def test_joints_keep_their_points() -> None:
    parts = [
        shapes.line((40, 20), (60, 20), (80, 20)),
        shapes.line((50, 0), (50, 50)),
        shapes.line((70, 0), (70, 50)),
        shapes.line((40, 20), (40.5, 40)),
    ]
    members = [((1, 0.5), (2, 0.4)), ((1, 1.5), (3, 0.4)), ((1, 0.0), (4, 0.0))]
    joints = [Joint(np.array(at), m) for at, m in zip(((50, 20), (70, 20), (40, 20)), members, strict=True)]
    strokes, found = trim_ends(strokes_of(parts), joints, [SOLID])
    assert [{n for n, _ in joint.members} for joint in found] == [{1, 2}, {1, 3}]
    for joint in found:
        for number, t in joint.members:
            assert bezier.points_at(strokes[number - 1].curves, np.array([t]))[0] == pytest.approx(
                joint.point
            )


@given(st.integers(1, 5), st.booleans(), st.integers(0, 10**6))
def test_places_on_what_is_left_are_the_same_points(count: int, turned: bool, seed: int) -> None:
    draw = np.random.default_rng(seed)
    points = np.column_stack([40 + 10 * np.arange(count + 1), 20 + draw.uniform(-5, 5, count + 1)])
    curves = bezier.from_polyline(points)
    curves = bezier.reverse(curves) if turned else curves
    t = draw.uniform(0.4, 0.99) + draw.integers(0, count)
    t = count - t if turned else t
    (point,) = bezier.points_at(curves, np.array([t]))
    other = Stroke(2, shapes.line((200, 0), (300, 0)).curves, False, "line")
    joint = Joint(point, ((1, float(t)), (2, 0.5)))
    (line, _), (found,) = trim_ends([Stroke(1, curves, False, "line"), other], [joint], [SOLID])
    assert line.length < bezier.length(curves)
    assert bezier.points_at(line.curves, np.array([found.members[0][1]]))[0] == pytest.approx(point)


def test_a_line_across_a_gap_narrower_than_the_groove_stays() -> None:
    strokes = strokes_of([shapes.line((40, 20), (41.5, 20))])
    other = Standing(shapely.box(41.5, 0, 80, 40), 1.0)
    (line,), _ = trim_ends(strokes, (), [SOLID, other])
    assert line is strokes[0]
