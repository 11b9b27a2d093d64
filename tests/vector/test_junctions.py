"""Where lines meet: which go on, which end, and what is no line at all."""

from pathlib import Path

import cv2
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import Page, departure, ends_of, traced
from scipy.ndimage import gaussian_filter1d

from tracer.model.drawing import Drawing
from tracer.model.ink import Ink
from tracer.vector.explain import Explanation
from tracer.vector.links import Links
from tracer.vector.network import Branch, Network
from tracer.vector.samples import Samples

Point = tuple[float, float]


def failing(case: tuple[float, ...], reason: str) -> object:
    return pytest.param(*case, marks=pytest.mark.xfail(strict=True, reason=reason))


def towards(start: Point, turn_deg: float, length: float) -> Point:
    a = np.radians(turn_deg)
    return start[0] + length * float(np.cos(a)), start[1] + length * float(np.sin(a))


def crossing(between_deg: float, turn_deg: float, width: float) -> tuple[Drawing, list[tuple[Point, Point]]]:
    middle = (180.3, 179.6)
    page, ways = Page(360, 360), []
    for turn in (turn_deg, turn_deg + between_deg):
        ways.append((towards(middle, turn, 14 * width), towards(middle, turn + 180, 14 * width)))
        page.line(*ways[-1], width=width)
    return page.drawing, ways


@settings(max_examples=10)
@given(st.floats(45, 135), st.floats(0, 180), st.sampled_from([8.0, 12.0]))
def test_two_lines_cross_at_any_angle(between_deg: float, turn_deg: float, width: float) -> None:
    drawing, ways = crossing(between_deg, turn_deg, width)
    assert (len(drawing.strokes), len(drawing.joints)) == (2, 1)
    assert max(min(departure(stroke, *way) for way in ways) for stroke in drawing.strokes) < 0.5


@pytest.mark.parametrize("between_deg", [25, 30, 35, 40])
@pytest.mark.parametrize("turn_deg", [55, 160])
@pytest.mark.parametrize("width", [4.0, 8.0, 12.0])
def test_two_lines_cross_at_a_small_angle(between_deg: float, turn_deg: float, width: float) -> None:
    drawing, ways = crossing(between_deg, turn_deg, width)
    assert (len(drawing.strokes), len(drawing.joints)) == (2, 1)
    assert max(min(departure(stroke, *way) for way in ways) for stroke in drawing.strokes) < 0.5


@settings(max_examples=10)
@given(st.floats(45, 135), st.sampled_from([5.0, 8.0, 12.0]), st.floats(-0.5, 0.5))
def test_a_bar_stays_straight_past_a_stem(lean_deg: float, width: float, shift: float) -> None:
    foot = (150.0, 60 + shift)
    bar = ((40.0, 60 + shift), (260.0, 60 + shift))
    drawing = Page().line(*bar, width=width).line(foot, towards(foot, lean_deg, 110), width=width).drawing
    assert (len(drawing.strokes), len(drawing.joints)) == (2, 1)
    assert departure(max(drawing.strokes, key=lambda stroke: stroke.length), *bar) < 0.5


@pytest.mark.parametrize("width", [5.0, 8.0, 12.0])
@pytest.mark.parametrize("lean_deg", [45, 60, 90, 110, 135])
def test_a_stem_meets_its_bar_where_it_was_drawn(lean_deg: int, width: float) -> None:
    foot, end = (150.3, 60.4), towards((150.3, 60.4), lean_deg, 110)
    drawing = Page().line((40, 60.4), (260, 60.4), width=width).line(foot, end, width=width).drawing
    stem = min(drawing.strokes, key=lambda stroke: stroke.length)
    assert departure(stem, foot, end) < 0.15 * width
    assert np.hypot(*(drawing.joints[0].point - foot)) < 0.15 * width


@pytest.mark.parametrize(
    ("width", "turn_deg"),
    [
        *((w, t) for w in (5, 8, 12) for t in (0, 17, 45) if (w, t) != (5, 17)),
        failing((5, 17), "a track of a thin pen strays, and two joints are found"),
    ],
)
def test_three_lines_meet_in_their_point(width: float, turn_deg: int) -> None:
    middle = (150.3, 120.4)
    page = Page(300, 240)
    for k in range(3):
        page.line(middle, towards(middle, turn_deg + 120 * k, 90), width=width)
    drawing = page.drawing
    (joint,) = drawing.joints
    assert np.hypot(*(joint.point - middle)) < 0.15 * width
    ends = [t in {0, len(drawing.strokes[number - 1].curves)} for number, t in joint.members]
    assert sum(1 if end else 2 for end in ends) == 3


LEANS = "an end that short beyond a bar becomes a stroke of its own, and leans"


@pytest.mark.parametrize(
    ("width", "beyond"),
    [
        *((width, beyond) for width in (8, 12) for beyond in (1.5, 4)),
        *(failing((width, 0.9), LEANS) for width in (8, 12)),
    ],
)
def test_a_line_that_passes_another_ends_beyond_it(width: float, beyond: float) -> None:
    # The pen stopped `beyond` widths past the middle of the bar.
    bar = ((40.0, 80.3), (260.0, 80.3))
    stem = ((150.3, 80.3 - beyond * width), (150.3, 180.0))
    drawing = Page().line(*bar, width=width).line(*stem, width=width).drawing
    assert (len(drawing.strokes), len(drawing.joints)) == (2, 1)
    bars, stems = sorted(drawing.strokes, key=lambda stroke: -stroke.length)
    assert departure(bars, *bar) < 0.5
    assert np.hypot(*(ends_of(stems) - stem).T).max() < 0.1 * width


LOST = "a stub that short is taken for a ragged edge"


@pytest.mark.parametrize(
    ("width", "turn_deg", "beyond"),
    [
        *((width, turn, 1.4) for width in (8, 15) for turn in (60, 90, 120)),
        (8, 90, 0.9),
        failing((4, 90, 1.4), LOST),
        *(failing((*case, 0.9), LOST) for case in [(8, 60), (8, 120), (15, 60), (15, 90)]),
    ],
)
def test_a_stub_is_kept(width: float, turn_deg: float, beyond: float) -> None:
    # The pen stopped `beyond` widths from the middle of the bar: as much ink juts out of the bar's edge.
    root = (150.3, 80.4)
    end = towards(root, turn_deg, beyond * width)
    drawing = Page().line((40, 80.4), (260, 80.4), width=width).line(root, end, width=width).drawing
    assert (len(drawing.strokes), len(drawing.joints)) == (2, 1)
    bar, stub = sorted(drawing.strokes, key=lambda stroke: -stroke.length)
    assert departure(bar, (40, 80.4), (260, 80.4)) < 0.5
    assert min(np.hypot(*(ends_of(stub) - end).T)) < 0.15 * width


@settings(max_examples=8)
@given(st.integers(0, 10**6), st.sampled_from([0.3, 0.6]))
def test_ragged_edges_make_no_spurs(seed: int, rough: float) -> None:
    assert_one_line(seed, rough)


@pytest.mark.parametrize(
    "seed",
    [7, 316, pytest.param(1601, marks=pytest.mark.xfail(strict=True, reason="a notch parts the line"))],
)
def test_very_ragged_edges_make_no_spurs(seed: int) -> None:
    assert_one_line(seed, 0.9)


def assert_one_line(seed: int, rough: float) -> None:
    """Edges that stray by `rough` px (standard deviation), like those of a pencil on paper."""
    rng, x = np.random.default_rng(seed), np.arange(40, 261)
    above, below = (rough * gaussian_filter1d(rng.normal(size=len(x)), 1.5) / 0.43 for _ in range(2))
    edge = [*zip(x, 96 + above, strict=True), *zip(x[::-1], 104 + below[::-1], strict=True)]
    drawing = Page().solid(*edge).line((40, 100), (40, 100.01)).line((260, 100), (260, 100.01)).drawing
    (stroke,) = drawing.strokes
    assert drawing.joints == ()
    points = stroke.points(0.1)
    inner = np.abs(points[:, 0] - 150) < 100  # whether an end is ragged or round nobody can tell
    assert np.abs(points[inner, 1] - 100).max() < 3.0


@pytest.mark.parametrize("width", [8.0, 12.0])
def test_three_lines_at_unlike_angles_meet_in_their_point(width: float) -> None:
    middle = (150.3, 120.4)
    page = Page(300, 240)
    for turn in (20, 100, 240):
        page.line(middle, towards(middle, turn, 100), width=width)
    drawing = page.drawing
    assert len(drawing.joints) == 1
    assert np.hypot(*(drawing.joints[0].point - middle)) < 0.1 * width
    for stroke in drawing.strokes:
        points = stroke.points(0.01)
        assert np.hypot(*(points - middle).T).min() < 0.1 * width


@pytest.mark.parametrize("shift", [0.0, 0.25, 0.5, 0.75])
@pytest.mark.parametrize("bar", [2.5, 3.0])
def test_a_hairline_does_not_turn_aside_along_the_edge_of_a_bar(bar: float, shift: float) -> None:
    hair = [(54 + shift, 5.0), (60 + shift, 47.0), (66 + shift, 90.0)]
    page = Page(120, 100).line((10, 50), (110, 44), width=bar).line(*hair, width=1.0)
    upright = [s.points(0.05) for s in page.drawing.strokes if np.ptp(s.points(0.05)[:, 0]) < 60]
    away = [shapely.distance(shapely.LineString(hair), shapely.points(points)).max() for points in upright]
    assert max(away) < 1.3


@pytest.mark.parametrize("gap", [4.0, 8.0, 16.0, 40.0])
def test_lines_side_by_side_that_cross_the_same_bar_stay_apart(gap: float) -> None:
    ways = [((x, 30.0), (x, 170.0)) for x in (150 - 4 - gap / 2, 150 + 4 + gap / 2)]
    bar = ((40.0, 100.3), (260.0, 100.3))
    drawing = Page().line(*bar).line(*ways[0]).line(*ways[1]).drawing
    assert (len(drawing.strokes), len(drawing.joints)) == (3, 2)
    for stroke in drawing.strokes:
        assert min(departure(stroke, *way) for way in [*ways, bar]) < 0.5


def explained(*branches: list[Point], doubtful: list[int], line: np.ndarray, cut: int = 0) -> Links:
    """What is left of branches in a star (each begins at the same node) after the check."""
    nodes = {0: np.array(branches[0][0])} | {k + 1: np.array(b[-1]) for k, b in enumerate(branches)}
    points = [np.linspace(b[0], b[-1], 2 + int(np.hypot(*np.subtract(b[-1], b[0])))) for b in branches]
    network = Network(nodes, tuple(Branch(p, 0, k + 1) for k, p in enumerate(points)))
    samples = [Samples(p, np.full(len(p), 8.0), np.ones(len(p), bool), closed=False) for p in points]
    links = Links()
    for k in set(range(len(branches))) - set(doubtful):
        links.cuts |= {(k, 0): cut, (k, 1): 0}
        links.free.add((k, 1))
    none = np.zeros(line.shape, bool)
    darkness = (255 * line).astype(np.uint8)
    ink = Ink(1.0, 1, darkness, 0.5, line, none, none, np.zeros(line.shape, np.float32), 8.0)
    Explanation(ink, network, samples, links).check()
    return links


def tee(stub: int) -> np.ndarray:
    """A mask: a bar 8 px high about y = 40, and a stem 8 px wide that leaves it downwards by `stub`."""
    line = np.zeros((90, 120), bool)
    line[36:44, 10:110] = True
    line[44 : 44 + stub, 56:64] = True
    return line


@pytest.mark.parametrize(("stub", "kept"), [(0, False), (1, False), (12, True), (30, True)])
def test_a_doubtful_branch_is_a_line_if_it_alone_covers_ink(stub: int, kept: bool) -> None:
    stem: list[Point] = [(60, 40), (60, 43 + max(stub - 4, 0))]
    links = explained([(60, 40), (14, 40)], [(60, 40), (106, 40)], stem, doubtful=[2], line=tee(stub))
    assert (2 not in links.dropped) == kept


@pytest.mark.parametrize(("cut", "left"), [(20, 0), (1, 1)])
def test_a_cut_that_leaves_ink_bare_is_undone(cut: int, left: int) -> None:
    bar: tuple[list[Point], list[Point]] = [(60, 40), (14, 40)], [(60, 40), (106, 40)]
    links = explained(*bar, [(60, 40), (60, 70)], doubtful=[], line=tee(30), cut=cut)
    assert [links.cuts[k, 0] for k in range(3)] == [left] * 3


def test_where_two_lines_merge_neither_groove_is_cut_twice() -> None:
    # Two lines 8 px wide from 40 px apart to side by side, 7.6 px between their middles, over 100 px: all
    # that was found lies within the drawn lines' ink, its middle at least a quarter of their width deep.
    left = [(120.0, 20.0), (146.2, 150.0), (146.2, 260.0)]
    right = [(180.0, 20.0), (153.8, 150.0), (153.8, 260.0)]
    drawing = Page(300, 300).line(*left).line(*right).drawing
    ink = shapely.union_all([shapely.LineString(way).buffer(4) for way in (left, right)])
    for stroke in drawing.strokes:
        assert shapely.contains(ink.buffer(-1.5), shapely.points(stroke.points(0.05))).all()


def test_a_line_that_runs_along_others_to_their_end_is_drawn_once() -> None:
    # A brow of the pencil owl: its tip lies far beyond where another line comes in, seen all the way.
    art = cv2.imread(str(Path(__file__).parents[2] / "sample_art" / "owl-sketch.png"), cv2.IMREAD_GRAYSCALE)
    assert art is not None
    drawing = traced(art[420:640, 780:1060])
    lines = [shapely.LineString(s.points(0.05)) for s in drawing.strokes if s.kind == "line"]
    near = 0.3 * drawing.line_width
    once = shapely.union_all([line.buffer(near) for line in lines]).area / (2 * near)
    assert sum(line.length for line in lines) - once < 3 * drawing.line_width
