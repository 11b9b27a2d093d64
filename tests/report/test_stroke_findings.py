"""What is said of strokes: one verdict where all are too thin, one finding for all that are left out."""

import re
from typing import Any

import pytest
import shapes

from tracer.acts import Acts
from tracer.job import Job
from tracer.model.finding import Finding
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.shop.bits import Straight

GROOVE = Job().groove


def plan_of(*widths: float, side: float = 100.0, length: float = 1000.0, **more: Any) -> Plan:
    """Lines far apart, `side` long on the wood, with these drawn widths on it in mm."""
    job = Job(**more)
    parts = [
        shapes.line((0, 300.0 * i), (length, 300.0 * i), width=width * 10) for i, width in enumerate(widths)
    ]
    return build_plan(shapes.layout_of(shapes.drawing_from(parts), width_mm=side, job=job), job)


def said(plan: Plan) -> dict[str, Finding]:
    return {finding.check: finding for finding in plan.findings}


def test_one_verdict_for_the_whole_where_the_typical_line_is_too_thin() -> None:
    # 1/8 in deep with a 60 deg V is 3.666 mm wide [D], three times the typical line
    plan = plan_of(1.22, 1.22, 1.22, 0.75, 0.70, depth=3.175, units="in")
    verdict = said(plan)["lines too thin"]
    assert plan.findings[0] is verdict
    assert verdict.message.startswith(
        "At 1/8 in (3.18 mm) deep every line comes out 3 times as wide as drawn:"
    )
    assert verdict.message.endswith("At most twice is asked for.")
    assert verdict.remedy == (
        "It holds at 5/64 in (1.98 mm) deep, with a 30 deg V, or from 6 in (152.4 mm) wide."
    )
    # 0.6 x 1.22 = 0.732: only what is thinner by far than the rest goes
    assert [one.stroke for one in plan.dropped] == [5]
    assert "stroke too wide" not in said(plan)


def test_lines_far_too_thin_are_told_how_far_they_are_and_what_helps() -> None:
    plan = plan_of(0.1, 0.1, 0.1, depth=3.175)
    verdict = said(plan)["lines too thin"]
    size = re.fullmatch(
        r"At this depth it would hold only from (\d+) mm \(.* in\) wide: "
        r"draw its lines bolder, or take bolder art\.",
        verdict.remedy,
    )
    assert size, verdict.remedy
    job, (x0, _, x1, _) = plan.job, plan.layout.extent
    for width, thin in ((float(size[1]), False), (float(size[1]) - 2.0, True)):
        times = width / (x1 - x0)
        assert (job.groove > job.max_widening * 0.1 * times) == thin  # the rule itself: at most twice as wide
    bound = plan_of(0.1, 0.1, 0.1, stops=3)  # free depths would follow the size
    assert said(bound)["lines too thin"].remedy == "Draw its lines bolder, or take bolder art."


def test_no_loss_is_left_without_a_word_of_what_helps() -> None:
    thin_board = plan_of(3.0, 3.0, depth=0.5, board=(200.0, 200.0, 0.6))
    assert said(thin_board)["too deep for the board"].remedy == "Take a thicker board."
    for plan in (plan_of(0.01, 0.01), plan_of(), thin_board):
        assert [one.check for one in plan.findings if one.severity != "note" and not one.remedy] == []


def test_a_straight_bit_is_not_blamed_on_its_depth() -> None:
    verdict = said(plan_of(1.0, 1.0, bit=Straight(3.175), depth=6.0))["lines too thin"]
    assert verdict.message.startswith("With this bit every line comes out 3.2 times as wide as drawn")


def test_what_is_left_out_is_one_finding_with_how_much_and_where_the_thinnest_is() -> None:
    plan = plan_of(3.0, 3.0, 3.0, 3.0, 0.5, 0.6, 0.7)
    losses = [finding for finding in plan.findings if finding.check == "stroke too thin"]
    (finding,) = losses
    assert finding.strokes == (5, 6, 7)
    assert finding.measured == pytest.approx(0.5)
    assert finding.limit == pytest.approx(GROOVE / 2)
    assert finding.message == (
        "3 strokes are left out, lower middle, 300 mm (11 13/16 in) in all: they would come out more than "
        "twice as wide as drawn. The thinnest, stroke 5 lower middle, is drawn 0.5 mm (1/64 in) wide, and "
        "the groove would be 1.83 mm (5/64 in)."
    )
    assert finding.remedy.startswith("All of them hold at 0.8 mm")
    assert finding.remedy.endswith("Or keep what is left out, wider than drawn: --thin keep.")
    assert said(plan_of(3.0, 3.0, 0.5))["stroke too thin"].message.startswith(
        "Stroke 3, lower middle, is left"
    )


def test_what_is_kept_though_too_thin_is_a_risk() -> None:
    kept = said(plan_of(3.0, 3.0, 0.5, thin="keep"))["stroke too wide"]
    assert (kept.severity, kept.strokes) == ("risk", (3,))
    assert "Stroke 3, kept as you asked, comes out more than twice as wide as drawn" in kept.message
    assert kept.remedy.startswith("It holds ")
    one = plan_of(3.0, 3.0, 3.0, 0.5, 0.5, acts=Acts(keep=(5,)))
    assert said(one)["stroke too wide"].strokes == (5,)
    assert said(one)["stroke too thin"].strokes == (4,)


def test_what_the_user_left_out_is_no_loss() -> None:
    plan = plan_of(3.0, 0.5, 3.0, acts=Acts(leave_out=(2,)))
    assert [one.stroke for one in plan.dropped] == [2]
    assert "stroke too thin" not in said(plan)


def test_each_stroke_is_held_against_its_own_groove() -> None:
    # With two stops the fine line gets a fine groove: 3.46 mm and 0.9 mm wide lines both hold
    plan = plan_of(3.4, 3.4, 0.9, stops=2, depth=3.0, origins={"depth": "said"})
    assert len({groove.width for groove in plan.grooves}) == 2
    assert not {"stroke too thin", "lines too thin"} & set(said(plan))
    short = plan_of(3.4, 0.9, stops=2, depth=3.0, origins={"depth": "said"}, side=1.5, length=15.0)
    assert said(short)["dimple"].strokes == (1,)  # 1.5 mm long: in a groove of 3.4 a dimple, of 0.9 none


def test_dimples_are_counted_and_the_shortest_is_measured() -> None:
    many = said(plan_of(3.0, 3.0, 3.0, side=1.0, length=10.0))["dimple"]
    assert many.severity == "note"
    assert "3 strokes come out as dimples" in many.message
    assert "is 1 mm (3/64 in) long in a groove 1.83 mm (5/64 in) wide." in many.message
