"""Which strokes the bit holds, and what is said of the rest."""

import re

import pytest
import shapes

from tracer.job import Job
from tracer.lengths import parse_length
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.shop.bits import Straight, VBit

GROOVE = Job().groove


def plan_of(parts: list[shapes.Part], width: float = 100.0, **more: object) -> Plan:
    job = Job(**more)  # type: ignore[arg-type]
    return build_plan(shapes.layout_of(shapes.drawing_from(parts), width_mm=width, job=job), job)


def lines(*widths: float | None) -> list[shapes.Part]:
    """Lines 100 mm long on the wood, 20 mm apart, of drawn widths in mm."""
    return [
        shapes.line((0, 200 * i), (1000, 200 * i), width=None if width is None else 10 * width)
        for i, width in enumerate(widths)
    ]


def test_the_limit_is_twice_the_drawn_width() -> None:
    plan = plan_of(lines(GROOVE / 2 - 0.01, GROOVE / 2 + 0.01, 3.0, 3.0))
    assert [one.stroke for one in plan.dropped] == [1]
    assert [groove.stroke for groove in plan.grooves] == [2, 3, 4]
    assert plan.dropped[0].limit == pytest.approx(GROOVE - 0.02)
    assert plan.dropped[0].groove == pytest.approx(GROOVE)
    assert plan.left_out[0].number == 1


def test_edges_and_strokes_without_a_width_are_exempt() -> None:
    edge = shapes.Part(lines(1.0)[0].curves, kind="edge", width=0.1)
    assert plan_of([edge, *(shapes.Part(p.curves + 300.0) for p in lines(None))]).dropped == ()


def test_thin_strokes_are_kept_where_asked_and_said() -> None:
    plan = plan_of(lines(0.5, 3.0, 3.0), thin="keep")
    assert plan.dropped == ()
    assert ("stroke too wide", "risk", (1,)) in [(f.check, f.severity, f.strokes) for f in plan.findings]


def test_the_typical_line_too_thin_is_said_of_the_whole() -> None:
    plan = plan_of(lines(0.6, 0.6, 0.6, 0.3), depth=3.175)
    assert [one.stroke for one in plan.dropped] == [4]  # under 0.6 of typical
    finding = next(f for f in plan.findings if f.check == "lines too thin")
    assert finding.severity == "loss"
    assert finding.where is None
    assert "6.1 times as wide as drawn" in finding.message  # 2 x 3.175 x tan 30 deg = 3.666 mm, over 0.6


@pytest.mark.parametrize("units", ["mm", "in"])
def test_each_remedy_works(units: str) -> None:
    parts = lines(0.5, 3.0, 3.0)
    remedy = plan_of(parts, units=units).dropped[0].remedy
    words = r"at (.+?) \(.*?\) deep, with a (\d+) deg V, or from (.+?) \(.*\) wide"
    found = re.search(words, remedy)
    assert found
    depth, width = parse_length(found[1]), parse_length(found[3])
    assert plan_of(parts, units=units, depth=depth).dropped == ()
    assert len(plan_of(parts, units=units, depth=depth + 25.4 / 64 + 0.01).dropped) == 1
    assert plan_of(parts, units=units, bit=VBit(float(found[2]), 12.7)).dropped == ()
    assert plan_of(parts, width, units=units).dropped == ()
    assert len(plan_of(parts, width - 25.4 / 8 - 0.1, units=units).dropped) == 1


def test_a_straight_bit_gets_no_depth_for_a_remedy() -> None:
    remedy = plan_of(lines(0.9, 3.0, 3.0), bit=Straight(3.175)).dropped[0].remedy
    assert "deep" not in remedy
    assert "from 177 mm" in remedy  # 100 x 3.175 / (2 x 0.9), rounded up


def test_no_size_is_offered_that_is_another_job() -> None:
    assert "wide" not in plan_of(lines(0.29, 3.0, 3.0)).dropped[0].remedy  # over three times as large


def test_many_dropped_strokes_are_one_finding() -> None:
    plan = plan_of(lines(*[0.5] * 20, *[3.0] * 60))
    losses = [f for f in plan.findings if f.check == "stroke too thin"]
    assert len(plan.dropped) == 20
    assert [f.strokes for f in losses] == [tuple(range(1, 21))]


def test_a_stroke_shorter_than_the_groove_is_a_dimple() -> None:
    short = shapes.line((0, 300), (10 * GROOVE - 1, 300), width=30.0)
    longer = shapes.line((300, 300), (300 + 10 * GROOVE + 1, 300), width=30.0)
    plan = plan_of([*lines(3.0), short, longer])
    assert [(f.strokes, f.severity) for f in plan.findings if f.check == "dimple"] == [((2,), "note")]
