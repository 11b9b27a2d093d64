"""Ratio, template size, hand error and land against worked values.

[D] is arithmetic or similarity only: such a row catches slips, it is no outside check. The linkage
itself is checked by another route: a jointed parallelogram moved about, its bit's path measured.
"""

import math

import pytest

from tracer.errors import LengthError
from tracer.shop.dial import comes_out, parse_dial
from tracer.shop.linkage import Linkage, drift, parse_ratio, ratio_from_trace, set_ups
from tracer.shop.printer import Printer, doubts
from tracer.shop.traced import Traced
from tracer.shop.wood import Wood, least_land


def near(expected: float, digit: float) -> object:
    """Equal to within the last digit shown."""
    return pytest.approx(expected, rel=0, abs=digit)


@pytest.mark.parametrize(("said", "percent"), [("40%", 250.00), ("50%", 200.00), ("60%", 166.67)])
def test_template_is_printed_at_100_over_ratio(said: str, percent: float) -> None:  # [D]
    assert Linkage(parse_ratio(said)).on_template(100.0) == near(percent, 0.005)


def test_sixty_percent_is_read_both_ways_and_refused() -> None:  # [D] k = 1 - p
    with pytest.raises(LengthError, match=r'"60%" if the carving is 60 %.*"40%" if it is reduced by 60 %'):
        parse_ratio("60")
    assert Linkage(parse_ratio("40%")).on_template(100.0) == near(250.00, 0.005)


def test_ratio_of_a_traced_square() -> None:  # [D] k = cut / template
    assert ratio_from_trace(200.0, 119.0) == near(0.595, 0.0005)


def test_reduced_by_sixty_is_forty() -> None:  # [D] k = 1 - p: print at 250 %
    dial = parse_dial("60")
    assert (dial.to, dial.by) == near((0.60, 0.40), 0.005)
    assert Linkage(dial.by).on_template(100.0) == near(250.00, 0.005)


def test_reading_leaves_a_third_of_a_percent_in_doubt() -> None:
    # [D] 0.25 mm of 100 mm cut and 0.5 mm of 200 mm traced: 0.35 %, 2 mm over 600 mm
    doubt = Traced((200.0,), (100.0,)).doubt
    assert 100 * doubt == near(0.35, 0.005)
    assert 600 * doubt == near(2, 0.5)


@pytest.mark.parametrize(
    ("printed_for", "template", "true", "carved", "percent"),
    [
        (0.6, 500.0, 0.4, 200.0, 66.7),
        (0.4, 750.0, 0.6, 450.0, 150.0),
        (0.5, 600.0, 0.5, 300.0, 100.0),
    ],
)
def test_wrong_reading_gives_wrong_size(
    *, printed_for: float, template: float, true: float, carved: float, percent: float
) -> None:
    # [D] L k_true / k_assumed, wanted 300 mm; at 50 % both readings are the same
    assert Linkage(printed_for).on_template(300.0) == near(template, 0.5)
    assert Linkage(true).on_wood(template) == near(carved, 0.5)
    assert comes_out(300.0, printed_for=printed_for, true=true) == near(carved, 0.5)
    assert comes_out(100.0, printed_for=printed_for, true=true) == near(percent, 0.06)


def test_line_weight_that_shows_the_groove() -> None:  # [D] w / k
    assert Linkage(0.5).on_template(2.0) == near(4.0, 0.05)


@pytest.mark.parametrize(("ratio", "inches"), [(0.4, 0.3125), (0.5, 0.2500), (0.6, 0.2083)])
def test_stylus_that_follows_an_edge(ratio: float, inches: float) -> None:  # similarity [D] D = w / k
    assert Linkage(ratio).on_template(0.125) == near(inches, 0.00005)


def test_stylus_inside_a_cut_out() -> None:  # [D] e = (w - k D) / 2
    linkage = Linkage(0.5)
    assert linkage.edge_overrun(3.175, 3.175) == near(0.794, 0.0005)
    assert linkage.edge_overrun(3.175, linkage.on_template(3.175)) == near(0.0, 1e-12)


def test_edge_by_round_bodies() -> None:
    """The same from outlines alone: stylus in a square cut-out of 100 mm, bit in the scaled one [D]."""
    ratio, groove, stylus = 0.4, 3.0, 5.0
    middles = 100.0 - stylus  # how far apart the stylus's middle goes
    cut = middles * ratio + groove
    assert (cut - 100.0 * ratio) / 2 == near(Linkage(ratio).edge_overrun(groove, stylus), 1e-9)


@pytest.mark.parametrize(("ratio", "felt"), [(0.4, 8.0), (0.5, 10.0), (0.6, 12.0)])
def test_force_at_the_hand(ratio: float, felt: float) -> None:  # virtual work [D]: 20 N at the bit
    assert Linkage(ratio).force_felt(20.0) == near(felt, 0.05)


def test_set_ups_of_a_long_word() -> None:  # [D] ceil((L - o) / (E - o)): reach 200, word 500, overlap 20 mm
    assert set_ups(500.0, 200.0, overlap=20.0) == 3


def test_word_askew_by_a_degree() -> None:  # [D] L sin(angle): 300 mm
    assert drift(300.0, math.radians(1.0)) == near(5.236, 0.0005)


def test_work_moved_for_the_next_letter() -> None:  # [D] k x pitch
    assert Linkage(0.5).on_wood(80.0) == near(40.0, 0.05)


@pytest.mark.parametrize(("ratio", "on_wood"), [(0.4, 0.4), (0.5, 0.5), (0.6, 0.6)])
def test_hand_error_shrinks(ratio: float, on_wood: float) -> None:  # [D] k e
    assert Linkage(ratio).error_on_wood(1.0) == near(on_wood, 0.05)


def test_play_at_the_router_does_not_shrink() -> None:  # [D] root of (k e)^2 + m^2
    assert Linkage(0.5, play=0.3).error_on_wood(1.0) == near(0.583, 0.0005)


def test_similarity_by_a_jointed_parallelogram() -> None:
    """Pivot O, bit P, stylus Q on one line with OP / OQ = k: a linkage of bars, elbow by elbow [D].

    The elbow A lies where a bar from O and a bar from the stylus meet; the bit hangs on bars parallel
    to both, at k of their lengths: its place is found from the joints, not from k times the stylus.
    """
    ratio, bar = 0.595, 400.0

    def bit(x: float, y: float) -> tuple[float, float]:
        reach, heading = math.hypot(x, y), math.atan2(y, x)
        opening = math.acos(reach / (2 * bar))
        elbow = (bar * math.cos(heading + opening), bar * math.sin(heading + opening))
        lower = (x - elbow[0], y - elbow[1])
        return elbow[0] * ratio + lower[0] * ratio, elbow[1] * ratio + lower[1] * ratio

    a, b = bit(300.0, 100.0), bit(300.0, 300.0)
    assert math.dist(a, b) == pytest.approx(Linkage(ratio).on_wood(200.0))


# Land between two lines: k S - w against a rule of 1.5 mm whatever the grain [D].
RULE = Wood("test block", land_along=1.5, land_across=1.5)


def needed(hand: float = 0.0) -> float:
    return least_land(RULE, grain_angle=0.0, depth=1.0, straight_walled=False, hand=hand)


@pytest.mark.parametrize(("ratio", "land", "holds"), [(0.5, 1.4, False), (0.6, 2.0, True), (0.4, 0.8, False)])
def test_land_of_lines_6_mm_apart(ratio: float, land: float, holds: bool) -> None:
    left = Linkage(ratio).on_wood(6.0) - 1.6
    assert left == near(land, 0.05)
    assert (left >= needed()) is holds


def test_closest_lines_on_the_template() -> None:  # [D] (w + land) / k
    assert Linkage(0.5).on_template(1.6 + needed()) == near(6.2, 0.05)


def test_land_with_the_hands_error() -> None:  # [D] land + 2 k e
    assert needed(hand=Linkage(0.5).error_on_wood(0.8)) == near(2.3, 0.05)


def test_bar_that_came_out_short() -> None:  # [D] 100 x 100 / 99.2
    assert 100 * Printer(99.2, 99.2, measured=True).correction[0] == near(100.81, 0.005)


def test_bars_that_differ() -> None:  # [D] per axis; over 0.3 % apart is flagged [common practice, no source]
    printer = Printer(99.5, 100.4, measured=True)
    assert [100 * scale for scale in printer.correction] == [near(100.50, 0.005), near(99.60, 0.005)]
    assert any("slipping" in doubt for doubt in doubts(printer))
