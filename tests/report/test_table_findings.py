"""A template too large for the stylus's table is a finding, and what its remedy says lies flat."""

import re

import pytest
import shapes

from tracer.job import Job
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.sheets.assembly import assemblies
from tracer.sheets.verdict import verdict
from tracer.shop.linkage import Linkage

TABLE = (300.0, 200.0)


def face(width: float) -> Layout:
    return shapes.layout_of(shapes.drawing_of("face"), width_mm=width)


def planned(width: float, *, table: tuple[float, float] = TABLE, reach: tuple[float, float] | None = None):
    return build_plan(face(width), Job(linkage=Linkage(0.5, table=table, reach=reach)))


def found_in(plan: Plan) -> list[Finding]:
    return [one for one in plan.findings if one.check == "too large to lie flat"]


def lies_flat(plan: Plan) -> bool:
    """Judged by the sheets themselves, which know nothing of the finding."""
    sizes = [sorted(assembly.size) for assembly in assemblies(plan)]
    return all(a <= min(TABLE) + 1e-6 and b <= max(TABLE) + 1e-6 for a, b in sizes)


def test_a_template_too_large_is_a_risk_with_its_remedy() -> None:
    plan = planned(250.0)
    (found,) = found_in(plan)
    assert found.severity == "risk"
    assert "lie flat under the stylus" in found.message
    assert not lies_flat(plan)
    assert "as drawn" not in verdict(plan)


def test_the_width_that_the_remedy_says_lies_flat_and_a_little_more_does_not() -> None:
    (found,) = found_in(planned(250.0))
    said = re.search(r"no more than ([\d.]+) mm", found.remedy)
    assert said, found.remedy
    small = planned(float(said[1]))
    assert lies_flat(small)
    assert not found_in(small)
    assert found_in(planned(float(said[1]) + 1.5))


def test_the_reach_that_the_remedy_says_gives_set_ups_that_lie_flat() -> None:
    (found,) = found_in(planned(250.0))
    said = re.search(r'--reach "([\d.]+) mm x ([\d.]+) mm"', found.remedy)
    assert said, found.remedy
    parted = planned(250.0, reach=(float(said[1]), float(said[2])))
    assert len(parted.set_ups) > 1
    assert lies_flat(parted)
    assert not found_in(parted)


def test_set_ups_too_large_are_told_of_a_smaller_reach() -> None:
    (found,) = found_in(planned(400.0, reach=(220.0, 220.0)))
    assert found.message.startswith("The template of one set-up is")
    assert found.remedy.startswith("Say a smaller reach: --reach ")
    assert "make the carving" not in found.remedy


@pytest.mark.parametrize("table", [None, (900.0, 900.0)])
def test_nothing_is_said_where_nobody_said_the_table_or_all_lies_flat(table) -> None:
    assert not found_in(planned(250.0, table=table))


def test_a_quarter_turn_is_as_good() -> None:
    plan = planned(100.0)
    across, down = assemblies(plan)[0].size
    assert not found_in(planned(100.0, table=(down + 1, across + 1)))
