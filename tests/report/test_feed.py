"""Which way round, and why. Marks as in the module: [S14] published direction guidance, [D] our deduction."""

import numpy as np
import pytest
import shapes
from hypothesis import given
from hypothesis import strategies as st

from tracer.acts import Side
from tracer.geometry import affine
from tracer.model.plan import Run
from tracer.report import runs as routes
from tracer.report.feed import fed_well, feed_words
from tracer.report.network import build_network
from tracer.report.order import in_order
from tracer.report.runs import turned_round


def run_of(*parts: shapes.Part) -> Run:
    drawing = shapes.drawing_from(parts)
    (run,) = routes.without_retracing(build_network(drawing.strokes, drawing.joints))
    return run


def clockwise_seen_from_above(run: Run) -> bool:
    """By a point that moves round the middle: y is down, so growing angles are clockwise."""
    points = run.curves[:, 0] - run.curves[:, 0].mean(axis=0)
    angles = np.unwrap(np.arctan2(points[:, 1], points[:, 0]))
    return bool(angles[-1] > angles[0])


@pytest.mark.parametrize(
    ("side", "clockwise"),
    [
        ("outside", False),  # anticlockwise round an outside edge [S14]
        ("inside", True),  # clockwise round the inside of an opening [S14]
        ("on", True),  # the drift to the left goes outwards, away from the wood inside [D]
    ],
)
@pytest.mark.parametrize("turns", [False, True])
def test_closed_runs_go_the_steadier_way_round(side: Side, clockwise: bool, turns: bool) -> None:
    run = run_of(shapes.ring((50, 50), 20))
    run = turned_round(run) if turns else run
    fed = fed_well(run, side)
    assert clockwise_seen_from_above(fed) == clockwise
    assert feed_words(fed, side).startswith("Clockwise" if clockwise else "Anticlockwise")
    assert clockwise_seen_from_above(in_order([run], {}, np.zeros(2), {1: side})[0]) == clockwise


@given(st.floats(0, 6.3), st.floats(1, 40), st.integers(3, 9))
def test_polygons_of_any_size_and_place_go_clockwise(start: float, radius: float, corners: int) -> None:
    angles = start + np.linspace(0, 2 * np.pi, corners, endpoint=False)
    points = [(float(radius * np.cos(a)), float(radius * np.sin(a))) for a in angles]
    fed = fed_well(run_of(shapes.line(*points, points[0])))
    assert clockwise_seen_from_above(fed)
    turned = fed_well(turned_round(fed))
    assert clockwise_seen_from_above(turned)


@pytest.mark.parametrize(
    ("to", "words"),
    [
        (
            (0, 80),
            "Pull it towards you",
        ),  # pull strokes towards you are steadier (common practice, no source)
        ((0, -80), "Push it away from you"),
        ((80, 10), "left to right: the bit pulls to the left of travel, here away from you"),
        ((-80, 10), "right to left: the bit pulls to the left of travel, here towards you"),
    ],
)
def test_open_runs_say_which_way_the_hand_goes(to: tuple[float, float], words: str) -> None:
    run = run_of(shapes.line((0, 0), to))
    assert words in feed_words(run)
    # Where the pivot lies between stylus and bit the hand goes the other way.
    assert words in feed_words(turned_round(run), turned=True)
    assert fed_well(run) is run


def test_a_dot_goes_down_and_up() -> None:
    assert feed_words(run_of(shapes.dot(5, 5))) == "Straight down and up again."


def test_a_closed_run_that_goes_round_nothing_is_left_as_it_is() -> None:
    # Out along a stick and back: two lines that lie on each other.
    run = run_of(shapes.line((0, 0), (50, 0), (0, 0.001), (0, 0)))
    assert fed_well(run) is run
    assert feed_words(run).startswith("From left to right")


@given(st.sampled_from(["O", "8", "S", "L", "T", "ring"]), st.floats(0, 360))
def test_there_is_always_one_sentence(name: str, turn_deg: float) -> None:
    drawing = shapes.drawing_of(name)
    strokes = [s.transformed(affine.rotation(np.radians(turn_deg))) for s in drawing.strokes]
    for run in routes.without_retracing(build_network(strokes, ())):
        words = feed_words(run)
        assert words.endswith(".")
        assert words.count(".") == 1
