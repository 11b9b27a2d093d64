"""Lines end where the pen was lifted, at the picture's border, or on the edge of a solid."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pen import Page, departure, ends_of, kinds

from tracer.model.drawing import Drawing, Stroke
from tracer.vector.ends import tail_of

WAYS = [
    ((40.0, 100.0), (250.0, 100.0)),
    ((150.3, 30.6), (150.3, 170.2)),
    ((40.4, 30.7), (250.2, 160.9)),
    ((40.0, 120.5), (250.0, 111.3)),
]
Point = tuple[float, float]


def failing(case: tuple[float, ...], reason: str) -> object:
    return pytest.param(*case, marks=pytest.mark.xfail(strict=True, reason=reason))


def strip(start: Point, end: Point, first: float, last: float, *, caps: str) -> shapely.Polygon:
    """A line whose width goes evenly from `first` to `last`; round caps are discs of these widths."""
    p, q = np.array(start), np.array(end)
    u = (q - p) / np.hypot(*(q - p))
    n = np.array([-u[1], u[0]]) / 2
    band = shapely.Polygon([p + first * n, q + last * n, q - last * n, p - first * n])
    if caps == "flat":
        return band
    return band | shapely.Point(p).buffer(first / 2, 32) | shapely.Point(q).buffer(last / 2, 32)


def away_from(stroke: Stroke, start: Point, end: Point) -> float:
    return float(np.hypot(*(ends_of(stroke) - (start, end)).T).max())


@pytest.mark.parametrize("width", [4.0, 8.0, 15.0])
@pytest.mark.parametrize("caps", ["round", "flat"])
@pytest.mark.parametrize(("start", "end"), WAYS)
def test_a_pen_that_stopped_there_ended_there(start: Point, end: Point, caps: str, width: float) -> None:
    # A round pen's middle stops a radius before its ink does, a flat one's stops with it.
    (stroke,) = Page()._ink(strip(start, end, width, width, caps=caps)).drawing.strokes
    assert away_from(stroke, start, end) < 0.3


BRIDGED = "the masks of thick lines are coarser than the gap"


@pytest.mark.parametrize(
    ("width", "tilt_deg"),
    [
        *((width, tilt) for width in (4, 8) for tilt in (0, 20, 45)),
        (15, 0),
        failing((15, 20), BRIDGED),
        failing((15, 45), BRIDGED),
    ],
)
def test_round_ends_a_pixel_and_a_half_apart_are_two_strokes(width: float, tilt_deg: float) -> None:
    a = np.radians(tilt_deg)
    middle, way = np.array([150.3, 100.2]), np.array([np.cos(a), np.sin(a)])
    inner = [middle + side * way * (0.75 + width / 2) for side in (-1, 1)]
    outer = [middle + side * way * 90 for side in (-1, 1)]
    page = Page()
    for one, other in zip(inner, outer, strict=True):
        page.line(tuple(one), tuple(other), width=width)
    drawing = page.as_drawn
    assert len(drawing.strokes) == 2
    for stroke in drawing.strokes:
        gaps = [np.hypot(*(ends_of(stroke) - place).T).min() for place in inner]
        assert min(gaps) < 0.5


def test_a_stem_that_stops_short_of_its_bar_stays_apart() -> None:
    drawing = Page().line((40, 100), (260, 100)).line((150.3, 109.5), (150.3, 180)).as_drawn
    assert len(drawing.strokes) == 2
    assert drawing.joints == ()
    stem = min(drawing.strokes, key=lambda stroke: stroke.length)
    assert away_from(stem, (150.3, 109.5), (150.3, 180)) < 0.5


@pytest.mark.parametrize("width", [4, 8, 15])
@pytest.mark.parametrize("tilt_deg", [0, 20, 45, -30])
def test_a_line_that_runs_off_the_picture_ends_at_its_border(width: float, tilt_deg: float) -> None:
    a = np.radians(tilt_deg)
    start, way = np.array([100.3, 100.2]), np.array([np.cos(a), np.sin(a)])
    (stroke,) = Page().line(tuple(start), tuple(start + 300 * way), width=width).drawing.strokes
    end = shapely.LineString([start, start + 300 * way]).intersection(shapely.box(0, 0, 300, 200).exterior)
    assert np.hypot(*(ends_of(stroke) - (end.x, end.y)).T).min() < 1.0
    assert departure(stroke, tuple(start), tuple(start + 300 * way)) < 0.3


SHORT = "the edge sags by a pixel where it is drawn on over the root of a line"


@pytest.mark.parametrize(
    ("width", "tilt_deg"),
    [(4, 0), (4, 60), (8, 60), (8, 90), *(failing(case, SHORT) for case in [(4, 30), (8, 0), (8, 30)])],
)
def test_a_line_that_runs_into_a_solid_ends_on_its_edge(width: float, tilt_deg: float) -> None:
    drawing, place = into_a_solid(width, tilt_deg)
    (line,) = (s for s in drawing.strokes if s.kind == "line" and s.bounds[3] > 100)
    assert np.hypot(*(ends_of(line) - place).T).min() < 0.6


@pytest.mark.parametrize(("width", "tilt_deg"), [(4, 0), (4, 30), (4, 60), (8, 0), (8, 30), (8, 60)])
def test_a_line_that_runs_into_a_solid_is_joined_to_it(width: float, tilt_deg: float) -> None:
    drawing, place = into_a_solid(width, tilt_deg)
    (joint,) = drawing.joints
    assert np.hypot(*(joint.point - place)) < 2.5
    assert sorted(drawing.strokes[number - 1].kind for number, _ in joint.members) == ["edge", "line"]


def into_a_solid(width: float, tilt_deg: float) -> tuple[Drawing, np.ndarray]:
    """A line out of a disc, another line far off; and where the first leaves the disc."""
    a = np.radians(tilt_deg)
    centre, way = np.array([120.3, 130.2]), np.array([np.cos(a), np.sin(a)])
    page = Page(300, 300).line((20, 15), (280, 15), width=width).disc(*centre, 40)
    drawing = page.line(tuple(centre), tuple(centre + 120 * way), width=width).drawing
    assert kinds(drawing) == ["edge", "line", "line"]
    return drawing, centre + 40 * way


THICKER = "an end's radius is taken from before its cut"


@pytest.mark.parametrize(("thick", "thin"), [(12.0, 4.0), (15.0, 5.0), (9.0, 3.0)])
@pytest.mark.parametrize("length", [100, 200])
def test_a_stroke_that_tapers_to_a_third_is_one_stroke(thick: float, thin: float, length: int) -> None:
    start, end = (40.3, 100.2), (40.3 + length, 100.2)
    (stroke,) = Page()._ink(strip(start, end, thick, thin, caps="round")).drawing.strokes
    assert stroke.kind == "line"
    assert departure(stroke, (0, 100.2), (300, 100.2)) < 0.5
    assert stroke.width == pytest.approx((thick + thin) / 2, rel=0.1)


@pytest.mark.parametrize(("thick", "thin", "length"), [(12, 4, 200), (9, 3, 100), (9, 3, 200), (15, 5, 200)])
def test_a_stroke_that_tapers_has_its_widths(thick: float, thin: float, length: int) -> None:
    start, end = (40.3, 100.2), (40.3 + length, 100.2)
    (stroke,) = Page()._ink(strip(start, end, thick, thin, caps="round")).drawing.strokes
    assert stroke.widths is not None
    widths = stroke.widths if stroke.curves[0, 0, 0] < 100 else stroke.widths[::-1]
    place = (np.arange(len(widths)) + 0.5) / len(widths)
    assert np.abs(widths - (thick + (thin - thick) * place)).max() < 0.1 * thick


@pytest.mark.parametrize(("thick", "thin"), [(12.0, 4.0), failing((9.0, 3.0), THICKER)])
def test_a_stroke_that_tapers_ends_where_the_pen_did(thick: float, thin: float) -> None:
    start, end = (40.3, 100.2), (240.3, 100.2)
    (stroke,) = Page()._ink(strip(start, end, thick, thin, caps="round")).drawing.strokes
    assert away_from(stroke, start, end) < 0.1 * thick


@given(st.lists(st.floats(0.5, 1.5), min_size=2, max_size=20), st.floats(-3, 40), st.floats(0, 2 * np.pi))
def test_the_tail_of_a_straight_track_is_as_long_as_asked(
    steps: list[float], length: float, direction: float
) -> None:
    # Steps of equal length, as all tracks have.
    step = steps[0]
    track = step * np.arange(len(steps))[:, None] * [np.cos(direction), np.sin(direction)]
    tail = tail_of(track, length, step)
    whole = np.concatenate([track[:1], tail])
    expected = min(max(length, 0), step * (len(steps) - 1))
    assert np.hypot(*whole[-1]) == pytest.approx(expected, abs=0.05 * step + 1e-9)
    assert np.array_equal(tail[: int(expected / step)], track[1 : int(expected / step) + 1])
