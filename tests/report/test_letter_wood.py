"""Lands and standing wood named by their letters; what outlines leave; grooves that letters join by."""

import re
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapes
from report.lettered_words import laid, set_words

from tracer.job import Job
from tracer.lengths import parse_length
from tracer.lettering import Lettering
from tracer.letters import faces
from tracer.letters import set_words as setting
from tracer.model.drawing import Drawing
from tracer.model.finding import Finding
from tracer.model.plan import Plan
from tracer.report import letter_wood
from tracer.report.build import build_plan
from tracer.report.lettered import Letters, few, together
from tracer.report.spacing import pairs_of
from tracer.shop.bits import Straight


def plan_of(drawing: Drawing, height: float, **job: Any) -> Plan:
    return build_plan(laid(drawing, height), Job(**job))


def found(plan: Plan, check: str) -> list[Finding]:
    return [finding for finding in plan.findings if finding.check == check]


def test_letters_that_run_together_are_named() -> None:
    (finding,) = found(plan_of(set_words("LAVI", kerns={"AV": -60.0}), 30.0), "grooves run together")
    assert finding.message.startswith("The A and the V run together in ")
    assert "Worst, the A and the V (strokes 2 and 4), in the middle: an overlap of" in finding.message
    assert "eave out" not in finding.remedy


@pytest.mark.parametrize("kern", [-60.0, -50.0, -40.0])
def test_the_tracking_offered_for_lands_holds(kern: float) -> None:
    drawing = set_words("LAVI", kerns={"AV": kern})
    lands = ("grooves run together", "wood too thin")
    for finding in [f for f in plan_of(drawing, 30.0).findings if f.check in lands]:
        offered = re.search(r"tracking of ([\d.]+)\.$", finding.remedy)
        assert offered
        again = plan_of(set_words("LAVI", kerns={"AV": kern}, tracking=float(offered[1])), 30.0)
        assert not [f for f in again.findings if f.check == finding.check and f.strokes == finding.strokes]


@pytest.mark.parametrize("kern", [-60.0, -40.0, -30.0])
def test_letters_that_the_face_runs_on_are_no_loss_and_get_no_tracking(kern: float) -> None:
    """A running hand is written through; only A and V run on here, L and A do not."""
    drawing = set_words("LAVI", kerns={"AV": kern, "LA": -30.0})
    marks = drawing.marks
    assert marks is not None
    letters = tuple(replace(one, joined=one.text == "A") for one in marks.letters)
    written = replace(drawing, marks=replace(marks, letters=letters))
    a_v = {drawing.strokes[k].number for k in (1, 2, 3)}
    printed = [f for f in plan_of(drawing, 30.0).findings if set(f.strokes) & a_v and "tracking" in f.remedy]
    assert printed
    plan = plan_of(written, 30.0)
    for finding in found(plan, "grooves run together"):
        assert "the V" not in finding.message
    between = [f for f in plan.findings if "the A and the V" in f.message or "A and V" in f.message]
    assert not [f for f in between if "tracking" in f.remedy or f.severity == "loss"]


def test_letters_alike_are_told_apart() -> None:
    letters = Letters(laid(set_words("ANNA\nNO"), 20.0))
    assert letters.words[0].names == ("1st A", "1st N", "2nd N", "2nd A", "3rd N", "O")
    first, bar = letters.words[0].numbers[0]
    assert letters.named([first, bar]) == f"strokes {first} and {bar} of the 1st A"
    assert letters.named([first, letters.words[0].numbers[5][0]]) == "the 1st A and the O (strokes 1 and 8)"
    assert letters.named([first, 99]) == "strokes 1 and 99"


def test_many_letters_are_not_all_named() -> None:
    assert together(["A"]) == "the A"
    assert together(list("ABCDEFGH")) == "the A, the B, the C, the D and 4 more letters"
    assert few(["a", "b"]) == "a and b"


def test_letters_of_the_second_piece_have_the_layouts_numbers() -> None:
    one = laid(set_words("AV"), 20.0)
    two = replace(one, pieces=(*one.pieces, *one.pieces))
    assert Letters(two).words[1].numbers == ((4, 5), (6,))
    assert Letters(two, {9: 6}).named([9]) == "stroke 9 of the V"


@pytest.mark.parametrize(("cut", "height"), [("middle", 8.0), ("outline", 16.0)])
def test_counters_are_named_by_their_letter(cut: str, height: float) -> None:
    """The counter is an island of wood: its narrowest width must pass the land rule or it pops out."""
    drawing = set_words("Ie", cut=cut)
    plan = plan_of(drawing, height, bit=Straight(1.6))
    (finding,) = found(plan, "standing wood breaks out")
    assert finding.message.startswith("The inside of the e will break out")
    enough = re.search(r"capitals from ([\d.]+ mm)", finding.remedy)
    if cut == "middle":
        assert enough
        again = plan_of(drawing, parse_length(enough[1]), bit=Straight(1.6))
        assert not found(again, "standing wood breaks out")


def test_insides_of_several_letters() -> None:
    plan = plan_of(set_words("DeDeI", cut="outline"), 9.0, depth=0.8)
    (finding,) = found(plan, "standing wood breaks out")
    first = "the inside of the 1st e, the inside of the 2nd e, the inside of the 1st D and the inside of"
    assert f"4 pieces of wood will break out: {first} the 2nd D." in finding.message


def test_a_raised_letter_too_thin_to_stand_is_named() -> None:
    (finding,) = found(plan_of(set_words("I", cut="outline", raised=True), 12.0), "standing wood breaks out")
    assert finding.message.startswith("The I itself will break out")


def test_thin_wood_that_outlines_leave_is_said_once() -> None:
    drawing = set_words("LOVIT", cut="outline")
    plan = plan_of(drawing, 30.0)  # stems of 4.8 mm, grooves of 1.83: 1.13 is left
    (finding,) = found(plan, "thin wood inside letters")
    assert finding.measured == pytest.approx(0.16 * 30 - 2 * Job().groove, abs=0.02)
    assert "inside the L, the O, the V, the I and the T" in finding.message
    assert finding.remedy.startswith("Clear it away as well (cut cleared).")
    assert not found(plan, "standing wood breaks out")
    assert not found(plan, "wood too thin")
    height = re.search(r"capitals from ([\d.]+ mm)", finding.remedy)
    assert height
    assert not found(plan_of(drawing, parse_length(height[1])), "thin wood inside letters")
    assert found(plan_of(drawing, parse_length(height[1]) - 3), "thin wood inside letters")


@pytest.mark.parametrize("height", [14.0, 18.0, 22.0])
def test_tracks_that_run_together_inside_a_letter_are_no_loss(height: float) -> None:
    """Stems of one to two grooves: all of their wood goes, as it should."""
    plan = plan_of(set_words("LOIT", cut="outline"), height, depth=1.5875)
    assert not [f for f in plan.findings if f.severity == "loss"]
    assert not [land for land in plan.lands if land.width <= 0]
    assert not found(plan, "dimple")


def test_tracks_that_run_together_between_raised_letters_are_no_loss() -> None:
    plan = plan_of(set_words("II", cut="outline", raised=True, gap=12.0), 20.0)
    assert not [f for f in plan.findings if f.severity == "loss"]  # 2.4 mm apart, grooves of 1.83


def test_lines_in_a_solid_still_run_together() -> None:
    """Only what lies beside the edges may: a line drawn near a track is lost as ever."""
    box = shapes.line((0, 0), (60, 0), (60, 40), (0, 40), (0, 0))
    edge = shapes.Part(box.curves, closed=True, kind="edge")
    lines = [shapes.line((10, 20), (50, 20)), shapes.line((10, 21), (50, 21))]
    from tracer.acts import Acts
    from tracer.model.drawing import Region

    drawing = replace(shapes.drawing_from([edge, *lines]), regions=(Region(1),))
    plan = build_plan(shapes.layout_of(drawing, width_mm=60.0), Job(acts=Acts(sides={1: "inside"})))
    (finding,) = found(plan, "grooves run together")
    assert finding.strokes == (2, 3)


def test_a_bar_a_little_short_of_its_stem_is_joined_by_the_groove() -> None:
    drawing = set_words("E")
    strokes = list(drawing.strokes)
    bar = strokes[1]
    strokes[1] = replace(bar, curves=bar.curves + np.array([3.0, 0.0]))  # 0.9 mm short at 30 mm
    short = replace(drawing, strokes=tuple(strokes))
    assert not found(plan_of(short, 30.0), "grooves run together")
    apart = replace(drawing, strokes=(strokes[0], replace(bar, curves=bar.curves + np.array([10.0, 0.0]))))
    assert found(plan_of(apart, 30.0), "wood too thin")


def test_a_letter_that_touches_itself_where_the_pen_turned_is_no_loss() -> None:
    pytest.importorskip("HersheyFonts")
    lettering = Lettering("Hill", face="script", height=40.0)
    written = setting.set_words(lettering, faces.face_named(lettering))
    assert not found(plan_of(written, 100.0), "grooves run together")
    drawing = set_words("H")
    bend = shapes.line((45, 20), (32, 50), (45, 80))  # 0.6 mm from the upright of the other stroke
    strokes = tuple(
        replace(stroke, curves=curves)
        for stroke, curves in zip(
            drawing.strokes, [shapes.line((30, 20), (30, 80)).curves, bend.curves], strict=False
        )
    )
    marks = drawing.marks
    assert marks is not None
    near = replace(drawing, strokes=strokes, marks=marks)
    (finding,) = found(plan_of(near, 30.0), "grooves run together")
    assert finding.message.startswith("Strokes 1 and 2 of the H run together")


@pytest.mark.parametrize(
    ("overlap", "length", "joins"),
    [(0.76, 0.9, True), (0.74, 0.9, False), (0.76, 1.1, False), (0.0, 0.1, False)],
)
def test_grooves_of_one_letter_touch_as_drawn_from_three_quarters_of_a_groove_on(
    overlap: float, length: float, joins: bool
) -> None:
    """Overlap and length in grooves of 2 mm, far from the strokes' ends."""
    drawing: Any = set_words("H")
    numbers = [stroke.number for stroke in drawing.strokes[:2]]
    cut: Any = SimpleNamespace(
        numbers=numbers,
        strokes=drawing.strokes[:2],
        groove={number: SimpleNamespace(width=2.0) for number in numbers},
    )
    land = SimpleNamespace(strokes=numbers, width=-2.0 * overlap, length=2.0 * length, where=(1e3, 1e3))
    letters: Any = SimpleNamespace(of=lambda own: ["the H"], words_at=lambda own: None)
    near: Any = SimpleNamespace(land=land)
    assert (letter_wood.but_own_joins([near], cut, letters) == ()) == joins


def test_a_letter_all_but_too_narrow_for_the_groove_is_no_dimple() -> None:
    plan = plan_of(set_words("LI", cut="outline"), 11.5)  # stems of 1.84 mm
    assert not found(plan, "dimple")
    short = plan_of(set_words("-", cut="outline"), 11.5)
    assert not found(short, "dimple")


def test_gaps_of_a_line_are_measured_once_for_all_its_lands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else a line of many letters is measured anew for every pair that is too close, for minutes."""
    asked: list[int] = []

    def counted(*given: Any) -> Any:
        asked.append(1)
        return pairs_of(*given)

    monkeypatch.setattr(letter_wood, "pairs_of", counted)
    plan = plan_of(set_words("TTTTTTTTTT", gap=4.0), 40.0)
    (finding,) = found(plan, "wood too thin") or found(plan, "grooves run together")
    assert "further apart" in finding.remedy
    assert len(asked) == 1
