"""What a pen drew comes back: drawings with known middles through the raster and vector stages."""

import numpy as np
import pytest
from pen import Page, departure, ends_of, kinds, traced

from tracer.geometry import bezier
from tracer.model.drawing import Drawing

SQUARE = [(60.3, 40.2), (220.3, 40.2), (220.3, 160.2), (60.3, 160.2)]


def counts(drawing: Drawing) -> tuple[int, int]:
    return len(drawing.strokes), len(drawing.joints)


@pytest.mark.parametrize("width", [3.0, 8.0, 15.0])
@pytest.mark.parametrize(
    ("start", "end"),
    [
        ((40.0, 100.0), (250.0, 100.0)),
        ((150.3, 30.6), (150.3, 170.2)),
        ((40.4, 30.7), (250.2, 160.9)),
        ((40.0, 120.5), (250.0, 111.3)),
    ],
)
def test_a_line_ends_where_the_pen_did(
    start: tuple[float, float], end: tuple[float, float], width: float
) -> None:
    drawing = Page().line(start, end, width=width).drawing
    (stroke,) = drawing.strokes
    assert np.hypot(*(ends_of(stroke) - (start, end)).T).max() < 0.3
    assert departure(stroke, start, end) < 0.3
    assert stroke.width == pytest.approx(width, abs=0.35)
    assert (stroke.kind, stroke.closed, drawing.joints) == ("line", False, ())


@pytest.mark.parametrize("radius", [20.0, 47.3, 80.0])
def test_a_circle_is_four_cubics(radius: float) -> None:
    (stroke,) = Page().ring(150.2, 100.4, radius).drawing.strokes
    assert stroke.closed
    assert len(stroke.curves) == 4
    radii = np.hypot(*(stroke.points(0.01) - (150.2, 100.4)).T)
    assert np.abs(radii - radius).max() < 0.1
    assert stroke.length == pytest.approx(2 * np.pi * radius, abs=0.7)


def test_a_stem_stands_on_its_bar() -> None:
    drawing = Page().line((40, 60.4), (260, 60.4)).line((150.3, 60.4), (150.3, 170)).drawing
    assert counts(drawing) == (2, 1)
    bar, stem = sorted(drawing.strokes, key=lambda stroke: -stroke.length)
    assert departure(bar, (40, 60.4), (260, 60.4)) < 0.3
    assert stem.bounds == pytest.approx((150.3, 60.4, 150.3, 170), abs=0.5)
    (joint,) = drawing.joints
    assert joint.point == pytest.approx([150.3, 60.4], abs=0.5)
    assert {number for number, _ in joint.members} == {1, 2}


@pytest.mark.parametrize("tilt_deg", [0, 7, 30])
@pytest.mark.parametrize("between_deg", [33, 40, 62, 75, 90])
def test_two_lines_cross_and_both_go_through(between_deg: int, tilt_deg: int) -> None:
    middle = np.array([150.3, 99.6])
    ways = []
    for angle in np.radians([tilt_deg - between_deg / 2, tilt_deg + between_deg / 2]):
        arm = 90 * np.array([np.cos(angle), np.sin(angle)])
        ways.append((tuple(middle - arm), tuple(middle + arm)))
    drawing = Page().line(*ways[0]).line(*ways[1]).drawing
    assert counts(drawing) == (2, 1)
    for stroke in drawing.strokes:
        assert min(departure(stroke, *way) for way in ways) < 0.5
    assert drawing.joints[0].point == pytest.approx(middle, abs=0.5)


def test_corners_of_a_square_are_sharp() -> None:
    (stroke,) = Page().line(*SQUARE, SQUARE[0], width=8).drawing.strokes
    assert stroke.closed
    points = stroke.points(0.01)
    for corner in SQUARE:
        assert np.hypot(*(points - corner).T).min() < 0.5
    assert departure(stroke, *SQUARE, SQUARE[0]) < 0.5
    assert stroke.length == pytest.approx(2 * (160 + 120), abs=3)


@pytest.mark.parametrize("between_deg", [30, 45, 60, 90, 120, 150])
def test_a_bent_line_is_one_stroke_with_a_sharp_corner(between_deg: int) -> None:
    a = np.radians(between_deg)
    way = [(300.0, 150.0), (150.0, 150.0), (150 + 120 * np.cos(a), 150 + 120 * np.sin(a))]
    drawing = Page(400, 300).line(*way).drawing
    assert counts(drawing) == (1, 0)
    assert np.hypot(*(drawing.strokes[0].points(0.01) - (150, 150)).T).min() < 0.5
    assert departure(drawing.strokes[0], *way) < 0.5


def test_a_round_bend_stays_round() -> None:
    # The same square with its corners drawn at a radius of 25: no stroke may reach the sharp corner.
    turn = np.linspace(0, np.pi / 2, 24)
    centres = [(195.3, 65.2, -1), (195.3, 135.2, 0), (85.3, 135.2, 1), (85.3, 65.2, 2)]
    way = [
        (x + 25 * np.cos(turn + k * np.pi / 2), y + 25 * np.sin(turn + k * np.pi / 2)) for x, y, k in centres
    ]
    points = [tuple(p) for xs, ys in way for p in zip(xs, ys, strict=True)]
    (stroke,) = Page().line(*points, points[0]).drawing.strokes
    assert departure(stroke, *points, points[0]) < 0.3
    inner = np.arange(1, len(stroke.curves))
    into, out = (bezier.tangents_at(stroke.curves, inner + e) for e in (-1e-6, 1e-6))
    assert (into * out).sum(axis=1).min() > np.cos(np.radians(3))


@pytest.mark.parametrize("lean_deg", [30, 45, 60, 75])
def test_a_bar_goes_straight_on_past_a_leaning_stem(lean_deg: int) -> None:
    a = np.radians(lean_deg)
    foot = (150 + 100 * np.cos(a), 60 + 100 * np.sin(a))
    drawing = Page().line((40, 60), (260, 60)).line((150, 60), foot).drawing
    assert counts(drawing) == (2, 1)
    bar = max(drawing.strokes, key=lambda stroke: stroke.length)
    assert departure(bar, (40, 60), (260, 60)) < 1.2
    assert drawing.joints[0].point == pytest.approx([150, 60], abs=2)


def test_two_rings_that_cross_stay_two_rings() -> None:
    drawing = Page().ring(120, 100, 50).ring(180, 100, 50).drawing
    assert counts(drawing) == (2, 2)
    assert all(stroke.closed for stroke in drawing.strokes)
    # The formula: they meet sqrt(50^2 - 30^2) = 40 above and below the line of their centres.
    points = sorted(joint.point.tolist() for joint in drawing.joints)
    assert sorted(points, key=lambda p: p[1]) == [
        pytest.approx([150, 60], abs=1),
        pytest.approx([150, 140], abs=1),
    ]


def test_an_eight_is_one_stroke_that_meets_itself() -> None:
    way = [(150 + 80 * np.sin(t), 100 + 50 * np.sin(2 * t)) for t in np.linspace(0, 2 * np.pi, 200)]
    drawing = Page().line(*way).drawing
    assert counts(drawing) == (1, 1)
    assert [number for number, _ in drawing.joints[0].members] == [1, 1]
    assert departure(drawing.strokes[0], *way) < 0.5


@pytest.mark.parametrize("width", [1.0, 1.5, 2.0, 3.0])
def test_hair_lines_keep_their_crossing(width: float) -> None:
    drawing = Page().line((50, 100), (250, 100), width=width).line((150, 30), (150, 170), width=width).drawing
    assert counts(drawing) == (2, 1)
    assert drawing.joints[0].point == pytest.approx([150, 100], abs=0.3)


def test_three_arms_meet_in_one_joint() -> None:
    drawing = (
        Page().line((150, 100), (150, 180)).line((150, 100), (80, 40)).line((150, 100), (220, 40)).drawing
    )
    assert len(drawing.joints) == 1
    (joint,) = drawing.joints
    assert joint.point == pytest.approx([150, 100], abs=1.0)
    arms = sum(1 if t in (0, len(drawing.strokes[n - 1].curves)) else 2 for n, t in joint.members)
    assert arms == 3


@pytest.mark.parametrize(("x", "y"), [(150.0, 100.0), (150.3, 99.6)])
def test_a_dot_is_a_dot_at_its_middle(x: float, y: float) -> None:
    drawing = Page().line((20, 20), (280, 20)).disc(x, y, 5).drawing
    assert kinds(drawing) == ["dot", "line"]
    (dot,) = (stroke for stroke in drawing.strokes if stroke.kind == "dot")
    assert dot.curves[0, 0] == pytest.approx([x, y], abs=0.2)
    assert dot.width == pytest.approx(10, abs=0.5)
    assert drawing.joints == ()


def test_a_dash_longer_than_wide_by_two_fifths_is_a_line() -> None:
    # An oval nose and the rays of a small sun: a dot loses a fifth of their length at either end.
    drawing = Page().line((40, 60), (260, 60), width=10).line((150, 120), (154.2, 120), width=10).drawing
    assert kinds(drawing) == ["line", "line"]
    assert min(stroke.length for stroke in drawing.strokes) == pytest.approx(4.2, abs=0.6)


def test_a_disc_is_followed_along_its_edge() -> None:
    drawing = Page().line((20, 20), (280, 20), width=6).disc(150.3, 110.2, 40).drawing
    assert kinds(drawing) == ["edge", "line"]
    (edge,) = (stroke for stroke in drawing.strokes if stroke.kind == "edge")
    assert edge.closed
    assert np.abs(np.hypot(*(edge.points(0.01) - (150.3, 110.2)).T) - 40).max() < 0.3
    assert [region.outer for region in drawing.regions] == [edge.number]


def test_a_solid_keeps_its_sharp_corners() -> None:
    drawing = Page().line((20, 15), (280, 15), width=6).solid(*SQUARE).drawing
    (edge,) = (stroke for stroke in drawing.strokes if stroke.kind == "edge")
    for corner in SQUARE:
        assert np.hypot(*(edge.points(0.01) - corner).T).min() < 0.5


@pytest.mark.parametrize("gap", [4.0, 6.0, 12.0])
def test_ends_that_nearly_touch_stay_apart(gap: float) -> None:
    # `gap` of white paper between two round ends, half a line's width and more: the pen was lifted there.
    left, right = 150 - gap / 2 - 4, 150 + gap / 2 + 4
    drawing = Page().line((40, 100), (left, 100)).line((right, 100), (260, 100)).as_drawn
    assert counts(drawing) == (2, 0)
    ends = np.sort(np.concatenate([ends_of(stroke)[:, 0] for stroke in drawing.strokes]))
    assert ends[1:3] == pytest.approx([left, right], abs=0.5)


def test_strokes_are_numbered_from_the_top() -> None:
    drawing = Page().line((20, 150), (280, 150)).line((20, 90), (280, 90)).line((20, 30), (280, 30)).drawing
    assert [stroke.number for stroke in drawing.strokes] == [1, 2, 3]
    tops = [stroke.bounds[1] for stroke in drawing.strokes]
    assert tops == sorted(tops)


def scene() -> np.ndarray:
    """A bit of everything: a loop that crosses itself, a T, a ring, a dot, a solid."""
    page = Page(320, 260).line((20, 40), (200, 40)).line((90, 40), (90, 120)).ring(250, 70, 32)
    page.line((30, 160), (150, 160), (150, 230), (80, 230), (80, 140)).disc(200, 120, 5)
    return page.solid((190, 160), (290, 160), (240, 240)).grey


@pytest.mark.parametrize("turns", [1, 2, 3])
@pytest.mark.parametrize("mirrored", [False, True])
def test_turned_and_mirrored_pages_hold_the_same_drawing(turns: int, mirrored: bool) -> None:
    grey = scene()
    upright = traced(grey)
    turned = traced(np.ascontiguousarray(np.rot90(grey[:, ::-1] if mirrored else grey, turns)))
    assert counts(turned) == counts(upright)
    assert kinds(turned) == kinds(upright)
    lengths = sorted(stroke.length for stroke in turned.strokes)
    assert lengths == pytest.approx(sorted(stroke.length for stroke in upright.strokes), rel=0.02, abs=0.5)


def test_the_scene_is_what_was_drawn() -> None:
    drawing = traced(scene())
    # T: two strokes, one joint; the loop: one stroke that meets itself once; ring, dot and solid: none.
    assert kinds(drawing) == ["dot", "edge", "line", "line", "line", "line"]
    assert len(drawing.joints) == 2


def test_the_same_page_gives_the_same_strokes() -> None:
    one, other = traced(scene()), traced(scene())
    for a, b in zip(one.strokes, other.strokes, strict=True):
        assert np.array_equal(a.curves, b.curves)
    assert [j.members for j in one.joints] == [j.members for j in other.joints]


@pytest.mark.parametrize("factor", [0.75, 1.5])
def test_darker_and_lighter_ink_has_the_same_middle(factor: float) -> None:
    grey = scene()
    level = 60 * factor
    faint = (level + grey * ((255 - level) / 255)).astype(np.uint8)
    assert counts(traced(faint)) == counts(traced(grey))


def test_a_coarser_tolerance_needs_fewer_cubics() -> None:
    t = np.linspace(0, 4 * np.pi, 400)
    wave = [(20 + 20 * x, 100 + 40 * np.sin(x)) for x in t]
    page = Page().line(*wave).grey
    fine, coarse = (traced(page, tolerance) for tolerance in (0.03, 0.3))
    assert sum(len(s.curves) for s in coarse.strokes) < sum(len(s.curves) for s in fine.strokes)
    assert departure(fine.strokes[0], *wave) < 0.4
    assert departure(coarse.strokes[0], *wave) < 0.3 * 8 + 0.4


def test_the_corners_of_written_letters_are_no_noise() -> None:
    # A wave of sides two widths long, as of letters drawn by polygons, without any noise.
    way = tuple((20.0 + 20 * k, 60.0 + 18 * np.sin(0.9 * k) + 6 * np.sin(2.3 * k)) for k in range(18))
    drawing = Page(400, 120).line(*way, width=10.0).drawing
    assert drawing.tolerance <= 0.04 * drawing.line_width
