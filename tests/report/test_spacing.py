"""How letters and lines stand, against gaps and pitches that the words were set with."""

import math
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report.lettered_words import laid, set_words

from tracer.job import Job
from tracer.model.drawing import Drawing
from tracer.model.finding import Finding
from tracer.model.marks import Marks
from tracer.report.build import build_plan
from tracer.report.letter_order import word_breaks
from tracer.report.lettered import Letters
from tracer.report.spacing import pitches

W = Job().groove


def said(drawing: Drawing, height: float, check: str, turn: float = 0.0, **job: Any) -> Finding | None:
    plan = build_plan(laid(drawing, height, turn=turn), Job(**job))
    found = [finding for finding in plan.findings if finding.check == check]
    assert len(found) < 2
    return found[0] if found else None


@pytest.mark.parametrize("turn", [0.0, 0.3, math.pi / 2])
def test_gaps_are_measured_between_the_walls_of_the_grooves(turn: float) -> None:
    """I and I at 30 of 100 units: 12 mm at 40 mm, less the groove."""
    finding = said(set_words("II", gap=50.0), 40.0, "letters far apart", turn=turn)
    assert finding is not None
    assert finding.measured == pytest.approx(0.6 * 40 - W, abs=0.01)  # the I stands 10 right of its origin
    assert "1st I and 2nd I stand far apart" in finding.message


@pytest.mark.parametrize(
    ("gap", "check"), [(9, "letters close together"), (11, None), (34, None), (36, "letters far apart")]
)
def test_the_band_of_gaps(gap: float, check: str | None) -> None:
    """Outlines: the gap is that of the edges, 10% to 35% of the height (2010 ADA Standards 703.5.8) [S1]."""
    drawing = set_words("II", cut="outline", gap=float(gap))
    for one in ("letters close together", "letters far apart"):
        assert (said(drawing, 50.0, one) is not None) == (one == check)


@settings(max_examples=10)
@given(st.floats(-0.15, 0.2), st.sampled_from(["AVLT", "LOVIT", "TTO"]))
def test_the_tracking_that_is_offered_holds(tracking: float, text: str) -> None:
    drawing = set_words(text, gap=15.0, tracking=tracking)
    for check, limit in (("letters close together", 0.1), ("letters far apart", 0.35)):
        finding = said(drawing, 40.0, check)
        if finding is None:
            continue
        offered = re.match(r"With a tracking of (-?[\d.]+)", finding.remedy)
        assert offered
        again = set_words(text, gap=15.0, tracking=float(offered[1]))
        assert said(again, 40.0, check) is None, limit
        step = 0.01 if check == "letters close together" else -0.01
        short = set_words(text, gap=15.0, tracking=float(offered[1]) - 1.5 * step)
        assert said(short, 40.0, check) or said(short, 40.0, "letters close together")


def test_letters_that_are_close_go_before_those_that_are_far_apart() -> None:
    """Two notes, one asking for more tracking and one for less, would help nobody."""
    drawing = set_words("IITT", cut="outline", gap=20.0, kerns={"II": -15.0, "TT": 25.0})
    close = said(drawing, 40.0, "letters close together")
    assert close is not None
    assert "1st T and 2nd T, stand far apart" in close.message
    assert "the close ones matter more" in close.message
    assert said(drawing, 40.0, "letters far apart") is None


def test_a_tracking_that_was_asked_for_is_not_reproved() -> None:
    assert said(set_words("II", cut="outline", gap=20.0, tracking=0.25), 40.0, "letters far apart") is None
    assert said(set_words("II", cut="outline", gap=45.0), 40.0, "letters far apart") is not None


def test_spaces_are_no_wide_gaps_and_narrow_ones_are_said() -> None:
    drawing = set_words("LI TO", cut="outline", space=60.0, gap=20.0)
    assert said(drawing, 40.0, "letters far apart") is None
    assert said(drawing, 40.0, "words close together") is None
    finding = said(set_words("LI TO", cut="outline", space=30.0, gap=20.0), 40.0, "words close together")
    assert finding is not None
    assert "between I and T, with a space, 12 mm" in finding.message


def test_gaps_of_raised_words_are_those_of_the_standing_letters() -> None:
    drawing = set_words("II", cut="outline", raised=True, gap=30.0)
    assert said(drawing, 40.0, "letters close together") is None
    close = said(set_words("II", cut="outline", raised=True, gap=5.0), 40.0, "letters close together")
    assert close is not None
    assert close.measured == pytest.approx(2.0, abs=0.01)


@pytest.mark.parametrize(
    ("pitch", "check"), [(1.3, "lines close together"), (1.36, None), (1.69, None), (1.8, "lines far apart")]
)
@pytest.mark.parametrize("turn", [0.0, 0.5])
def test_the_band_of_lines(pitch: float, check: str | None, turn: float) -> None:
    """135% to 170% from baseline to baseline (2010 ADA Standards 703.5.9) [S1]."""
    drawing = set_words("LIT\nOVA", pitch=pitch)
    for one in ("lines close together", "lines far apart"):
        finding = said(drawing, 30.0, one, turn=turn)
        assert (finding is not None) == (one == check)
        if finding is not None:
            assert finding.measured == pytest.approx(pitch * 30.0)


def test_pitches_of_three_lines() -> None:
    (words,) = Letters(laid(set_words("LO\nI\nTE", pitch=1.5), 20.0)).words
    assert pitches(words) == [(0, pytest.approx(30.0)), (1, pytest.approx(30.0))]


def marks_of(text: str) -> Marks:
    marks = set_words(text).marks
    assert marks is not None
    return marks


def test_where_words_begin() -> None:
    assert word_breaks(marks_of("LO VE\nIT  IS".replace("S", "T"))) == {2, 6}
    assert word_breaks(marks_of("LOVE")) == set()


def test_where_words_begin_read_from_the_right() -> None:
    from dataclasses import replace

    marks = marks_of("TA EVOL")  # as seen
    read = replace(marks, lettering=replace(marks.lettering, words="LOVE AT"))
    assert word_breaks(read) == {2}


def test_words_that_the_letters_do_not_spell() -> None:
    from dataclasses import replace

    marks = marks_of("TALE")
    assert word_breaks(replace(marks, lettering=replace(marks.lettering, words="LATE"))) is None
    assert word_breaks(replace(marks, lettering=replace(marks.lettering, words="TALES"))) is None


def test_joined_up_writing_has_no_gaps_to_mend() -> None:
    joined = set_words("LLLT", cut="outline", gap=-1.0)
    assert said(joined, 40.0, "letters close together") is None
    half = set_words("LLLT", cut="outline", gap=2.0, kerns={"LL": -3.0})
    assert said(half, 40.0, "letters close together") is None
    one = set_words("LITT", cut="outline", gap=2.0, kerns={"LI": -3.0})
    assert said(one, 40.0, "letters close together") is not None
