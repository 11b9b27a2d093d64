import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import LengthError, TracerError
from tracer.shop.linkage import SMALLEST, Linkage, parse_ratio, ratio_from_trace, ratio_words, set_ups

RATIOS = st.floats(SMALLEST, 1.0)


@pytest.mark.parametrize(
    ("text", "ratio"),
    [
        ("50%", 0.5),
        ("50 %", 0.5),
        ("59.5 %", 0.595),
        ("59,5%", 0.595),
        ("60 percent", 0.6),
        ("0.5", 0.5),
        (".5", 0.5),
        ("0,595", 0.595),
        ("1:2", 0.5),
        (" 1 : 2 ", 0.5),
        ("1/2", 0.5),
        ("1 to 2", 0.5),
        ("2 TO 5", 0.4),
        ("1:1.681", 1 / 1.681),
        ("1", 1.0),
        ("1:1", 1.0),
        ("100%", 1.0),
    ],
)
def test_is_read(text: str, ratio: float) -> None:
    assert parse_ratio(text) == pytest.approx(ratio)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is not a ratio"),
        ("half", "is not a ratio"),
        ("1:2:3", "is not a ratio"),
        ("1e-1", "is not a ratio"),
        ("٥٠%", "is not a ratio"),
        ("-0.5", "is not a ratio"),
        ("0", "is nothing"),
        ("0%", "is nothing"),
        ("0:2", "is nothing"),
        ("1:0", "template of no size"),
        ("0.5%", "200 times the carving"),
        ("60", r'"60%" if the carving is 60 % of the template, "40%" if it is reduced by 60 %'),
        ("59.5", r'"59.5%" if .*"40.5%" if'),
        ("2", r'"1:2" if the template is 2 times the carving'),
        ("200", "two ways"),
        ("2:1", r"1:2 \(50%\)"),
        ("150%", r"1:1.5 \(66.67%\)"),
        ("60% reduction", r'"60%" if .*"40%" if'),
        ("reduced by 60%", r'"60%" if .*"40%" if'),
        ("1:1,681", "comma"),
    ],
)
def test_is_refused(text: str, why: str) -> None:
    with pytest.raises(LengthError, match=why):
        parse_ratio(text)


def test_message_says_where() -> None:
    with pytest.raises(LengthError, match=r"^--ratio “60”"):
        parse_ratio("60", what="--ratio")


@given(RATIOS)
def test_every_way_of_writing_reads_back(ratio: float) -> None:
    plain = f"{ratio:.10f}"
    assert parse_ratio(plain) == pytest.approx(ratio, abs=1e-10)
    assert parse_ratio(f"{100 * ratio:.10f} %") == pytest.approx(ratio, abs=1e-11)
    assert parse_ratio(f"1:{1 / ratio:.10f}") == pytest.approx(ratio, rel=1e-9)
    assert parse_ratio(f"{plain}/1") == pytest.approx(ratio, abs=1e-10)


@given(RATIOS)
def test_words_read_back(ratio: float) -> None:
    words = ratio_words(ratio)
    assert words.startswith("the carving is ")
    pair = words[words.index("(") + 1 : -1]
    assert parse_ratio(pair) == pytest.approx(ratio, rel=1e-3)


@given(st.text(alphabet="0123456789.,:/%to -+eanrducby½", max_size=12) | st.text(max_size=20))
def test_reads_or_refuses(text: str) -> None:
    with suppress(TracerError):
        assert SMALLEST <= parse_ratio(text) <= 1.0


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (0.5, "the carving is half of the template (1:2)"),
        (0.595, "the carving is 59.5 % of the template (1:1.681)"),
        (0.4, "the carving is 40 % of the template (1:2.5)"),
        (1.0, "the carving is as big as the template (1:1)"),
    ],
)
def test_words(ratio: float, words: str) -> None:
    assert ratio_words(ratio) == words


@pytest.mark.parametrize(
    ("template", "cut", "why"),
    [(0.0, 10.0, "more than nothing"), (200.0, math.nan, "more than nothing"), (119.0, 200.0, "bigger")],
)
def test_trace_that_cannot_be(template: float, cut: float, why: str) -> None:
    with pytest.raises(LengthError, match=why):
        ratio_from_trace(template, cut)


@given(RATIOS, st.floats(0.01, 5000.0))
def test_there_and_back(ratio: float, length: float) -> None:
    linkage = Linkage(ratio)
    assert linkage.on_wood(linkage.on_template(length)) == pytest.approx(length)
    assert linkage.on_template(length) >= length * (1 - 1e-12)


@given(RATIOS, st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_error_is_never_less_than_either_part(ratio: float, hand: float, play: float) -> None:
    error = Linkage(ratio, play=play).error_on_wood(hand)
    assert error >= max(ratio * hand, play) * (1 - 1e-12)
    assert error <= ratio * hand + play + 1e-12


@given(st.floats(10, 5000), st.floats(50, 1000), st.floats(0, 40))
def test_set_ups_cover_the_length_and_none_is_wasted(length: float, reach: float, overlap: float) -> None:
    count = set_ups(length, reach, overlap=overlap)
    covered = reach + (count - 1) * (reach - overlap)
    assert covered >= length * (1 - 1e-6)
    assert count == 1 or covered - (reach - overlap) < length


def test_set_ups_that_just_fit_are_not_one_more() -> None:
    assert [set_ups(0.1 * n, 0.1) for n in range(1, 60)] == list(range(1, 60))


@pytest.mark.parametrize("overlap", [-1.0, 200.0, 300.0, math.nan])
def test_overlap_that_leaves_nothing(overlap: float) -> None:
    with pytest.raises(LengthError, match="leaves nothing of a reach of 200 mm"):
        set_ups(500, 200, overlap=overlap)


@given(RATIOS, st.floats(0.1, 12.0), st.floats(0.1, 30.0))
def test_a_thicker_stylus_cuts_less_past_the_edge(ratio: float, groove: float, stylus: float) -> None:
    linkage = Linkage(ratio)
    over = linkage.edge_overrun(groove, stylus)
    assert (over > 0) == (stylus < linkage.on_template(groove))
    assert linkage.edge_overrun(groove, stylus + 1) == pytest.approx(over - ratio / 2)
