"""The measures of the strokes' benchmark, on lines whose distances and faults are known by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from benchmarks.strokes.art import Art, TrueLine, half_of
from benchmarks.strokes.lines import PIECE, lines_of
from benchmarks.strokes.metrics import FoundLine, Score, score, truth_of

Array = NDArray[np.float64]

PEN = 2.0


def polyline(*points: tuple[float, float]) -> Array:
    return np.array(points, float)


def moved(line: Array, x: float, y: float) -> Array:
    return line + np.array([x, y])


def drawn(*lines: Array) -> Art:
    true = tuple(TrueLine(line, closed=False, segments=len(line) - 1) for line in lines)
    return Art("by hand", "icons", (), true, PEN, (150.0, 150.0))


def judged(true: list[Array], found: list[Array], width: float | None = None) -> Score:
    strokes = [FoundLine(line, closed=False, segments=len(line) - 1, width=width) for line in found]
    return score(truth_of(drawn(*true)), strokes)


LEVEL = polyline((20, 50), (100, 50))
UPRIGHT = polyline((60, 20), (60, 90))


def test_what_was_drawn_is_without_fault() -> None:
    s = judged([LEVEL, UPRIGHT], [UPRIGHT[::-1], LEVEL], width=PEN)
    assert s.f1 == pytest.approx((1, 1, 1))
    assert (s.mean, s.p95, s.hausdorff) == pytest.approx((0, 0, 0), abs=1e-9)
    assert (s.faults, s.parts, s.segments, s.width_error) == (0, 1, 1, 0)
    assert s.direction_error_deg == pytest.approx(0, abs=1e-6)


def test_a_line_moved_aside_is_as_far_away_as_it_was_moved() -> None:
    s = judged([LEVEL], [moved(LEVEL, 0, 0.08)])
    assert (s.mean, s.p95, s.hausdorff) == pytest.approx((0.08, 0.08, 0.08), abs=1e-9)
    assert s.f1 == pytest.approx((0, 1, 1))


def test_half_a_line_has_all_precision_and_half_the_recall() -> None:
    s = judged([LEVEL], [polyline((20, 50), (60, 50))])
    assert s.f1[0] == pytest.approx(2 * 1 * 0.5 / 1.5, abs=0.002)  # the harmonic mean of 1 and 1/2
    assert s.hausdorff == pytest.approx(40)
    assert s.worst == pytest.approx((100, 50))


def test_direction_error_is_the_angle_a_line_was_turned_by() -> None:
    turned = polyline((20, 49.9), (100, 50.1))  # 0.2 in 80
    assert judged([LEVEL], [turned]).direction_error_deg == pytest.approx(math.degrees(0.2 / 80), rel=1e-3)


def test_width_error_is_weighted_by_length() -> None:
    truth = truth_of(drawn(LEVEL, UPRIGHT))
    strokes = [FoundLine(LEVEL, False, 1, 2.1), FoundLine(UPRIGHT, False, 1, 1.7)]
    assert score(truth, strokes).width_error == pytest.approx((80 * 0.1 + 70 * 0.3) / 150)


@pytest.mark.parametrize(("short", "spurs", "missed"), [(1.0, 0, 0), (1.5, 1, 1)])
def test_an_end_more_than_a_millimetre_and_a_quarter_off_is_missed_and_a_spur(
    short: float, spurs: int, missed: int
) -> None:
    s = judged([LEVEL], [polyline((20, 50), (100 - short, 50))])
    assert (len(s.spurs), len(s.missed_ends)) == (spurs, missed)


def test_a_twig_on_a_line_is_a_spur_where_it_ends() -> None:
    s = judged([LEVEL], [LEVEL, polyline((60, 50), (60, 53))])
    assert s.spurs == pytest.approx(polyline((60, 53)))
    assert len(s.missed_ends) == 0


def test_an_end_hidden_in_another_lines_ink_is_neither_asked_for_nor_a_spur() -> None:
    hidden = polyline((60, 20), (60, 49))  # ends within the level line's ink, half a pen from its middle
    assert judged([LEVEL, hidden], [LEVEL, polyline((60, 20), (60, 50))]).faults == 0
    assert judged([LEVEL, hidden], [LEVEL, hidden]).spurs.size == 0


@pytest.mark.parametrize(
    ("gap", "found", "right"),
    [
        (PEN + 1, 2, True),
        (PEN - 1, 2, False),
        (PEN + 0.05, 2, True),
        (PEN + 0.05, 1, True),
        (PEN + 1, 1, False),
    ],
)
def test_parts_are_those_whose_ink_touches_and_either_where_nobody_can_tell(
    gap: float, found: int, right: bool
) -> None:
    below = moved(LEVEL, 0, gap)
    bridge = [polyline((60, 50), (60, 50 + gap))] if found == 1 else []
    s = judged([LEVEL, below], [LEVEL, below, *bridge])
    assert (s.parts, s.parts_right) == (found, right)


def test_two_bent_lines_that_touch_are_a_missed_crossing() -> None:
    bent = [polyline((20, 50), (60, 50), (60, 20)), polyline((60, 90), (60, 50), (100, 50))]
    s = judged([LEVEL, UPRIGHT], bent)
    assert s.crossings_missed == pytest.approx(polyline((60, 50)), abs=PIECE)
    assert s.hausdorff == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("over", "invented"), [(0.8 * PEN, 0), (2 * PEN, 1)])
def test_a_stem_that_runs_through_its_bar_is_an_invented_crossing(over: float, invented: int) -> None:
    s = judged([LEVEL, polyline((60, 20), (60, 50))], [LEVEL, polyline((60, 20), (60, 50 + over))])
    assert len(s.crossings_invented) == invented


@pytest.mark.parametrize(("angle_deg", "asked"), [(20, 0), (30, 1)])
def test_only_crossings_of_25_degrees_are_asked_for(angle_deg: float, asked: int) -> None:
    t = math.radians(angle_deg)
    slanting = np.array([60, 50]) + np.outer([-40, 40], [math.cos(t), math.sin(t)])
    assert len(truth_of(drawn(LEVEL, slanting)).crossings) == asked


def test_a_line_that_loops_crosses_itself_once() -> None:
    t = np.linspace(0.6 * math.pi, 2.4 * math.pi, 200)
    eight = np.column_stack([60 + 30 * np.sin(t), 50 + 20 * np.sin(2 * t)])
    assert len(truth_of(drawn(eight)).crossings) == 1


def test_four_lines_that_meet_excuse_a_crossing_that_was_found_there() -> None:
    arms = [polyline((60, 50), end) for end in ((20, 50), (100, 50), (60, 20), (60, 90))]
    assert len(judged(arms, [LEVEL, UPRIGHT]).crossings_invented) == 0


def test_nothing_found_is_all_wrong() -> None:
    s = judged([LEVEL], [])
    assert s.f1 == pytest.approx((0, 0, 0))
    assert len(s.missed_ends) == 2


COORDINATE = st.integers(10, 140).map(float)
POINTS = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=2, max_size=6, unique=True).map(np.array)


@settings(deadline=None, max_examples=40)
@given(POINTS, POINTS)
def test_distances_are_those_of_an_independent_library(line: Array, other: Array) -> None:
    lines = lines_of([(line, False)])
    away = lines.distances(other)
    assert away == pytest.approx(shapely.distance(shapely.points(other), shapely.LineString(line)), abs=2e-3)


@settings(deadline=None, max_examples=25)
@given(POINTS, st.floats(-0.2, 0.2), st.floats(-0.2, 0.2))
def test_a_drawing_that_is_moved_is_nowhere_further_off(line: Array, x: float, y: float) -> None:
    s = judged([line], [moved(line, x, y)])
    assert s.hausdorff <= math.hypot(x, y) + 1e-6
    assert s.mean <= s.hausdorff + 1e-9  # rounding
    assert s.p95 <= s.hausdorff + 1e-9


def test_halves_go_by_the_parity_of_the_names_checksum() -> None:
    # CRC-32 of "123456789" is CBF43926 (the check value of every CRC-32 catalogue): even.
    assert half_of("123456789") == "tune"


def test_segments_are_lines_cubics_and_arcs_of_up_to_90_degrees() -> None:
    pytest.importorskip("svgelements")
    from benchmarks.strokes.sources import lines_of_paths

    circle = "M 10 0 A 10 10 0 0 1 -10 0 A 10 10 0 0 1 10 0"
    (ring,) = lines_of_paths([circle])
    assert (ring.segments, ring.closed) == (4, True)
    assert np.hypot(*ring.points.T) == pytest.approx(10, abs=1e-3)
    (mixed,) = lines_of_paths(["M 0 0 L 10 0 C 20 0 20 10 10 10 A 5 5 0 0 1 5 5"])  # line, cubic, quarter
    assert (mixed.segments, mixed.closed) == (3, False)
