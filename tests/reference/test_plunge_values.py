"""Plunges and time against worked values.

[S20]: Euler's theorem on trails, odd points counted by hand. [D]: arithmetic.
"""

import math

import pytest
import shapes

from tracer.job import Job
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.report.timing import tracing_time


def plan_of(name: str, **settings: object) -> Plan:
    job = Job(**settings)  # type: ignore[arg-type]
    return build_plan(shapes.layout_of(shapes.drawing_of(name), width_mm=300, job=job), job)


@pytest.mark.parametrize(
    ("name", "without", "with_"),
    [
        ("O", 1, 1),  # a closed loop, 0 odd points [S20]
        *((letter, 1, 1) for letter in "LSVWMNZ"),  # 2 odd points [S20]
        ("T", 2, 1),  # 4 odd points [S20]
        ("A", 2, 1),  # 4 odd [S20]
        ("E", 2, 1),  # 4 odd [S20]
        ("H", 3, 1),  # 6 odd [S20]
        ("X", 2, 1),  # 4 odd, the centre is even [S20]
        ("B", 1, 1),  # both bowls meet the stem in one point: 0 odd [S20]
        ("8", 1, 1),  # drawn as a crossing: 0 odd [S20]
        ("i", 2, 2),  # stem and dot are two parts [S20]
        ("EMMA", 6, 4),  # 2 + 1 + 1 + 2; 4 parts [S20]
        ("OLIVER", 7, 6),  # 1 + 1 + 1 + 1 + 2 + 1, the R's leg from the stem; 6 parts [S20]
        ("wheel", 2, 1),  # 4 rim joints of 3, the hub of 4 [S20]
    ],
)
def test_plunges_of_letters(name: str, without: int, with_: int) -> None:
    for retrace in (False, True):
        plan = plan_of(name, retrace=retrace)
        assert plan.totals.plunges_without_retracing == without
        assert plan.totals.plunges_with_retracing == with_
        assert len(plan.runs) == plan.totals.plunges == (with_ if retrace else without)


def test_two_passes_double_the_plunges() -> None:
    # EMMA, no retracing, 2 depth passes: plunges x passes [D]
    plan = plan_of("EMMA", retrace=False, depth=25.4 * 3 / 16, pass_limit=25.4 / 8)
    assert plan.totals.passes == 2
    assert plan.totals.plunges_with_passes == 12


def test_time_of_a_job() -> None:
    # 12 m on the template, 15 mm/s, 2 passes, 24 plunges x 2 at 10 s: L / v x passes + n x passes x t [D]
    assert tracing_time(12_000, 15, passes=2, plunges=24, plunge=10) == pytest.approx(2080)


def test_time_runs_on_the_template() -> None:
    # Wood length 6 m at half size: the hand follows 12 m [D]
    plan = plan_of("O", speed_low=15.0, speed_high=15.0)
    carved = plan.totals.carving_length
    assert carved == pytest.approx(math.pi * 300, rel=1e-3)  # circumference of a 300 mm circle
    assert plan.totals.template_length == pytest.approx(carved / 0.5)
    assert plan.totals.time_low == pytest.approx(carved / 0.5 / 15 + 10)
