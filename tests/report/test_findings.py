"""What is said of board, depth and linkage, in which order, and where."""

import datetime
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
import shapes

from tracer.geometry import affine
from tracer.job import Job
from tracer.lengths import Units, parse_length
from tracer.model.finding import Finding, Severity
from tracer.model.layout import Layout, Piece
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.report.findings import costliest_first, listed
from tracer.report.places import place_words
from tracer.report.words import in_all, mostly, times
from tracer.report.words import said as said_length
from tracer.shop.bits import RoundNose
from tracer.shop.linkage import Linkage

MEASURED = Linkage(0.5, measured_on=datetime.date(2026, 1, 2))


def plan_of(name: str, width: float = 150.0, **more: object) -> Plan:
    job = Job(**more)  # type: ignore[arg-type]
    return build_plan(shapes.layout_of(shapes.drawing_of(name), width_mm=width, job=job), job)


def said(plan: Plan) -> dict[str, Finding]:
    return {finding.check: finding for finding in plan.findings}


def test_an_unmeasured_ratio_is_said_and_a_measured_one_is_not() -> None:
    assert said(plan_of("ring"))["ratio not measured"].severity == "note"
    assert plan_of("ring", linkage=MEASURED).findings == ()


def test_a_cut_right_through_names_the_standards_for_beds() -> None:
    found = said(plan_of("ring", depth=6.0, thickness=6.0))["cut right through"]
    assert found.severity == "risk"
    # Cots 16 CFR 1219 / 1220, bunk beds 16 CFR 1213 / 1513; EN 716, EN 747: by name, from memory
    for standard in ("16 CFR 1219", "1220", "1213", "1513", "EN 716", "EN 747"):
        assert standard in found.message
    assert "safe" in found.message


@pytest.mark.parametrize(("thickness", "least"), [(19.05, 6.35), (8.0, 4.0)])
def test_wood_is_left_under_the_groove(thickness: float, least: float) -> None:
    # At least 1/4 in, or half the board: common practice, no source
    bit = RoundNose(6.35)
    fine = plan_of("ring", bit=bit, depth=thickness - least - 0.01, thickness=thickness)
    deep = plan_of("ring", bit=bit, depth=thickness - least + 0.01, thickness=thickness)
    assert "too deep for the board" not in said(fine)
    assert said(deep)["too deep for the board"].limit == pytest.approx(least)


def test_over_the_edge_and_into_the_margin() -> None:
    groove = Job().groove
    assert "over the board's edge" in said(plan_of("ring", 100, board=(100 + groove - 0.1, 200.0, 19.0)))
    near = said(plan_of("ring", 100, board=(100 + groove + 0.1, 200.0, 19.0)))
    assert near["margin"].measured == pytest.approx(0.05, abs=1e-6)
    roomy = said(plan_of("ring", 100, board=(100 + groove + 40.1, 200.0, 19.0)))
    assert "margin" not in roomy


def test_every_finding_is_whole() -> None:
    for name in ("whiskers", "close lines", "face", "nothing", "dots"):
        for finding in plan_of(name, 30.0, units="in").findings:
            assert finding.severity in get_args(Severity)
            assert finding.message[0].isupper() or finding.message[0].isdigit()
            assert finding.message.endswith(".")
            assert finding.remedy == "" or finding.remedy.endswith(".")


def test_losses_before_risks_before_notes_and_longer_strokes_first() -> None:
    strokes = shapes.drawing_of("T").strokes  # 80 and 100 long
    note, risk = Finding("a", "note", "A."), Finding("b", "risk", "B.")
    short, long, whole = (Finding("c", "loss", "C.", strokes=s) for s in ((1,), (2,), ()))
    assert costliest_first([note, short, risk, long, whole], strokes) == (whole, long, short, risk, note)


def test_places_in_words() -> None:
    layout = shapes.layout_of(shapes.drawing_of("ring"), width_mm=90)
    x, y, _, _ = layout.extent
    assert place_words(layout, (x + 10, y + 10)) == "upper left"
    assert place_words(layout, (x + 45, y + 80)) == "lower middle"
    assert place_words(layout, (x + 45, y + 45)) == "in the middle"


def test_numbers_in_words() -> None:
    assert listed([3]) == "stroke 3"
    assert listed([3, 4, 7]) == "strokes 3, 4 and 7"
    assert listed(range(1, 21)) == "strokes 1, 2, 3, 4 and 16 more"


def test_places_are_told_by_their_piece() -> None:
    job = Job()
    (piece,) = shapes.layout_of(shapes.drawing_of("ring"), width_mm=90, job=job).pieces
    owl = replace(piece.drawing, name="owl.png")  # a file's name is told without its kind
    beside = Piece(owl, affine.compose(affine.translation(200, 0), piece.matrix), "owl.png")
    within = replace(piece, matrix=affine.compose(piece.matrix, affine.scaling(0.5)), name="eye")
    layout = Layout(shapes.layout_of(shapes.drawing_of("ring")).board, (piece, beside, within))
    x, y, _, _ = layout.extents[0]
    assert place_words(layout, (x + 80, y + 80)) == "lower right of ring"
    assert place_words(layout, (x + 245, y + 45)) == "in the middle of owl"
    x0, y0, x1, y1 = layout.extents[2]
    assert place_words(layout, ((x0 + x1) / 2, (y0 + y1) / 2)) == "in the middle of eye"  # the smaller of two
    alike = Layout(layout.board, (piece, replace(beside, name="ring")))
    assert place_words(alike, (x + 201, y + 1)) == "upper left of piece 2"


def test_lengths_in_words() -> None:
    assert said_length(0.09, "in") == "less than 1/64 in (0.09 mm)"
    assert said_length(0.003, "mm") == "less than 0.01 mm (less than 1/64 in)"
    assert said_length(2.53, "in") == "3/32 in (2.53 mm)"
    assert [in_all(mm, "mm") for mm in (380.0, 190.0, 34.0, 1234.0, 12.0)] == [
        "380 mm (15 in)",
        "190 mm (7 1/2 in)",
        "34 mm (1 5/16 in)",
        "1.2 m (3.9 ft)",
        "12 mm (15/32 in)",
    ]
    assert in_all(1234.0, "in") == "4.0 ft (1.2 m)"
    assert in_all(134.2, "in") == "5 1/4 in (133 mm)"
    assert [times(ratio) for ratio in (2.04, 2.7, 3.0, 12.4)] == ["twice", "2.7 times", "3 times", "12 times"]


@pytest.mark.parametrize("units", ["mm", "in"])
def test_sums_are_one_length_in_both_units(units: Units) -> None:
    """To a sixteenth of an inch, or half a millimetre, whichever unit they were rounded in."""
    for mm in np.arange(25.5, 300.0, 0.7):
        one, other = (parse_length(words.strip(" )")) for words in in_all(float(mm), units).split("("))
        assert one == pytest.approx(other, abs=25.4 / 32 + 0.01)
    for mm in np.arange(1000.0, 9000.0, 77.7):  # to a tenth of either: 0.05 m, and 0.05 ft or 15.24 mm
        one, other = (parse_length(words.strip(" )")) for words in in_all(float(mm), units).split("("))
        assert one == pytest.approx(other, abs=50 + 15.3)
        assert one == pytest.approx(mm, abs=50 + 0.01)


def test_many_places_in_a_few_words() -> None:
    layout = shapes.layout_of(shapes.drawing_of("ring"), width_mm=90)
    x, y, _, _ = layout.extent
    left, middle, right = (x + 5, y + 45), (x + 45, y + 45), (x + 85, y + 45)
    assert mostly(layout, [left, left]) == "middle left"
    assert mostly(layout, [left, left, right]) == "mostly middle left"
    assert mostly(layout, [left, left, right, middle]) == "above all middle left"
