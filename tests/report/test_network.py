"""Strokes cut at their joints: every stretch once, from node to node."""

import numpy as np
import pytest
import shapes
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.model.drawing import Drawing, Joint, Stroke
from tracer.report.hops import Hop
from tracer.report.network import STUB, build_network

SHAPES = {name: shapes.drawing_of(name) for name in shapes.NAMES}


def line(number: int, *points: tuple[float, float]) -> Stroke:
    return Stroke(number, bezier.from_polyline(np.array(points, float)), closed=False, kind="line")


@pytest.mark.parametrize("name", shapes.NAMES)
def test_every_stroke_is_its_edges_laid_end_to_end(name: str) -> None:
    drawing = SHAPES[name]
    network = build_network(drawing.strokes, drawing.joints)
    for index, (edge, curves) in enumerate(zip(network.edges, network.curves, strict=True)):
        assert network.lengths[index] == pytest.approx(bezier.length(curves), rel=1e-6, abs=1e-9)
        tips = network.points[[edge.tail, edge.head]]
        assert np.abs(curves[[0, -1], [0, 3]] - tips).max() < 0.6  # joints are found within 0.5 px
        assert np.allclose(curves[1:, 0], curves[:-1, 3])
    for stroke in drawing.strokes:
        own = [i for i, edge in enumerate(network.edges) if edge.stroke is stroke]
        assert network.lengths[own].sum() == pytest.approx(stroke.length, rel=1e-6, abs=1e-9)
        assert sum(network.edges[i].end - network.edges[i].start for i in own) == pytest.approx(
            len(stroke.curves)
        )


def test_a_closed_stroke_ends_where_its_first_edge_began() -> None:
    # A ring met at a quarter and at three quarters of its way: two halves, the second through its start.
    drawing = shapes.drawing_from([shapes.ring((0, 0), 100), shapes.line((0, -150), (0, 150))])
    network = build_network(drawing.strokes, drawing.joints)
    halves = [i for i, edge in enumerate(network.edges) if edge.stroke.closed]
    assert sorted(round(network.edges[i].end, 3) for i in halves) == [3.0, 5.0]
    assert network.lengths[halves] == pytest.approx([100 * np.pi] * 2, rel=1e-3)  # half a circle
    right = [network.curves[i][:, 0, 0].max() for i in halves]
    assert sorted(np.round(right)) == [0, 100]  # one half lies left of the line, the other right


def test_an_end_within_a_stub_of_a_joint_is_at_it() -> None:
    def ends(beyond: float) -> int:
        strokes = [line(1, (0, 0), (100, 0)), line(2, (50, 80), (50, -beyond))]
        joint = Joint(np.array([50.0, 0.0]), ((1, 0.5), (2, 80 / (80 + beyond))))
        return len(build_network(strokes, [joint]).edges)

    assert ends(0.5 * STUB) == 3
    assert ends(2.0 * STUB) == 4


def test_joints_fall_away_with_the_strokes_they_joined() -> None:
    drawing = SHAPES["T"]
    assert len(build_network(drawing.strokes, drawing.joints).edges) == 3
    assert len(build_network(drawing.strokes[:1], drawing.joints).edges) == 1
    assert build_network([], drawing.joints).edges == ()


def test_a_hop_is_an_edge_and_cuts_the_strokes_it_joins() -> None:
    strokes = [line(1, (0, 0), (100, 0)), line(2, (0, 2), (100, 2))]
    hop = Hop(1, 0.25, 2, 0.25, np.array([[25.0, 0.0], [25.0, 2.0]]))
    network = build_network(strokes, [], [hop])
    assert sorted(network.lengths.round(6).tolist()) == [2, 25, 25, 75, 75]
    assert len(np.unique(network.parts)) == 1
    assert np.allclose(network.directions[-1], [[0, 1], [0, -1]])


def test_a_hop_from_a_joint_leaves_the_joint() -> None:
    # At (0, 0) a joint of two strokes and two hops: one node, and no edge without length.
    strokes = [
        line(1, (0, 0), (50, 0)),
        line(2, (0, 0), (0, 50)),
        line(3, (-1, 0), (-50, 0)),
        line(4, (0, -1), (0, -50)),
    ]
    joint = Joint(np.zeros(2), ((1, 0.0), (2, 0.0)))
    hops = [
        Hop(1, 0.0, 3, 0.0, np.array([[0.0, 0], [-1, 0]])),
        Hop(2, 0.0, 4, 0.0, np.array([[0.0, 0], [0, -1]])),
    ]
    network = build_network(strokes, [joint], hops)
    assert sorted(network.lengths.round(6).tolist()) == [1, 1, 49, 49, 50, 50]
    assert sorted(network.degrees.tolist()) == [1, 1, 1, 1, 2, 2, 4]
    assert len(np.unique(network.parts)) == 1


@settings(deadline=None)
@given(st.sampled_from(sorted(SHAPES)), st.randoms(use_true_random=False))
def test_the_order_of_strokes_and_joints_does_not_matter(name: str, random: object) -> None:
    drawing = SHAPES[name]
    strokes, joints = list(drawing.strokes), list(drawing.joints)
    random.shuffle(strokes)  # type: ignore[attr-defined]
    random.shuffle(joints)  # type: ignore[attr-defined]
    one = build_network(drawing.strokes, drawing.joints)
    two = build_network(strokes, joints)
    assert sorted(one.degrees.tolist()) == sorted(two.degrees.tolist())
    assert sorted(one.lengths.round(6).tolist()) == sorted(two.lengths.round(6).tolist())


@given(st.sampled_from(sorted(SHAPES)))
def test_directions_leave_the_node(name: str) -> None:
    drawing: Drawing = SHAPES[name]
    network = build_network(drawing.strokes, drawing.joints)
    for edge, curves, (out, back) in zip(network.edges, network.curves, network.directions, strict=True):
        if edge.stroke.kind == "dot":
            continue
        first, last = curves[0], curves[-1]
        assert out @ (first[1] - first[0]) > 0
        assert back @ (last[2] - last[3]) > 0
        assert np.hypot(*out) == pytest.approx(1.0)
